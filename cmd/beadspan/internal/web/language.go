package web

import (
	"embed"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/feature/plural"
	bcp47 "golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"beadspan/study"
)

//go:embed languages
var languageFiles embed.FS

// language is one language's messages, and how it writes numbers and days.
type language struct {
	Tag  string // of BCP 47
	Name string // its own

	day      string // layout of a date
	point    string // between whole and decimals
	tag      bcp47.Tag
	printer  *message.Printer
	messages map[string]string
}

// languages are those that the pages speak; the first is for everybody else.
var languages = []*language{
	newLanguage("en", "English", "2 Jan 2006"),
	newLanguage("de", "Deutsch", "02.01.2006"),
	newLanguage("fr", "Français", "02/01/2006"),
}

func newLanguage(tag, name, day string) *language {
	messages := map[string]string{}
	for _, file := range []string{tag + ".txt", "office." + tag + ".txt", "access." + tag + ".txt", "bay." + tag + ".txt", "letters." + tag + ".txt",
		"setup." + tag + ".txt", "photo." + tag + ".txt"} {
		text, err := languageFiles.ReadFile("languages/" + file)
		if err != nil {
			panic(err) // the files are part of the program
		}
		if err := parseMessages(string(text), messages); err != nil {
			panic(file + ": " + err.Error())
		}
	}
	parsed := bcp47.MustParse(tag)
	printer := message.NewPrinter(parsed)
	point := strings.Trim(printer.Sprint(number.Decimal(0.5, number.Scale(1))), "05")
	return &language{tag, name, day, point, parsed, printer, messages}
}

// parseMessages adds lines of "key = message" to messages; # begins a comment.
func parseMessages(text string, messages map[string]string) error {
	n := 0
	for line := range strings.Lines(text) {
		n++
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, value, found := strings.Cut(line, " = ")
		if !found {
			return fmt.Errorf("line %d: expected key = message", n)
		}
		if _, twice := messages[key]; twice {
			return fmt.Errorf("line %d: %s is there twice", n, key)
		}
		messages[key] = strings.TrimSpace(value)
	}
	return nil
}

// text is the message of the key. named gives what stands in its braces: a
// name, then its value, and so on. A key that isn't there, which a test keeps
// from happening, is shown itself.
func (l *language) text(key string, named ...any) string {
	text, has := l.messages[key]
	if !has {
		return key
	}
	for i := 0; i+1 < len(named); i += 2 {
		text = strings.ReplaceAll(text, fmt.Sprintf("{%v}", named[i]), l.written(named[i+1]))
	}
	return text
}

func (l *language) written(value any) string {
	switch x := value.(type) {
	case int:
		return l.number(x)
	case study.Day:
		return l.date(x)
	}
	return fmt.Sprint(value)
}

// plural is the message of key.one or key.other, as the language counts; {n}
// is the number.
func (l *language) plural(key string, n int, named ...any) string {
	form := ".other"
	if plural.Cardinal.MatchPlural(l.tag, n, 0, 0, 0, 0) == plural.One {
		form = ".one"
	}
	return l.text(key+form, append(named, "n", n)...)
}

// number writes a count.
func (l *language) number(n int) string {
	if 0 <= n && n < ungrouped {
		return strconv.Itoa(n)
	}
	return l.printer.Sprint(number.Decimal(n))
}

// decimal writes x with so many decimals.
func (l *language) decimal(x float64, decimals int) string {
	if 0 <= x && x < ungrouped-1 {
		text := strconv.FormatFloat(x, 'f', decimals, 64)
		if l.point != "." {
			text = strings.Replace(text, ".", l.point, 1)
		}
		return text
	}
	return l.printer.Sprint(number.Decimal(x, number.Scale(decimals)))
}

// ungrouped is the first count in which digits may be grouped. What lies below,
// which is nearly every number of a page, needs nothing of the language but its
// decimal point, and a page of readings is written in half the time without the
// printer.
const ungrouped = 1000

// date writes a day; of a *study.Day that is nil nothing.
func (l *language) date(day any) string {
	switch d := day.(type) {
	case study.Day:
		return d.Time().Format(l.day)
	case *study.Day:
		if d != nil {
			return d.Time().Format(l.day)
		}
	}
	return ""
}

// moment writes the day and the time of it, as they are in UTC.
func (l *language) moment(at time.Time) string { return at.UTC().Format(l.day + " 15:04") }

// matcher finds which of our languages serves somebody best.
var matcher = func() bcp47.Matcher {
	tags := make([]bcp47.Tag, len(languages))
	for i, l := range languages {
		tags[i] = l.tag
	}
	return bcp47.NewMatcher(tags)
}()

// languageOf is the language that the viewer chose, or the browser asks for.
func languageOf(r *http.Request) *language {
	if c, err := r.Cookie(languageCookie); err == nil {
		for _, l := range languages {
			if l.Tag == c.Value {
				return l
			}
		}
	}
	wanted, _, err := bcp47.ParseAcceptLanguage(r.Header.Get("Accept-Language"))
	if err != nil {
		return languages[0]
	}
	_, i, _ := matcher.Match(wanted...)
	return languages[i]
}
