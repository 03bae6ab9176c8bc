package reports

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLifeJSON reads the JSON as a program would.
func TestLifeJSON(t *testing.T) {
	y := newYard()
	for i := range 6 {
		y.spent("Cfb", "A", 100+i, 200+i)
	}
	for range 20 {
		y.held("Cfb", "A", 366)
	}
	y.held("BWh", "A", 366)
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating, ByClimate))
	require.NoError(t, err)
	var buf bytes.Buffer
	require.NoError(t, life.WriteJSON(&buf))
	var got struct {
		By    []string
		Level float64 `json:"confidence_level"`
		Rows  []map[string]any
		Notes []string
	}
	require.NoError(t, json.Unmarshal(buf.Bytes(), &got))
	assert.Equal(t, []string{"coating", "climate"}, got.By)
	assert.Equal(t, 0.95, got.Level)
	require.Len(t, got.Rows, 2)

	few, many := got.Rows[0], got.Rows[1] // BWh, Cfb
	assert.Equal(t, "BWh", few["climate"])
	assert.Nil(t, few["median_life_months"], "not estimable is null")
	assert.Nil(t, few["median_life_reached"])
	assert.NotEmpty(t, few["notes"])
	assert.Equal(t, "Cfb", many["climate"])
	assert.Nil(t, many["median_life_months"], "not reached is null")
	assert.Equal(t, false, many["median_life_reached"])
	assert.Nil(t, many["share_holding_at_24_months"])
	assert.InDelta(t, 20.0/26, many["share_holding_at_12_months"], 1e-9)
	assert.Equal(t, 26.0, many["n_vehicles"])
	// Six patches were spent by day 205; the twenty that were still seen on day 366
	// are followed at 9 months, day 274, and half a month later than 12 nobody is.
	curve := many["curve"].([]any)
	assert.Len(t, curve, 2*12+1)
	assert.Equal(t, 20.0, curve[18].(map[string]any)["n_patches_followed"])
	assert.InDelta(t, 20.0/26, curve[18].(map[string]any)["share_holding"], 1e-9)
	assert.Empty(t, few["curve"], "no estimate, no curve")
	delete(many, "curve") // which CSV leaves out

	buf.Reset()
	require.NoError(t, life.WriteCSV(&buf))
	rows, err := csv.NewReader(&buf).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 3)
	assert.Len(t, rows[0], len(many))
	for i, name := range rows[0] {
		_, known := many[name]
		assert.True(t, known, name)
		if many[name] == nil {
			assert.Empty(t, rows[2][i], name)
		}
	}
}

// TestLifeText is a table whose every figure follows by reasoning: ten vehicles
// of which none was spent, so the only number is the bound 0.05^(1/10) = 0.74.
func TestLifeText(t *testing.T) {
	y := newYard()
	for range 10 {
		y.held("Cfb", "A", 366)
	}
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating))
	require.NoError(t, err)
	var buf bytes.Buffer
	require.NoError(t, life.WriteText(&buf))
	lines := strings.Split(buf.String(), "\n")
	assert.Equal(t, []string{"Coating", "Vehicles", "Spent", "Half", "spent", "by", "%", "hold", "12", "mo", "%", "hold", "24", "mo", "Seen"}, strings.Fields(lines[0]))
	assert.Equal(t, []string{"A", "10", "0/10", "–", "–", "–", "12.0"}, strings.Fields(lines[2]))
	text := strings.Join(strings.Fields(buf.String()), " ")
	assert.Contains(t, text, "* A: All 10 vehicles followed for 12 months still held: with 95 % confidence at least 74 % of such vehicles would (0.05^(1/10)).")
}

// TestTextKeepsToItsWidth: 100 columns at most with the longest codes there
// are.
func TestTextKeepsToItsWidth(t *testing.T) {
	y := newYard()
	for i := range 40 {
		y.spent("Cfb", strings.Repeat("M", 40), 300+7*i, 340+9*i)
		y.spent("BWh", strings.Repeat("W", 40), 300+7*i, 340+9*i)
	}
	life, err := NewLife(t.Context(), y.follow(), DefaultLifeOptions(ByCoating, ByClimate))
	require.NoError(t, err)
	var buf bytes.Buffer
	require.NoError(t, life.WriteText(&buf))
	for line := range strings.Lines(buf.String()) {
		assert.LessOrEqual(t, len([]rune(strings.TrimRight(line, "\n"))), 100, line)
	}
}
