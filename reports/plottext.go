package reports

import (
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
	text string
	y    vg.Length // of its middle
}

// spread moves labels apart so that none lie closer than gap, keeping their
// order and staying within low and high where there is room.
func spread(labels []endLabel, gap, low, high vg.Length) {
	order := make([]*endLabel, len(labels))
	for i := range labels {
		order[i] = &labels[i]
	}
	slices.SortStableFunc(order, func(a, b *endLabel) int {
		if a.y < b.y {
			return -1
		}
		if a.y > b.y {
			return 1
		}
		return 0
	})
	floor := low
	for _, l := range order {
		l.y = max(l.y, floor)
		floor = l.y + gap
	}
	ceiling := high
	for _, l := range slices.Backward(order) {
		l.y = min(l.y, ceiling)
		ceiling = l.y - gap
	}
}
