package cox_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	. "beadspan/stats/survival/cox"
)

var close = check.Tolerance{Rel: 1e-7, Abs: 1e-8}

// draw returns rows large enough to fit: n lives with two covariates in two
// strata, some late, on whole days so that many tie, or continuous.
func draw(seed uint64, n int, tied, late bool) Data {
	source := rand.New(rand.NewPCG(seed, 3))
	d := Data{Covariates: 2}
	for range n {
		x, y := source.NormFloat64(), float64(source.IntN(2))
		stop := 20 * source.ExpFloat64() * math.Exp(-0.4*x+0.5*y)
		if tied {
			stop = math.Ceil(stop / 4)
		}
		d.X = append(d.X, x, y)
		d.Stop = append(d.Stop, stop)
		d.Event = append(d.Event, source.IntN(3) > 0)
		d.Stratum = append(d.Stratum, source.IntN(2))
		d.Cluster = append(d.Cluster, len(d.Cluster)/2)
		if late {
			d.Start = append(d.Start, stop*source.Float64()*0.8)
		}
	}
	return d
}

func someFit(t *rapid.T) (Data, Ties) {
	d := draw(rapid.Uint64Range(1, 1e6).Draw(t, "seed"), rapid.IntRange(30, 80).Draw(t, "rows"),
		rapid.Bool().Draw(t, "tied"), rapid.Bool().Draw(t, "late"))
	return d, rapid.SampledFrom([]Ties{Efron, Breslow}).Draw(t, "ties")
}

func mustFit(t require.TestingT, d Data, ties Ties) *Model {
	m, err := Fit(d, ties)
	require.NoError(t, err)
	return m
}

func near(t assert.TestingT, what string, got, want float64) {
	assert.True(t, check.Near(got, want, close), "%s: got %v, want %v", what, got, want)
}

// same compares what two fits say that must not differ, coefficients divided by
// factors.
func same(t assert.TestingT, want, got *Model, factors ...float64) {
	near(t, "log-likelihood", got.LogLik-got.LogLikNull, want.LogLik-want.LogLikNull)
	near(t, "score test", got.Score.ChiSq, want.Score.ChiSq)
	for j, c := range want.Coefficients {
		assert.Equal(t, c.State, got.Coefficients[j].State)
		if c.State != Estimated { // separated by chance
			continue
		}
		f := 1.0
		if factors != nil {
			f = factors[j]
		}
		near(t, "coefficient", got.Coefficients[j].Value*f, c.Value)
		near(t, "SE", got.Coefficients[j].SE*f, c.SE)
		near(t, "robust SE", got.Coefficients[j].RobustSE*f, c.RobustSE)
	}
	near(t, "C", got.Concordance().C, want.Concordance().C)
	near(t, "SE of C", got.Concordance().SE, want.Concordance().SE)
}

func permuted(d Data, order []int) Data {
	p := Data{Covariates: d.Covariates}
	for _, i := range order {
		p.X = append(p.X, d.X[i*d.Covariates:(i+1)*d.Covariates]...)
		p.Stop, p.Event = append(p.Stop, d.Stop[i]), append(p.Event, d.Event[i])
		p.Stratum, p.Cluster = append(p.Stratum, d.Stratum[i]), append(p.Cluster, d.Cluster[i])
		if d.Start != nil {
			p.Start = append(p.Start, d.Start[i])
		}
	}
	return p
}

func cloned(d Data) Data {
	order := make([]int, len(d.Stop))
	for i := range order {
		order[i] = i
	}
	return permuted(d, order)
}

func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		order := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "order"), 0)).Perm(len(d.Stop))
		same(t, mustFit(t, d, ties), mustFit(t, permuted(d, order), ties))
	})
}

func TestUnitOfTimeDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		m := mustFit(t, d, ties)
		factor := rapid.SampledFrom([]float64{1e-9, 1 / 30.4375, 30.4375, 1e9}).Draw(t, "factor")
		scaled := cloned(d)
		for i := range scaled.Stop {
			scaled.Stop[i] *= factor
		}
		for i := range scaled.Start {
			scaled.Start[i] *= factor
		}
		same(t, m, mustFit(t, scaled, ties))
	})
}

func TestUnitAndOriginOfCovariatesDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		moved := cloned(d)
		factors := []float64{rapid.SampledFrom([]float64{1e-8, 0.5, 1e8}).Draw(t, "unit"), 3}
		for i := range moved.Stop {
			moved.X[2*i] = moved.X[2*i]*factors[0] + 5*factors[0]
			moved.X[2*i+1] = moved.X[2*i+1]*factors[1] - 1000*float64(1+moved.Stratum[i]) // the origin is free in each stratum
		}
		same(t, mustFit(t, d, ties), mustFit(t, moved, ties), factors...)
	})
}

// A row cut in two, the first part without an end, tells the same. Clusters
// keep the parts together.
func TestCuttingRowsDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		for i := range d.Cluster {
			d.Cluster[i] = i
		}
		m := mustFit(t, d, ties)
		cut := cloned(d)
		if cut.Start == nil {
			cut.Start = make([]float64, len(cut.Stop))
		}
		for i := range len(d.Stop) {
			middle := (cut.Start[i] + cut.Stop[i]) / 2
			cut.X = append(cut.X, cut.X[2*i:2*i+2]...)
			cut.Start, cut.Stop, cut.Event = append(cut.Start, cut.Start[i]), append(cut.Stop, middle), append(cut.Event, false)
			cut.Stratum, cut.Cluster = append(cut.Stratum, cut.Stratum[i]), append(cut.Cluster, cut.Cluster[i])
			cut.Start[i] = middle
		}
		same(t, m, mustFit(t, cut, ties))
	})
}

