package reports

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"pgregory.net/rapid"
)

// A ruler agrees with the library on each word and on whole lines, but for what
// pairs of letters with a blank are drawn together.
func TestRuler(t *testing.T) {
	r := newRuler(plot.DefaultTextHandler)
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[A-Za-zäöüßéèœ0-9°≥.,()]{1,12}`)
		words := rapid.SliceOfN(word, 1, 8).Draw(t, "words")
		style := letterText()
		if rapid.Bool().Draw(t, "bold") {
			style = bold(style)
		}
		style.Font.Size = vg.Length(rapid.Float64Range(4, 30).Draw(t, "size"))
		ruled := style
		ruled.Handler = r
		assert.InEpsilon(t, float64(style.Width(words[0])), float64(ruled.Width(words[0])), 1e-9)
		line := strings.Join(words, " ")
		assert.InDelta(t, float64(style.Width(line)), float64(ruled.Width(line)), float64(style.Font.Size)*0.13*float64(len(words)))
		assert.InEpsilon(t, float64(style.Height(line)), float64(ruled.Height(line)), 1e-9)
	})
}
