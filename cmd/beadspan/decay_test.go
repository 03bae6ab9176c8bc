package main

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// TestDecay asks a loaded fleet how its angles fall, and a vehicle what to
// expect.
func TestDecay(t *testing.T) {
	url := "--database-url=" + storetest.URL(t)
	must(t, "load", demoLog(t), url)

	out := must(t, "decay", url, "--replicates", "99")
	assert.Contains(t, out, "The typical patch, by a curve for each patch")
	assert.Contains(t, out, "By checkups")
	assert.Contains(t, out, "not a warranty")
	for line := range strings.Lines(out) {
		assert.LessOrEqual(t, len([]rune(line)), 101, line)
	}
	var all struct {
		Coatings []struct {
			Coating    string
			Mean       map[string]any `json:"least_squares"`
			Population map[string]any `json:"mixed_model"`
			Patches    []any
		}
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "decay", url, "--replicates", "99", "--coating", "BIRCH", "--json")), &all))
	require.Len(t, all.Coatings, 1)
	birch := all.Coatings[0]
	assert.Equal(t, "BIRCH", birch.Coating)
	assert.NotNil(t, birch.Mean["tau_days"])
	assert.NotNil(t, birch.Population["tau_days"])
	assert.NotEmpty(t, birch.Patches)

	assert.Contains(t, must(t, "decay", url, "--vehicle", "R034", "--on", "2025-06-01"), "more likely than not")
	var outlook struct {
		On      string
		Patches []map[string]any
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "decay", url, "--vehicle", "R034", "--on", "2025-06-01", "--json")), &outlook))
	assert.Equal(t, "2025-06-01", outlook.On)
	assert.NotEmpty(t, outlook.Patches)

	for _, c := range []struct {
		args []string
		says string
	}{
		{[]string{"--level", "1"}, "confidence level 1"},
		{[]string{"--vehicle", "R034", "--level", "1"}, "confidence level 1"},
		{[]string{"--coating", "OAK"}, "name one of ALDER, BIRCH, CEDAR"},
		{[]string{"--vehicle", "nobody"}, "vehicles.csv"},
		{[]string{"--on", "tomorrow"}, "--on"},
		{[]string{"--coating", "BIRCH", "--vehicle", "R034"}, "can't be used together"},
	} {
		r := beadspan(t, append([]string{"decay", url}, c.args...)...)
		assert.Equal(t, exitUsage, r.code, "%v: %s", c.args, r.err)
		assert.Contains(t, r.err, c.says, "%v", c.args)
		assert.Empty(t, r.out, "%v", c.args)
	}
}

func TestDecayHelpHasAnExample(t *testing.T) {
	assert.Contains(t, must(t, "decay", "--help"), "beadspan decay --demo --vehicle")
}