// skipSeparated reports whether either of two alike fits lacks a coefficient.
func skipSeparated(t require.TestingT, a, b *Model) bool {
	lacks := false
	for j, c := range a.Coefficients {
		require.Equal(t, c.State, b.Coefficients[j].State)
		lacks = lacks || c.State != Estimated
	}
	return lacks
}

// A weight stands for rows, as Breslow's and only his treatment of ties takes
// it.
func TestWeightIsRepetition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, _ := someFit(t)
		weights := make([]float64, len(d.Stop))
		var order []int
		for i := range weights {
			weights[i] = float64(rapid.IntRange(0, 3).Draw(t, "weight"))
			for range int(weights[i]) {
				order = append(order, i)
			}
		}
		repeated := permuted(d, order)
		weighted := d
		weighted.Weight = weights
		if len(order) == 0 {
			_, err := Fit(repeated, Breslow)
			require.Error(t, err)
			_, err = Fit(weighted, Breslow)
			require.Error(t, err)
			return
		}
		a, b := mustFit(t, repeated, Breslow), mustFit(t, weighted, Breslow)
		if skipSeparated(t, a, b) {
			return
		}
		for j, c := range a.Coefficients {
			near(t, "coefficient", b.Coefficients[j].Value, c.Value)
			near(t, "SE", b.Coefficients[j].SE, c.SE)
			near(t, "robust SE", b.Coefficients[j].RobustSE, c.RobustSE)
		}
		near(t, "robust wald", b.RobustWald.ChiSq, a.RobustWald.ChiSq)
		near(t, "robust score", b.RobustScore.ChiSq, a.RobustScore.ChiSq)
		asked := Asked{X: []float64{0.5, 1}, Times: []float64{2, 5}, Level: 0.95}
		pa, err := a.Predict(asked)
		require.NoError(t, err)
		pb, err := b.Predict(asked)
		require.NoError(t, err)
		for i := range pa {
			if math.IsNaN(pa[i].Hazard) { // past the last follow-up
				assert.True(t, math.IsNaN(pb[i].Hazard))
				continue
			}
			near(t, "hazard", pb[i].Hazard, pa[i].Hazard)
			near(t, "its error", pb[i].HazardSE, pa[i].HazardSE)
		}
	})
}

// The score test of two groups is the log-rank test: for continuous times, and
// with ties where they are treated exactly. Late entry included. Source: Cox
// (1972), section 6.
func TestScoreTestIsLogRank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tied := rapid.Bool().Draw(t, "tied")
		d := draw(rapid.Uint64Range(1, 1e6).Draw(t, "seed"), rapid.IntRange(10, 60).Draw(t, "rows"), tied, rapid.Bool().Draw(t, "late"))
		ties := Efron
		if tied {
			ties = Exact
		}
		groups := make([][]survival.Span, 2)
		one := Data{Covariates: 1, Stop: d.Stop, Start: d.Start, Event: d.Event}
		for i, stop := range d.Stop {
			group := d.X[2*i+1]
			one.X = append(one.X, group)
			span := survival.RightCensored(stop)
			if d.Event[i] {
				span = survival.Exact(stop)
			}
			if d.Start != nil {
				span = span.EnteredAt(d.Start[i])
			}
			groups[int(group)] = append(groups[int(group)], span)
		}
		m := mustFit(t, one, ties)
		want, err := survival.LogRank(groups)
		if errors.Is(err, survival.ErrIncomparable) || errors.Is(err, survival.ErrNoSpans) {
			assert.Equal(t, Redundant, m.Coefficients[0].State)
			return
		}
		require.NoError(t, err)
		near(t, "chi-square", m.Score.ChiSq, want.ChiSq)
	})
}

func TestLikelihoodNeverFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		for i := range d.Stop { // heavy tails make for long first steps
			d.X[2*i] = math.Pow(math.Abs(d.X[2*i]), rapid.Float64Range(1, 6).Draw(t, "power"))
		}
		m, err := Fit(d, ties)
		var far *OutlierError
		if errors.As(err, &far) { // of powers up to 6, one can be thousands of times the rest
			assert.Equal(t, d.X[2*far.Row+far.Covariate], far.Value)
			return
		}
		require.NoError(t, err)
		assert.Equal(t, m.LogLikNull, m.Path[0])
		assert.Equal(t, m.LogLik, m.Path[len(m.Path)-1])
		for i := 1; i < len(m.Path); i++ {
			assert.GreaterOrEqual(t, m.Path[i], m.Path[i-1]-1e-11*math.Abs(m.Path[i-1]))
		}
	})
}

// Predicted survival never rises, hazards never fall, and limits stay about the
// estimate within [0, 1].
func TestPredictedSurvivalFalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		m := mustFit(t, d, ties)
		x := []float64{rapid.Float64Range(-2, 2).Draw(t, "x"), rapid.Float64Range(0, 1).Draw(t, "y")}
		predicted, err := m.Predict(Asked{X: x, Stratum: d.Stratum[0], Level: 0.95})
		if errors.Is(err, ErrNoPrediction) { // separated by chance
			return
		}
		require.NoError(t, err)
		last := Predicted{Survival: 1}
		for _, p := range predicted {
			require.True(t, p.Survival >= 0 && p.Survival <= last.Survival && p.Hazard >= last.Hazard, "%+v after %+v", p, last)
			require.False(t, p.Lower < 0 || p.Lower > p.Survival+1e-12 || p.Upper < p.Survival-1e-12 || p.Upper > 1, "%+v", p)
			last = p
		}
	})
}
