package pooled

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/stats/survival"
)

// lives makes n lives of a cell, each on a cluster of its own: ended of them
// between 0.9 and 1.1 times about the median, the others holding till then.
func lives(kind, place string, n, ended int, median float64, cluster *int) []Life {
	var all []Life
	for i := range n {
		*cluster++
		at := median * (0.7 + 0.6*float64(i)/float64(n))
		span := survival.RightCensored(at)
		if i < ended {
			span = survival.Between(0.9*at, 1.1*at)
		}
		all = append(all, Life{Span: span.OfCluster(*cluster), Kind: kind, Place: place})
	}
	return all
}

func TestTooFewPlaces(t *testing.T) {
	cluster := 0
	d := Data{Lives: append(lives("A", "x", 20, 15, 300, &cluster), lives("A", "y", 20, 15, 400, &cluster)...)}
	r, err := Fit(d, 0.95)
	require.NoError(t, err)
	assert.Contains(t, r.Unpooled, "it takes 3")
	require.Len(t, r.Cells, 2)
	assert.NotNil(t, r.Cells[0].Own)
	assert.Nil(t, r.Cells[0].Pooled)
	assert.Nil(t, r.PlaceSD)
	fresh, err := r.NewPlace("A")
	require.NoError(t, err)
	assert.Nil(t, fresh)
	_, err = r.OnLoad("uv", nil)
	assert.ErrorIs(t, err, ErrLoad)
}

// TestNobodyEnded: a cell in which all lives hold far beyond what the others
// make likely is drawn up by its lives, and its kind with it.
func TestNobodyEnded(t *testing.T) {
	cluster := 0
	var d Data
	for i, place := range []string{"w", "x", "y"} {
		d.Lives = append(d.Lives, lives("A", place, 20, 15, 300+50*float64(i), &cluster)...)
	}
	without, err := Fit(d, 0.95)
	require.NoError(t, err)
	d.Lives = append(d.Lives, lives("A", "z", 20, 0, 600, &cluster)...)
	d.Lives = append(d.Lives, lives("B", "z", 4, 1, 600, &cluster)...)
	r, err := Fit(d, 0.95)
	require.NoError(t, err)
	require.Len(t, r.Cells, 5)
	z := r.Cells[3]
	assert.Equal(t, "z", z.Place)
	assert.Nil(t, z.Own)
	require.NotNil(t, z.Pooled)
	assert.Greater(t, z.Pooled.Time, 450.0)
	assert.Greater(t, r.Kinds[0].Pooled.Time, without.Kinds[0].Pooled.Time)
	assert.Greater(t, *r.PlaceSD, *without.PlaceSD)
	assert.False(t, r.Unsettled)
	assert.Nil(t, r.Cells[4].Pooled, "B has no cell of its own median")
	assert.Nil(t, r.CellSD)
	_, err = r.OnLoad("uv", map[string]float64{"w": 1, "x": 2, "y": 3, "z": 4})
	assert.ErrorIs(t, err, ErrLoad, "three places have a median of their own")
}

// TestUnitAndCovariates: a median doesn't change with the unit of time, nor
// with where a covariate's 0 lies, and covariates that differ between the cells
// aren't taken for the cells' doing.
func TestUnitAndCovariates(t *testing.T) {
	s := demoLike()
	drawn := s.draw(3)
	r, err := Fit(drawn.data, 0.9)
	require.NoError(t, err)
	months := Data{Covariates: drawn.data.Covariates}
	for _, l := range drawn.data.Lives {
		l.Span.Lower, l.Span.Upper = l.Span.Lower/30, l.Span.Upper/30
		months.Lives = append(months.Lives, l)
	}
	m, err := Fit(months, 0.9)
	require.NoError(t, err)
	for i := range months.Lives {
		months.Lives[i].Covariates = []float64{months.Lives[i].Covariates[0] + 10}
	}
	moved, err := Fit(months, 0.9)
	require.NoError(t, err)
	for i, c := range r.Cells {
		assert.InEpsilon(t, c.Pooled.Time, 30*m.Cells[i].Pooled.Time, 1e-3)
		assert.InEpsilon(t, c.Own.Upper, 30*m.Cells[i].Own.Upper, 1e-6)
		assert.InEpsilon(t, m.Cells[i].Own.Time, moved.Cells[i].Own.Time, 1e-6)
	}
	require.Len(t, r.Covariates, 1)
	assert.InDelta(t, math.Exp(-0.14), r.Covariates[0].Value, 0.06, "level ones live 0.87 times as long in the scenario")
	assert.Less(t, r.Covariates[0].P, 0.01)
}

