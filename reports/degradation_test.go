package reports

import (
	"encoding/json"
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestSpansOfDegradation holds the study's rule, that a patch which failed once
// is spent between its last pass before and that fail, against the intervals
// of testdata/reference/degradation: cracks, resistors and angles that pass a
// threshold. What rises is turned upside down so that it fails by falling, and
// times become whole days. In the cases a value on the threshold fails, with us
// it passes, so ours is a hair higher. The other methods of these cases are checked in
// package stats.
func TestSpansOfDegradation(t *testing.T) {
	for _, c := range []struct {
		file, id           string
		unit, time, values int                     // columns
		keep               func(row []string) bool // nil: all
		days               float64                 // per unit of time
		angle              func(y float64) float64
		threshold          float64 // of the angle
	}{
		{"alloy-a-cracks", "intervals-1.6-inch", 0, 1, 2, nil, 100, func(y float64) float64 { return 180 - 50*y }, 180 - 50*1.777777777777778},
		{"alloy-a-cracks", "intervals-1.3", 0, 1, 2, nil, 100, func(y float64) float64 { return 180 - 50*y }, 180 - 50*1.3},
		{"resistor-drift", "intervals-5pct-125", 4, 1, 3, func(row []string) bool { return row[2] == "125" }, 1,
			func(y float64) float64 { return 150 - y }, 145},
		{"sim-angle-threshold", "intervals", 0, 2, 3, nil, 1, func(y float64) float64 { return y }, 90},
	} {
		t.Run(c.file+"/"+c.id, func(t *testing.T) {
			var units []string
			readings := map[string][]clean{}
			for _, row := range readCSV(t, reference+"degradation/"+c.file+".csv") {
				if c.keep != nil && !c.keep(row) {
					continue
				}
				unit := row[c.unit]
				if readings[unit] == nil {
					units = append(units, unit)
				}
				time, err := strconv.ParseFloat(row[c.time], 64)
				require.NoError(t, err)
				value, err := strconv.ParseFloat(row[c.values], 64)
				require.NoError(t, err)
				readings[unit] = append(readings[unit], clean{int(math.Round(time * c.days)), c.angle(value)})
			}
			y := newYard()
			for _, unit := range units {
				y.vehicle("Cfb", "A", readings[unit]...)
			}
			var want struct {
				Intervals []struct{ Left, Right *float64 }
			}
			require.NoError(t, json.Unmarshal(readChecks(t, reference+"degradation/"+c.file+".json")[c.id], &want))
			followed := y.fleet.Follow(study.Protocol{Metric: study.Angle, Threshold: c.threshold + 1e-9, Confirm: 1})
			require.Len(t, followed, len(want.Intervals))
			for i, w := range want.Intervals {
				lower, upper := 0.0, math.Inf(1)
				if w.Left != nil {
					lower = *w.Left * c.days
				}
				if w.Right != nil {
					upper = *w.Right * c.days
				}
				span := followed[i].Span
				assert.True(t, span.Known)
				assert.InDelta(t, lower, span.LowerDays, 1e-9, "unit %s", units[i])
				if math.IsInf(upper, 1) {
					assert.True(t, math.IsInf(span.UpperDays, 1), "unit %s", units[i])
				} else {
					assert.InDelta(t, upper, span.UpperDays, 1e-9, "unit %s", units[i])
				}
			}
		})
	}
}
