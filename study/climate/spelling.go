package climate

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// fold writes a name without case, accents and punctuation, so that "Sao
// Paulo" is "São Paulo".
func fold(name string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFKD.String(strings.ToLower(name)) {
		switch {
		case unicode.Is(unicode.Mn, r):
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte(' ')
			}
			gap = false
			b.WriteString(plainLetter(r))
		case r == '\'' || r == '’' || r == '‘' || r == '`':
		default:
			gap = true
		}
	}
	return b.String()
}

// plainLetter writes letters that Unicode doesn't take apart as most people
// type them.
func plainLetter(r rune) string {
	switch r {
	case 'ø':
		return "o"
	case 'ł':
		return "l"
	case 'đ', 'ð':
		return "d"
	case 'ı':
		return "i"
	case 'ħ':
		return "h"
	case 'ß':
		return "ss"
	case 'æ':
		return "ae"
	case 'œ':
		return "oe"
	case 'þ':
		return "th"
	}
	return string(r)
}

// near lists up to five cities whose names, or their first words, are spelt
// nearly like a name. People seldom miss the first letter, and mostly mean
// larger cities, so those come first among equals.
func (a *Atlas) near(name string, parts []string) []City {
	wanted := fold(name)
	if wanted == "" {
		return nil
	}
	type candidate struct {
		City
		score float64
	}
	most := (len(wanted) + 2) / 3
	var found []candidate
	for _, c := range a.cities {
		folded := fold(c.Name)
		d := min(edits(wanted, folded), edits(wanted, firstWords(folded, strings.Count(wanted, " ")+1)))
		if d > most || !c.isIn(parts) {
			continue
		}
		score := float64(d) - 0.5*math.Log10(float64(c.Population)/50_000)
		if folded[0] != wanted[0] {
			score++
		}
		found = append(found, candidate{c, score})
	}
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(a.score, b.score) })
	var cities []City
	for _, c := range found[:min(len(found), 5)] {
		cities = append(cities, c.City)
	}
	return cities
}

func firstWords(text string, n int) string {
	words := strings.Split(text, " ")
	return strings.Join(words[:min(n, len(words))], " ")
}

// edits is the Levenshtein distance: how many letters must be added, dropped
// or replaced to turn a into b.
func edits(a, b string) int {
	from, to := []rune(a), []rune(b)
	row := make([]int, len(to)+1) // of the distances from the first i letters
	for j := range row {
		row[j] = j
	}
	for i, r := range from {
		diagonal := row[0]
		row[0] = i + 1
		for j, s := range to {
			replaced := diagonal
			if r != s {
				replaced++
			}
			diagonal = row[j+1]
			row[j+1] = min(replaced, row[j]+1, diagonal+1)
		}
	}
	return row[len(to)]
}
