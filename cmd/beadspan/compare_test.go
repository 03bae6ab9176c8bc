package main

import (
	"encoding/csv"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// TestCompare compares the coatings of a loaded fleet, in every form.
func TestCompare(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	must(t, "load", demoLog(t), url)

	dir := filepath.Join(t.TempDir(), "plots")
	out := must(t, "compare", url, "--replicates", "20", "--out", dir)
	assert.Contains(t, out, "CEDAR and ALDER")
	assert.Contains(t, out, "What would change the conclusion")
	assert.Contains(t, out, "not a warranty")
	for line := range strings.Lines(out) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
	for _, name := range []string{"compare-ratios.svg", "compare-months.png", "compare-readings-CEDAR-BIRCH.svg"} {
		file, err := os.Stat(filepath.Join(dir, name))
		require.NoError(t, err)
		assert.NotZero(t, file.Size())
	}

	var of struct {
		Pairs []struct {
			A       string  `json:"coating_a"`
			B       string  `json:"coating_b"`
			Ratio   float64 `json:"ratio_of_lives"`
			Horizon float64 `json:"horizon_months"`
		}
	}
	args := []string{"compare", "ALDER", "CEDAR", url, "--replicates", "20", "--horizon-months", "12"}
	require.NoError(t, json.Unmarshal([]byte(must(t, append(args, "--json")...)), &of))
	require.Len(t, of.Pairs, 1)
	assert.Equal(t, [2]string{"CEDAR", "ALDER"}, [2]string{of.Pairs[0].A, of.Pairs[0].B})
	assert.Greater(t, of.Pairs[0].Ratio, 1.0)
	assert.Equal(t, 12.0, of.Pairs[0].Horizon)
	rows, err := csv.NewReader(strings.NewReader(must(t, append(args, "--csv")...))).ReadAll()
	require.NoError(t, err)
	assert.Len(t, rows, 2)

	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"--level", "1"}, "confidence level 1"},
		{[]string{"OAK"}, `no patch of the study has the coating "OAK", expected some of ALDER, BIRCH, CEDAR`},
		{[]string{"--replicates", "3"}, "expected 10 or more"},
		{[]string{"--horizon-months", "-2"}, "--horizon-months must be above 0"},
	} {
		r := beadspan(t, append([]string{"compare", url}, c.args...)...)
		assert.Equal(t, exitUsage, r.code, c.args)
		assert.Contains(t, r.err, c.says)
	}
}
