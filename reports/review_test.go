package reports

import (
	"bytes"
	"encoding/csv"
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

// TestManyReviews: the page lists the latest and says where all are.
func TestManyReviews(t *testing.T) {
	var reviews []Review
	for day := range study.Day(1234) {
		reviews = append(reviews, Review{"V", "P", day, study.CancelledFail})
	}
	g := reviewGroups(reviews)[0]
	assert.Equal(t, "Failed clean, then passed: 1,234 visits", g.Heading)
	assert.Equal(t, "Failed clean, then passed: the latest 200 of 1,234, all of which are in reviews.csv", g.Table.Caption)
	require.Len(t, g.Table.Rows, 200)
	assert.Equal(t, study.Day(1233).String(), g.Table.Rows[0][2])
	assert.Equal(t, study.Day(0), reviews[0].Day, "the report's own list stays in order")

	var buf bytes.Buffer
	require.NoError(t, (&Report{Reviews: reviews}).WriteReviewsCSV(&buf))
	lines, err := csv.NewReader(&buf).ReadAll()
	require.NoError(t, err)
	require.Len(t, lines, 1235)
	assert.Equal(t, []string{"V", "P", "1970-01-01", "cancelled_fail", Review{What: study.CancelledFail}.Seen()}, lines[1][:5])
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
