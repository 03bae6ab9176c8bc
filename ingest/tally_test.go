package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

const careHeadings = "vehicle,date,kind,patch\n"

// Past the cap problems are only counted, but in the summary all of them are.
func TestProblemsAreCapped(t *testing.T) {
	lines := problemsOf(t, with(map[string]string{
		"checkups.csv": "vehicle,date,stage,patch,angle_1_deg\nV-1,2025-04-12,decon,P9,200\nV-1,2025-04-12,decon,P1,x\n",
		"care.csv": careHeadings + strings.Repeat("V-1,2025-05-01,waxing,\n", 1500) +
			"V-1,2025-02-30,clay,\n" + strings.Repeat("V-3,2025-05-01,clay,\nV-1,2025-05-01,clay,Q1\n", 30),
	}), Options{})
	require.Greater(t, len(lines), study.MaxProblems)
	assert.Equal(t, `care.csv, row 2, kind: "waxing": expected one of maintenance_wash, iron_remover, decon_wash, topper, polish, clay, `+
		"polish_through, film_replaced, repaint, recoat, sold, lost", lines[3])
	assert.Equal(t, `care.csv, row 998, kind: "waxing"`, lines[study.MaxProblems-1][:len(`care.csv, row 998, kind: "waxing"`)])
	assert.Equal(t, []string{
		"and 564 more problems", // 3 + 1500 + 1 + 30 + 30 less 1000
		"in short:",
		"care.csv, row 2, kind: 1500 problems, this the first: expected one of maintenance_wash, iron_remover, decon_wash, …",
		"care.csv, row 1503, vehicle: 30 problems, this the first: there is no such vehicle in vehicles",
		"care.csv, row 1504, patch: 30 problems, this the first: there is no such patch in patches of vehicle V-1",
		"checkups.csv, row 2, angle_1_deg: 1 problem: expected 0 to 180 degrees",
		"checkups.csv, row 2, patch: 1 problem: there is no such patch in patches of vehicle V-1",
		"checkups.csv, row 3, angle_1_deg: 1 problem: expected a number (degrees)",
		"care.csv, row 1502, date: 1 problem: there is no day 30 of month 02 in 2025",
	}, lines[study.MaxProblems:])
}

// A summary is for what doesn't fit a screen.
func TestSummaryNeedsManyAlike(t *testing.T) {
	// Two columns with twenty faults each are forty lines, no two kinds more than twenty.
	twenty := strings.Repeat("V-1,yesterday,waxing,\n", 20)
	assert.Len(t, problemsOf(t, with(map[string]string{"care.csv": careHeadings + twenty}), Options{}), 40)
	lines := problemsOf(t, with(map[string]string{"care.csv": careHeadings + twenty + "V-1,yesterday,clay,\n"}), Options{})
	require.Len(t, lines, 41+3)
	assert.Equal(t, []string{
		"in short:",
		"care.csv, row 2, date: 21 problems, this the first: expected a date such as 2025-03-04",
		"care.csv, row 2, kind: 20 problems, this the first: expected one of maintenance_wash, iron_remover, decon_wash, …",
	}, lines[41:])
}

// The summary itself fits a screen.
func TestSummaryIsShort(t *testing.T) {
	checkups := "vehicle,date,stage,patch"
	for drop := range 19 {
		checkups += fmt.Sprintf(",angle_%d_deg", drop+1)
	}
	checkups += "\n" + strings.Repeat("V-1,2025-04-12,decon,P1"+strings.Repeat(",x", 19)+"\n", 30) + "V-9,soon,soaked,\n"
	lines := problemsOf(t, with(map[string]string{"checkups.csv": checkups}), Options{})
	require.Len(t, lines, 30*19+3+1+1+20+1)
	assert.Equal(t, "in short:", lines[574])
	assert.Equal(t, "and 3 more kinds of problem", lines[len(lines)-1])
}
