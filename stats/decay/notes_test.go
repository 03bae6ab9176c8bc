package decay

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Each caution must come with the readings that call for it, and only then.
func TestNotes(t *testing.T) {
	full := readings([2]float64{0, 111}, [2]float64{60, 99}, [2]float64{120, 89}, [2]float64{240, 76}, [2]float64{480, 65}, [2]float64{900, 61})
	late := readings([2]float64{400, 74.13}, [2]float64{450, 71.57}, [2]float64{500, 69.47}, [2]float64{600, 66.35}, [2]float64{700, 64.26}, [2]float64{900, 61.91})
	short := readings([2]float64{0, 110}, [2]float64{60, 103.2}, [2]float64{120, 97}, [2]float64{180, 91.6}, [2]float64{240, 86.5})
	many := make([]Point, 0, 20*len(full))
	for vehicle := range 20 {
		for _, p := range full {
			p.Cluster, p.Value = vehicle, p.Value+float64(vehicle%3)
			many = append(many, p)
		}
	}
	for name, c := range map[string]struct {
		points  []Point
		options Options
		notes   []string // how each begins
	}{
		"none":            {full, Options{}, nil},
		"extrapolation":   {short, Options{}, []string{"tau is longer than the readings last"}},
		"late":            {late, Options{}, []string{"the first reading is at time 400, later than tau"}},
		"few clusters":    {full, Options{Clustered: true}, []string{"limits come from 2 clusters"}},
		"enough clusters": {many, Options{Clustered: true}, nil},
	} {
		t.Run(name, func(t *testing.T) {
			curve, err := Fit(c.points, c.options)
			require.NoError(t, err)
			require.Len(t, curve.Notes, len(c.notes), "%q", curve.Notes)
			for i, begin := range c.notes {
				assert.True(t, strings.HasPrefix(curve.Notes[i], begin), curve.Notes[i])
			}
		})
	}
}