// TestLimits takes the 97.5 % points of the t distribution with 4 and the normal
// one with infinitely many degrees of freedom, 2.776 and 1.960, from the tables
// that textbooks print (from memory).
func TestLimits(t *testing.T) {
	m := newMedian(math.Log(100), 0.1, 4, 0.95)
	assert.InDelta(t, 100*math.Exp(0.2776), m.Upper, 0.02)
	assert.InDelta(t, 100*math.Exp(-0.2776), m.Lower, 0.02)
	m = newMedian(math.Log(100), 0.1, math.Inf(1), 0.95)
	assert.InDelta(t, 100*math.Exp(0.1960), m.Upper, 0.02)

	f := newFactor("uv", -0.02, 0.005, 4, 0.95).For(10)
	assert.InDelta(t, math.Exp(-0.2), f.Value, 1e-12)
	assert.InDelta(t, math.Exp(-0.2-0.1388), f.Lower, 1e-4)
	assert.InDelta(t, 0.0161, f.P, 1e-4, "of t = 4 with 4 degrees of freedom")
}

// TestMore has a cell of 16 ended lives whose log median has SE 0.2, so K is
// 0.64; to within 30 % at 95 % takes 0.64 (1.95996/log 1.3)² = 35.7, so 36, by
// hand. Twenty more cost 20 × 160/16.
func TestMore(t *testing.T) {
	c := Cell{Kind: "A", Lives: 30, Clusters: 20, Ended: 16, Watched: 160, Own: &Median{SELog: 0.2}}
	none := Cell{Kind: "A", Lives: 20, Clusters: 10, Pooled: &Median{Time: 24}}
	cells := []Cell{c, none}
	more, known := More(cells, c, 0.3, 0.95)
	assert.True(t, known)
	assert.InDelta(t, 200, more, 1e-9)
	more, known = More(cells, none, 0.3, 0.95)
	assert.True(t, known)
	assert.InDelta(t, 36*24*0.5, more, 1e-9, "two lives a cluster")
	none.Pooled = nil
	more, _ = More(cells, none, 0.3, 0.95)
	assert.InDelta(t, 36*10, more, 1e-9, "as its kind elsewhere")
	c.Own.SELog = 0.01
	more, known = More(cells, c, 0.3, 0.95)
	assert.True(t, known)
	assert.Zero(t, more)

	first := Cell{Kind: "A", Ended: 2, Watched: 60}
	more, known = More([]Cell{first}, first, 0.3, 0.95)
	assert.True(t, known)
	assert.InDelta(t, 3*30, more, 1e-9, "three more for a first median")
	_, known = More([]Cell{{Kind: "A"}}, Cell{Kind: "A"}, 0.3, 0.95)
	assert.False(t, known)
}

func TestFitRefuses(t *testing.T) {
	cluster := 0
	_, err := Fit(Data{Lives: lives("A", "x", 4, 4, 300, &cluster)}, 0.95)
	assert.ErrorIs(t, err, ErrTooLittle)
	_, err = Fit(Data{}, 0.95)
	assert.ErrorIs(t, err, survival.ErrNoSpans)
	d := Data{Lives: lives("A", "x", 20, 15, 300, &cluster)}
	_, err = Fit(d, 1)
	assert.ErrorIs(t, err, survival.ErrLevel)
	d.Covariates = []string{"level"}
	_, err = Fit(d, 0.95)
	assert.ErrorContains(t, err, "covariates")
}

func TestOnLoadRefuses(t *testing.T) {
	r, err := Fit(demoLike().draw(3).data, 0.95)
	require.NoError(t, err)
	require.Len(t, r.Places, 4)
	same, some := map[string]float64{}, map[string]float64{}
	for _, place := range r.Places {
		same[place] = 7
		some[place] = 7
	}
	_, err = r.OnLoad("uv", same)
	assert.ErrorIs(t, err, ErrLoad)
	delete(some, r.Places[1])
	_, err = r.OnLoad("uv", some)
	assert.ErrorIs(t, err, ErrLoad)
	assert.ErrorContains(t, err, r.Places[1])
}
