package reports

import (
	"fmt"
	"math"
	"strings"
)

// pSaid writes a p-value within words: "p = 0.03", "p < 0.001".
func pSaid(p float64) string {
	words := pWords(p)
	if strings.ContainsAny(words, "<>") {
		return "p " + words
	}
	return "p = " + words
}

// pWords writes a p-value for a column.
func pWords(p float64) string {
	switch {
	case math.IsNaN(p):
		return "–"
	case p < 0.001:
		return "< 0.001"
	case p > 0.99:
		return "> 0.99"
	}
	return fmt.Sprintf("%.2g", p)
}
