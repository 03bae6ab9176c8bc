package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestDecayTableOfFew(t *testing.T) {
	d := Decay{Coating: "A", Readings: []CleanReading{{Days: 61, AngleDeg: 99.96, Drops: 3}, {Days: 0, AngleDeg: 108.5, Drops: 1}}}
	table := decayTable(d)
	assert.Equal(t, [][]string{{"0.0", "108.5°", "1"}, {"2.0", "100.0°", "3"}}, table.Rows)
	assert.Len(t, table.Head, 3)
}

// TestDecayTableOfMany: 60 readings over three months, the second without any.
// A twelfth of a year is 30.4375 days, so day 61 is the third month's.
func TestDecayTableOfMany(t *testing.T) {
	d := Decay{Coating: "A", Level: 0.95, Mean: []MeanAngle{{0, 110, nil}, {0.5, 108, &Limits{107, 109}}, {1, 106, nil}}}
	for i := range 57 {
		d.Readings = append(d.Readings, CleanReading{Days: 30, AngleDeg: float64(100 + i%4)}) // 15 of 100, 14 each of 101, 102, 103
	}
	for _, angle := range []float64{90, 92, 94} {
		d.Readings = append(d.Readings, CleanReading{Days: 61, AngleDeg: angle})
	}
	assert.Equal(t, [][]string{
		{"1", "57", "101.5°", "100.0°–102.0°", "108.0°", "107.0°–109.0°"}, // 84/57 = 1.47; 14.25 of 57 are 100, 42.75 up to 102
		{"2", "0", "–", "–", "–", "–"},
		{"3", "3", "92.0°", "–", "–", "–"},
	}, decayTable(d).Rows)
}

// TestTablesStaySmall, however many readings there are.
func TestTablesStaySmall(t *testing.T) {
	d := Decay{Coating: "A", Readings: manyReadings(50_000)}
	require.Len(t, decayTable(d).Rows, 20) // 600 days are twenty months
}
