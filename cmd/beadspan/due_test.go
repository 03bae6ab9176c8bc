package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// The vehicle of the README's log was washed and read on 20 April 2026, at a
// place where it freezes in winter. The days are counted by hand from the plan.
func TestDue(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	assert.Contains(t, must(t, "due", "--on", "2026-06-03", url), "On 2026-06-03: nothing is due for any of 1 vehicle.\n")

	text := inOneLine(must(t, "due", "--on", "2026-06-04", url))
	assert.Contains(t, text, "V-001 2026-06-04 maintenance wash A every 45 days; last on 2026-04-20")
	assert.Contains(t, text, "On 2026-06-04, 1 of 1 vehicle due: maintenance wash: 1 vehicle, 1 patch")
	assert.Contains(t, text, "next checkup by 2026-07-19, the plain interval: too few such coatings were spent so far")

	narrow := must(t, "due", "--on", "2026-06-03", "--ahead", "1", "--width", "40", url)
	assert.Contains(t, inOneLine(narrow), "V-001 (harbour) - maintenance wash A, due 2026-06-04, in 1 day: every 45 days")

	var list struct {
		Due []struct {
			Vehicle string
			Due     []struct{ Kind, Since string }
		} `json:"due_vehicles"`
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "due", "--on", "2026-12-31", "--json", url)), &list))
	require.Len(t, list.Due, 1)
	assert.Equal(t, "decon_wash", list.Due[0].Due[0].Kind)
	assert.Equal(t, "2026-10-02", list.Due[0].Due[0].Since, "165 days, before the salt season")
	assert.Equal(t, 3, strings.Count(must(t, "due", "--on", "2026-12-31", "--csv", url), "\n"), "heading, decon wash, checkup")
}

// inOneLine undoes how text was broken into lines.
func inOneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// Care by another plan is due on other days, and a study keeps its plan.
func TestDueByThePlan(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	added := must(t, "study", "add", "field", "--wash-days", "30", "--checkup-days", "0", url)
	assert.Contains(t, added, "plan: maintenance wash every 30 days, iron remover every 105 days")
	must(t, "load", smallLog(t), url)
	assert.Contains(t, must(t, "due", "--on", "2026-05-20", url), "every 30 days; last on 2026-04-20")
	assert.NotContains(t, must(t, "due", "--on", "2026-09-01", url), "checkup")

	must(t, "study", "plan", "--wash-days", "60", url)
	assert.Contains(t, must(t, "due", "--on", "2026-05-20", url), "nothing is due")
	assert.Contains(t, must(t, "study", "plan", "--json", url), `"wash_days": 60`)
	r := beadspan(t, "study", "plan", "--wash-days", "2", url)
	assert.Equal(t, exitUsage, r.code)
	assert.Contains(t, r.err, "expected 7 to 1000 days, or 0 for never")
}

func TestDueRefuses(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	for words, args := range map[string][]string{
		`name one of harbour`:        {"--site", "nowhere"},
		`is not a date like`:         {"--on", "today"},
		`--ahead from 0 to 1000`:     {"--ahead", "-1"},
		`can't be used together`:     {"--json", "--csv"},
		`there is no study "winter"`: {"--study", "winter"},
	} {
		r := beadspan(t, append([]string{"due", url}, args...)...)
		assert.Equal(t, exitUsage, r.code, args)
		assert.Contains(t, r.err, words)
	}
}
