package reports

import (
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// pairsOf is a fleet of vehicles that each carry A, B and C: A is spent between
// day 300 and 330, B between day 90 and 120, and of C nothing was ever read.
func pairsOf(vehicles int) []study.Followed {
	f := study.Fleet{}
	for _, code := range []string{"A", "B", "C"} {
		f.Coatings = append(f.Coatings, study.Coating{ID: study.NewID(), Code: code})
	}
	for i := range vehicles {
		v := study.Vehicle{ID: study.NewID(), Code: fmt.Sprintf("V%d", i)}
		for _, c := range f.Coatings {
			v.Patches = append(v.Patches, study.Patch{ID: study.NewID(), Code: c.Code, CoatingID: c.ID})
		}
		for day := 31; day <= 391; day += 30 {
			checkup := study.Checkup{ID: study.NewID(), Day: study.Day(day)}
			for j, until := range []int{310, 100} {
				angle := 100.0
				if day > until {
					angle = 60
				}
				checkup.Readings = append(checkup.Readings, study.Reading{PatchID: v.Patches[j].ID, Stage: study.Decon, AnglesDeg: []float64{angle}})
			}
			v.Checkups = append(v.Checkups, checkup)
		}
		f.Vehicles = append(f.Vehicles, v)
	}
	return f.Follow(study.DefaultProtocol())
}

// With n vehicles that carry both, and one coating longer on each, exchanging
// the names within vehicles leaves two of 2ⁿ arrangements as extreme: the sign
// test's p of 2/2ⁿ.
func TestPairs(t *testing.T) {
	t.Parallel()
	const n = 8
	p, err := NewPairs(t.Context(), pairsOf(n), 0.95, 1)
	require.NoError(t, err)
	require.Len(t, p.Rows, 3)
	ab := p.Rows[0]
	assert.Equal(t, [2]string{"A", "B"}, [2]string{ab.A, ab.B})
	assert.Equal(t, n, *ab.Shared)
	assert.Equal(t, 0, *ab.Whole)
	assert.InDelta(t, 2/math.Pow(2, n), ab.P, 1e-12)
	assert.InDelta(t, ab.P, ab.Adjusted, 1e-12, "the other pairs can't be compared, and don't count")
	assert.Equal(t, "A", ab.Longer)
	for _, row := range p.Rows[1:] {
		assert.Nil(t, row.Shared)
		assert.True(t, math.IsNaN(row.P))
		assert.Empty(t, row.Longer)
	}
	table := p.Table()
	assert.Equal(t, "too little is known to compare", table.Rows[1][5])
	assert.Equal(t, []string{"A and B", "8", "0", "0.0078", "0.0078", "A"}, table.Rows[0])
}

// Four vehicles can't show a difference, however large: 2/2⁴ is 0.125.
func TestFewPairsShowNothing(t *testing.T) {
	t.Parallel()
	p, err := NewPairs(t.Context(), pairsOf(4), 0.95, 1)
	require.NoError(t, err)
	assert.InDelta(t, 0.125, p.Rows[0].P, 1e-12)
	assert.Empty(t, p.Rows[0].Longer)
	assert.Equal(t, "not shown to differ", p.Table().Rows[0][5])
	_, err = NewPairs(t.Context(), nil, 2, 1)
	require.ErrorIs(t, err, ErrOptions)
	none, err := NewPairs(t.Context(), nil, 0.95, 1)
	require.NoError(t, err)
	assert.Empty(t, none.Rows)
	assert.Empty(t, none.Notes)
}

// What a page may forbid isn't in the picture, and nothing else is lost: the
// style attributes become as many attributes.
func TestInlineHasNoStyle(t *testing.T) {
	t.Parallel()
	assert.Equal(t, ` fill="#1C2327" stroke-dasharray="7, 3"`, asAttributes(` style="fill:#1C2327;stroke-dasharray:7, 3"`))
	assert.Equal(t, ` font-family="Liberation Sans,Arial"`, asAttributes("\n\tstyle=\"font-family:Liberation Sans,Arial;\""))
}

// A list in part counts what is in it.
func TestDueWhere(t *testing.T) {
	t.Parallel()
	row := func(code string, kinds ...study.DueKind) DueRow {
		r := DueRow{VehicleDue: study.VehicleDue{Vehicle: &study.Vehicle{Code: code}}}
		for _, kind := range kinds {
			r.Due = append(r.Due, study.Due{Kind: kind, Patches: []string{"A", "B"}})
		}
		return r
	}
	all := &DueList{Rows: []DueRow{row("V1", study.DueWash, study.DueCheckup), row("V2", study.DueWash)}}
	part := all.Where(func(r DueRow) bool { return r.Vehicle.Code == "V2" })
	assert.Equal(t, []DueCount{{study.DueWash, 1, 2}}, part.Counts)
	assert.Len(t, all.Rows, 2)
}
