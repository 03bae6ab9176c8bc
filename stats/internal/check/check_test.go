package check

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The rule of testdata/reference/README.md: |got − want| ≤ abs + rel·|want|.
func TestNear(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	for _, c := range []struct {
		got, want float64
		tol       Tolerance
		near      bool
	}{
		{1, 1, Tolerance{}, true},
		{1 + 1e-9, 1, Tolerance{}, false},
		{100.5, 100, Tolerance{Rel: 0.005}, true},
		{100.6, 100, Tolerance{Rel: 0.005}, false},
		{-100.5, -100, Tolerance{Rel: 0.005}, true},
		{1e-9, 0, Tolerance{Rel: 1}, false},
		{1e-9, 0, Tolerance{Abs: 1e-8}, true},
		{nan, nan, Tolerance{Rel: 1, Abs: inf}, false},
		{nan, 1, Tolerance{Abs: inf}, false},
		{1, nan, Tolerance{Abs: inf}, false},
		{inf, inf, Tolerance{}, true},
		{inf, -inf, Tolerance{Rel: 1}, false},
		{1, inf, Tolerance{Rel: 1}, false},
		{inf, 1, Tolerance{Rel: 1, Abs: 1}, false},
	} {
		assert.Equal(t, c.near, Near(c.got, c.want, c.tol), "%+v", c)
	}
}

// recorder stands in for a test that is expected to fail.
type recorder struct {
	testing.TB
	failed bool
}

func (r *recorder) Helper()               {}
func (r *recorder) Errorf(string, ...any) { r.failed = true }

func TestValueFailsWhatIsNotNear(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		got, want float64
		fails     bool
	}{
		{1, 1, false}, {1, 2, true}, {nan, 1, true}, {1, nan, true}, {nan, nan, false},
	} {
		var one, many recorder
		Value(&one, "", c.got, c.want, Tolerance{})
		Values(&many, "", []float64{c.got}, []Number{Number(c.want)}, Tolerance{})
		assert.Equal(t, c.fails, one.failed, "%+v", c)
		assert.Equal(t, c.fails, many.failed, "%+v", c)
	}
	var short recorder
	Values(&short, "", nil, []Number{1}, Tolerance{Abs: 9})
	assert.True(t, short.failed, "a missing number")
}

func TestNumberReadsWhatJSONLacks(t *testing.T) {
	got := Decode[[]Number](t, json.RawMessage(`[1.5, null, "Inf", "-Inf"]`))
	assert.Equal(t, Number(1.5), got[0])
	assert.True(t, math.IsNaN(float64(got[1])))
	assert.Equal(t, []Number{Number(math.Inf(1)), Number(math.Inf(-1))}, got[2:])

	var n Number
	assert.ErrorContains(t, json.Unmarshal([]byte(`"many"`), &n), "neither a number")
}

// The 6-MP case holds 42 patients in 21 pairs (testdata/reference/README.md).
func TestCasesReadsTheReference(t *testing.T) {
	for _, c := range Cases(t, "kaplan-meier") {
		if c.ID != "kaplan-meier/leukemia-6mp" {
			continue
		}
		require.Equal(t, 42, c.Data.Len())
		assert.Equal(t, 21, c.Data.Where(t, map[string]any{"group": "6-MP"}).Len())
		assert.Equal(t, 2, c.Data.Where(t, map[string]any{"pair": float64(7)}).Len())
		assert.Equal(t, 1.0, c.Data.Floats(t, "time", 0)[0])
		assert.Equal(t, Tolerance{Rel: 1e-8, Abs: 1e-10}, *c.Checks[0].Tolerance)
		return
	}
	t.Fatal("the 6-MP case is missing")
}

func TestTableBlanks(t *testing.T) {
	d := Table{heading: []string{"time", "n"}, rows: [][]string{{"3", "2"}, {"", "1"}, {"5", "0"}}}
	assert.Equal(t, []float64{3, -1, 5}, d.Floats(t, "time", -1))
	assert.Equal(t, []string{"3", "5"}, d.Complete(t, "time").Text(t, "time"))
}
