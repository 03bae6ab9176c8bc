package reports

import (
	"context"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// prose counts what measures of readability go by.
type prose struct{ sentences, words, syllables, long, one, polysyllables float64 }

var (
	sentenceEnd = regexp.MustCompile(`[.!?]+(\s|$)`)
	letterWords = regexp.MustCompile(`\p{L}[\p{L}’'-]*`)
	vowels      = map[Language]*regexp.Regexp{
		English: regexp.MustCompile(`[aeiouy]+`),
		German:  regexp.MustCompile(`ei|ie|eu|äu|au|aa|ee|oo|[aeiouäöüy]`),
		French:  regexp.MustCompile(`[aeiouyàâäéèêëîïôöùûüœæ]+`),
	}
	silent = map[Language]*regexp.Regexp{
		English: regexp.MustCompile(`([^aeiouyl]e|[^aeioutd]ed|[^aeiouscxzl]es)$`),
		French:  regexp.MustCompile(`[^aeiouyàâäéèêëîïôöùûüœæ](e|es|ent)$`),
	}
)

// syllables counts groups of vowels, less the silent ending: rough, and on
// average right to some per cent.
func syllables(word string, in Language) int {
	word = strings.ToLower(word)
	n := len(vowels[in].FindAllString(word, -1))
	if ending := silent[in]; ending != nil && n > 1 && ending.MatchString(word) {
		n--
	}
	return max(1, n)
}

func proseOf(lines []string, in Language) prose {
	var p prose
	for _, line := range lines {
		for _, sentence := range sentenceEnd.Split(line, -1) {
			words := letterWords.FindAllString(sentence, -1)
			if len(words) == 0 {
				continue
			}
			p.sentences++
			for _, word := range words {
				n := syllables(word, in)
				p.words++
				p.syllables += float64(n)
				p.one += float64(one(n == 1))
				p.polysyllables += float64(one(n >= 3))
				p.long += float64(one(utf8.RuneCountInString(word) > 6))
			}
		}
	}
	return p
}

func (p prose) perSentence() float64 { return p.words / p.sentences }
func (p prose) perWord() float64     { return p.syllables / p.words }

// grade is the school year by Flesch–Kincaid: Kincaid et al., Derivation of new
// readability formulas, Naval Technical Training Command, Report 8-75 (1975).
func (p prose) grade() float64 { return 0.39*p.perSentence() + 11.8*p.perWord() - 15.59 }

// wiener is the school year by the first Wiener Sachtextformel: Bamberger and
// Vanecek, Lesen–Verstehen–Lernen–Schreiben, Vienna (1984), as given with R's
// koRpus (nWS): words of three syllables and more, words a sentence, words of
// more than six letters, and of one syllable, the shares in per cent.
func (p prose) wiener() float64 {
	share := func(n float64) float64 { return 100 * n / p.words }
	return 0.1935*share(p.polysyllables) + 0.1672*p.perSentence() + 0.1297*share(p.long) - 0.0327*share(p.one) - 0.875
}

// kandelMoles is the ease of French by Kandel and Moles, Cahiers Études de
// Radio-Télévision 19 (1958) 253–274: 70 to 80 is fairly easy, 60 to 70 plain.
func (p prose) kandelMoles() float64 { return 207 - 1.015*p.perSentence() - 73.6*p.perWord() }

// TestSyllables holds the counter against hyphenated words of dictionaries.
func TestSyllables(t *testing.T) {
	for in, words := range map[Language]map[string]int{
		English: {"water": 2, "coating": 2, "repelled": 2, "estimate": 3, "warranty": 3, "the": 1, "deep": 1, "vehicles": 3, "panel": 2},
		German:  {"Wasser": 2, "Schicht": 1, "Fläche": 2, "Schätzung": 2, "Garantie": 3, "Reiniger": 3, "abperlt": 2},
		French:  {"couche": 1, "eau": 1, "lavage": 2, "garantie": 3, "mesure": 2, "zones": 1},
	} {
		for word, n := range words {
			assert.Equal(t, n, syllables(word, in), word)
		}
	}
}

// TestLetterReadsAtTwelve: somebody of 12 is in their sixth or seventh school
// year. Names of coatings and panels are the log's.
func TestLetterReadsAtTwelve(t *testing.T) {
	letters := demoLetters(t)
	read := map[Language][]string{}
	for _, vehicle := range []string{"Q001", "Q002", "Q005", "Q007", "Q011", "Q016", "Q020"} {
		letter, err := letters.Of(context.Background(), vehicle)
		require.NoError(t, err)
		for i := range letter.Coats {
			letter.Coats[i].Coating = "X"
		}
		for _, language := range Languages() {
			page, err := letter.page(language)
			require.NoError(t, err)
			read[language] = append(read[language], page.Answers...)
			for _, section := range page.Sections {
				read[language] = append(read[language], section.Lines...)
			}
			read[language] = append(read[language], page.ChartCaption, page.Estimate)
			read[language] = append(read[language], page.Small...)
		}
	}
	english, german, french := proseOf(read[English], English), proseOf(read[German], German), proseOf(read[French], French)
	t.Logf("Flesch–Kincaid %.1f, Wiener Sachtextformel %.1f, Kandel–Moles %.0f", english.grade(), german.wiener(), french.kandelMoles())
	assert.Less(t, english.grade(), 7.0)
	assert.Less(t, german.wiener(), 7.0)
	assert.Greater(t, french.kandelMoles(), 70.0)
	for language, p := range map[Language]prose{English: english, German: german, French: french} {
		assert.Less(t, p.perSentence(), 15.0, language)
	}
}
