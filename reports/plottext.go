package reports

import (
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
