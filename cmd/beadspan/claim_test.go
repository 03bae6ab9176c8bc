package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// TestClaim judges the claims of a loaded fleet. The demo's truth is known: BIRCH
// is claimed to last 12 to 24 months, and in the desert half of its patches are
// spent after 10.5, so that it can't be supported there; ALDER's half lasts 7.5 to
// 12 months, of 6 to 12 that are claimed.
func TestClaim(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	must(t, "load", demoLog(t), url)

	out := must(t, "claim", url, "--replicates", "99")
	assert.Contains(t, out, "ALDER: the claim of 6 to 12 months is supported.")
	assert.Contains(t, out, "not a warranty")
	assert.NotContains(t, out, "BARE")

	var all struct {
		Claims []struct {
			Coating   string
			Verdict   string
			ByClimate []struct{ Climate, Verdict string } `json:"by_climate"`
		}
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "claim", "BIRCH", url, "--replicates", "99", "--json")), &all))
	require.Len(t, all.Claims, 1)
	assert.NotEqual(t, "supported", all.Claims[0].Verdict)
	require.Len(t, all.Claims[0].ByClimate, 4)
	assert.Equal(t, "BWh", all.Claims[0].ByClimate[0].Climate)
	assert.NotEqual(t, "supported", all.Claims[0].ByClimate[0].Verdict)
	lines := strings.Split(strings.TrimSpace(must(t, "claim", url, "--replicates", "99", "--csv")), "\n")
	assert.Len(t, lines, 1+3*2*(1+4), "a line for each end, of three coatings, in all climates and in each of four")

	for _, c := range []struct {
		args []string
		says string
		code int
	}{
		{[]string{"OAK"}, "it has ALDER, BARE, BIRCH, CEDAR", exitFailed},
		{[]string{"BARE"}, "nothing is claimed of BARE: give claim_low_months", exitFailed},
		{[]string{"--replicates", "5"}, "5 bootstrap replicates", exitUsage},
		{[]string{"--json", "--csv"}, "can't be used together", exitUsage},
	} {
		r := beadspan(t, append([]string{"claim", url}, c.args...)...)
		assert.Equal(t, c.code, r.code, c.args)
		assert.Contains(t, r.err, c.says)
	}

	added := must(t, "study", "add", "strict", url, "--claim-low-pct", "95", "--claim-high-pct", "50", "--claim-confidence-pct", "99")
	assert.Contains(t, added, "claims: 95 % must outlast the lower end and 50 % the higher, by 99 % limits")
	assert.Contains(t, must(t, "claim", url, "--study", "strict"), "coatings.csv")
	r := beadspan(t, "study", "add", "wrong", url, "--claim-low-pct", "5")
	assert.Equal(t, exitUsage, r.code)
	assert.Contains(t, r.err, "claim_high_pct")
}
