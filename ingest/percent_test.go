package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// ISO/IEC 29500-1 §18.8.31 (section from memory): % shows a number as a percentage; in quotation
// marks or behind a backslash a letter stands for itself.
func TestIsPercentage(t *testing.T) {
	for format, want := range map[string]bool{
		"0%": true, "0.00%": true, "0.0 %": true, `0.0" "%`: true, "[Red]0%;-0%": true,
		"General": false, `0"%"`: false, `0.0\%`: false, "0.00E+00": false, "dd/mm/yyyy": false,
	} {
		assert.Equal(t, want, isPercentage(format), format)
	}
}

func TestPercentages(t *testing.T) {
	cells := []string{"0.07", "0.455", "45%", "text", "1"}
	percentages(cells, []string{"7%", "46%", "45%", "text", "1", "more"})
	assert.Equal(t, []string{"7%", "45.5%", "45%", "text", "1"}, cells)
}
