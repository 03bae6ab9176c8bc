package reports

import (
	"embed"
	"fmt"
	"math"
	"strings"
	"text/template"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	written "golang.org/x/text/number"

	"beadspan/study"
)

//go:embed letters
var letterFiles embed.FS

// Language is one that letters are written in, by its tag of BCP 47.
type Language string

// The languages of letters.
const (
	English Language = "en"
	German  Language = "de"
	French  Language = "fr"
)

// Languages lists the languages of letters.
func Languages() []Language { return []Language{English, German, French} }

// voice says things in a language. What it says stands in letters/TAG.tmpl, a
// block for each. The first fault is kept in err, so that a page can be put
// together without looking after each sentence.
type voice struct {
	language Language
	blocks   *template.Template
	printer  *message.Printer
	months   []string
	err      error
}

func newVoice(in Language) (*voice, error) {
	tag, err := language.Parse(string(in))
	if err != nil {
		return nil, fmt.Errorf("%w: language %q", ErrOptions, in)
	}
	v := &voice{language: in, printer: message.NewPrinter(tag)}
	file := string(in) + ".tmpl"
	v.blocks, err = template.New(file).Option("missingkey=error").
		Funcs(template.FuncMap{"date": v.date, "month": v.month, "count": v.count}).
		ParseFS(letterFiles, "letters/"+file)
	if err != nil {
		return nil, fmt.Errorf("%w: letters are written in %s, not in %q", ErrOptions, listedLanguages(), in)
	}
	v.months = strings.Fields(v.say("months", nil))
	return v, v.err
}

func listedLanguages() string {
	var tags []string
	for _, l := range Languages() {
		tags = append(tags, string(l))
	}
	return listed(tags)
}

// say writes a block.
func (v *voice) say(block string, about any) string {
	var b strings.Builder
	if err := v.blocks.ExecuteTemplate(&b, block, about); err != nil && v.err == nil {
		v.err = fmt.Errorf("say %q in %s: %w", block, v.language, err)
	}
	return strings.TrimSpace(b.String())
}

// facts are what a block is about, by name.
type facts map[string]any

// date writes a day: "3 May 2026".
func (v *voice) date(day study.Day) string { return v.calendar("date", day) }

// month writes the month of a day: "May 2026".
func (v *voice) month(day study.Day) string { return v.calendar("month", day) }

func (v *voice) calendar(block string, day study.Day) string {
	t := day.Time()
	return v.say(block, facts{"Day": t.Day(), "Month": v.months[t.Month()-1], "Year": t.Year()})
}

// count writes a count with its thousands apart.
func (v *voice) count(n int) string { return v.printer.Sprint(written.Decimal(n)) }

// decimal writes a number to a tenth.
func (v *voice) decimal(x float64) string {
	return v.printer.Sprint(written.Decimal(x, written.Scale(1)))
}

// degrees writes an angle to a whole degree.
func (v *voice) degrees(angle float64) string { return v.say("degrees", int(math.Round(angle))) }

// list joins words.
func (v *voice) list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + v.say("and", nil) + " " + words[len(words)-1]
}

// extreme is the block for a share: of its own for nearly all and hardly any,
// which in whole tenths would be all and none.
func extreme(block string, share float64) string {
	switch {
	case share >= 0.95:
		return block + ".all"
	case share < 0.05:
		return block + ".none"
	}
	return block
}

// tenthsOf is a share in whole tenths.
func tenthsOf(share float64) int { return int(math.Round(10 * share)) }

// climate writes a Köppen-Geiger class in a few words, with the class itself.
func (v *voice) climate(class string) string {
	if len(class) < 2 {
		return class
	}
	zone := class[:1]
	if zone == "B" {
		zone = class[:2]
	}
	words := []string{v.say("climate."+zone, nil)}
	if len(class) == 3 && strings.Contains("CD", class[:1]) {
		words = append(words, v.say("climate."+class[2:], nil))
	}
	return strings.Join(append(words, class), ", ")
}
