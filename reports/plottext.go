package reports

import (
	"cmp"
	"slices"
	"strings"

	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
)

// wrap breaks text into lines no wider than width, between words.
func wrap(style text.Style, words string, width vg.Length) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(words) {
		longer := strings.TrimSpace(line + " " + word)
		if line != "" && style.Width(longer) > width {
			lines = append(lines, line)
			longer = word
		}
		line = longer
	}
	return append(lines, line)
}

// fitted cuts text short, with an ellipsis, until it is no wider than width.
func fitted(style text.Style, label string, width vg.Length) string {
	if style.Width(label) <= width {
		return label
	}
	letters := []rune(label)
	for len(letters) > 1 && style.Width(string(letters)+"…") > width {
		letters = letters[:len(letters)-1]
	}
	return string(letters) + "…"
}

// endLabel is a label beside the end of a line.
type endLabel struct {
	text        string
	x, y, width vg.Length // of its left end and its middle
}

// spread lifts labels, the lowest first, until none covers another.
func spread(labels []endLabel, height vg.Length) []endLabel {
	order := slices.Clone(labels)
	slices.SortStableFunc(order, func(a, b endLabel) int { return cmp.Compare(a.y, b.y) })
	for i := range order {
		for j := 0; j < i; j++ {
			l, placed := &order[i], order[j]
			apart := l.x > placed.x+placed.width || placed.x > l.x+l.width || l.y >= placed.y+height || placed.y >= l.y+height
			if !apart {
				l.y = placed.y + height
				j = -1 // it may now cover one that it was clear of
			}
		}
	}
	return order
}
