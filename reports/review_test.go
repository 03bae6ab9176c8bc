package reports

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestReviews(t *testing.T) {
	y := newYard()
	y.vehicle("Cfb", "A", clean{10, 80}, clean{20, 80}, clean{30, 105}, clean{40, 105}) // spent at once, passes twice
	y.vehicle("Cfb", "A", clean{10, 105})
	v := y.vehicle("Cfb", "A", clean{50, 80})
	v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: serviceBegan + 50, Readings: []study.Reading{
		{PatchID: v.Patches[0].ID, Stage: study.Washed, AnglesDeg: []float64{100}},
	}})
	y.vehicle("Cfb", "BARE", clean{10, 80}, clean{20, 95}) // a control is no patch to look at

	r := reportOf(t, y)
	assert.Equal(t, []Review{
		{"V1", "P1", serviceBegan + 30, study.PassAfterSpent},
		{"V1", "P1", serviceBegan + 40, study.PassAfterSpent},
		{"V3", "P1", serviceBegan + 50, study.ContraryPair},
	}, r.Reviews)

	groups := reviewGroups(r.Reviews)
	require.Len(t, groups, 2)
	assert.Equal(t, "Passed after it counted as spent: 2 visits", groups[0].Heading)
	assert.Equal(t, [][]string{{"V3", "P1", (serviceBegan + 50).String()}}, groups[1].Table.Rows)

	for _, kind := range []study.ReviewKind{study.CancelledFail, study.PassAfterSpent, study.ContraryPair} {
		assert.NotEmpty(t, Review{What: kind}.Seen())
		assert.NotEmpty(t, Review{What: kind}.Advice())
	}
}

// TestDecidedTable: every count that the rules keep is told, in its own row.
func TestDecidedTable(t *testing.T) {
	d := study.Decided{Patches: 1, Visits: 2, Spent: 3, Masked: 4, DoubtfulVisits: 5, Cancelled: 6, Pending: 7, Contrary: 8,
		PassedAfter: 9, LeftCensored: 10, LateEntry: 11, NeverHeld: 12, NeverConclusive: 13, CutByTopper: 14, CutByCare: 15, VisitsAfterCut: 16}
	counts := map[string]bool{}
	for _, row := range decidedTable(d, atOnce()).Rows {
		counts[row[1]] = true
	}
	assert.Len(t, counts, 16)
}
