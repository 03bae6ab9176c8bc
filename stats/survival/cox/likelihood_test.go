package cox

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
)

// someData draws rows with ties, late entry, strata and weights; of weights
// none for the exact treatment.
func someData(t *rapid.T, ties Ties) Data {
	n := rapid.IntRange(1, 14).Draw(t, "rows")
	d := Data{Covariates: rapid.IntRange(0, 3).Draw(t, "covariates")}
	late := rapid.Bool().Draw(t, "late entry")
	if ties != Exact {
		d.Weight = []float64{}
	}
	d.Stratum = []int{}
	for range n {
		stop := rapid.IntRange(1, 7).Draw(t, "stop")
		d.Stop = append(d.Stop, float64(stop))
		d.Event = append(d.Event, rapid.Bool().Draw(t, "event"))
		if late {
			d.Start = append(d.Start, float64(rapid.IntRange(-1, stop-1).Draw(t, "start")))
		}
		d.Stratum = append(d.Stratum, rapid.IntRange(3, 4).Draw(t, "stratum"))
		if ties != Exact {
			d.Weight = append(d.Weight, rapid.SampledFrom([]float64{0.5, 1, 2.25}).Draw(t, "weight"))
		}
		for range d.Covariates {
			d.X = append(d.X, rapid.Float64Range(-3, 3).Draw(t, "x"))
		}
	}
	return d
}

func someTies(t *rapid.T) Ties {
	return rapid.SampledFrom([]Ties{Efron, Breslow, Exact}).Draw(t, "ties")
}

// naive is the log-likelihood as the books write it: each risk set anew, and
// for the exact treatment each subset. β is in units of the data.
func naive(d Data, ties Ties, beta []float64) (logLik float64) {
	risk := func(i int) float64 {
		sum := 0.0
		for j, b := range beta {
			sum += b * d.X[i*d.Covariates+j]
		}
		return math.Exp(sum)
	}
	type moment struct {
		time    float64
		stratum int
	}
	var seen []moment
	for i := range d.Stop {
		at := moment{d.Stop[i], d.Stratum[i]}
		if !d.Event[i] || slices.Contains(seen, at) {
			continue
		}
		seen = append(seen, at)
		var set, ended []int
		for k := range d.Stop {
			if d.Stratum[k] == at.stratum && d.start(k) < at.time && at.time <= d.Stop[k] {
				set = append(set, k)
				if d.Event[k] && d.Stop[k] == at.time {
					ended = append(ended, k)
				}
			}
		}
		logLik += naiveTerm(d, ties, risk, set, ended)
	}
	return logLik
}

func naiveTerm(d Data, ties Ties, risk func(int) float64, set, ended []int) (term float64) {
	all, of, weight := 0.0, 0.0, 0.0
	for _, k := range set {
		all += d.weight(k) * risk(k)
	}
	for _, k := range ended {
		term += d.weight(k) * math.Log(risk(k))
		of += d.weight(k) * risk(k)
		weight += d.weight(k) / float64(len(ended))
	}
	if ties == Exact {
		sum := 0.0
		for chosen := range 1 << len(set) {
			product, size := 1.0, 0
			for b, k := range set {
				if chosen>>b&1 == 1 {
					product *= risk(k)
					size++
				}
			}
			if size == len(ended) {
				sum += product
			}
		}
		return term - math.Log(sum)
	}
	for l := range ended {
		gone := 0.0
		if ties == Efron {
			gone = float64(l) / float64(len(ended))
		}
		term -= weight * math.Log(all-gone*of)
	}
	return term
}

func TestLikelihoodIsTheBooks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ties := someTies(t)
		d := someData(t, ties)
		s, err := newDesign(d)
		require.NoError(t, err)
		beta, scaled := make([]float64, s.q), make([]float64, s.q)
		for j := range beta {
			beta[j] = rapid.Float64Range(-3, 3).Draw(t, "beta")
			scaled[j] = beta[j] * s.scale[j]
		}
		got, want := s.likelihood(ties).at(scaled).logLik, naive(d, ties, beta)
		assert.True(t, check.Near(got, want, check.Tolerance{Rel: 1e-10, Abs: 1e-10}), "got %v, want %v", got, want)
	})
}

func TestDerivativesAreThoseOfDifferences(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ties := someTies(t)
		s, err := newDesign(someData(t, ties))
		require.NoError(t, err)
		l := s.likelihood(ties)
		beta := make([]float64, s.q)
		for j := range beta {
			beta[j] = rapid.Float64Range(-1, 1).Draw(t, "beta")
		}
		const h = 1e-4
		here, tol := l.at(beta), check.Tolerance{Rel: 1e-5, Abs: 1e-5}
		for j := range beta {
			up, down := slices.Clone(beta), slices.Clone(beta)
			up[j] += h
			down[j] -= h
			above, below := l.at(up), l.at(down)
			slope := (above.logLik - below.logLik) / (2 * h)
			assert.True(t, check.Near(here.score[j], slope, tol), "score %d: got %v, want %v", j, here.score[j], slope)
			for k := range j + 1 {
				got, want := here.information[triangle(j)+k], (below.score[k]-above.score[k])/(2*h)
				assert.True(t, check.Near(got, want, tol), "information %d, %d: got %v, want %v", j, k, got, want)
			}
		}
	})
}

// Two rows up to e¹⁰⁰ times as likely to end as the rest leave the risk set; what
// is left of the sums must still be right.
func TestSmallRisksOutliveLargeOnes(t *testing.T) {
	for _, large := range []float64{10, 35, 100} {
		d := Data{
			Covariates: 1, X: []float64{large, 0.97 * large, 0.99 * large, 0.3, 0.1, 0.5, 0.2},
			Start: []float64{3, 4, 4, 0, 0, 0, 0}, Stop: []float64{5, 5, 7, 1, 2, 3, 6},
			Event: []bool{false, true, false, true, true, true, false}, Stratum: make([]int, 7),
		}
		s, err := newDesign(d)
		require.NoError(t, err)
		got, want := s.likelihood(Efron).at([]float64{s.scale[0]}).logLik, naive(d, Efron, []float64{1})
		assert.InEpsilon(t, want, got, 1e-12)
	}
}

// With x = 0 and 3000, the first to end being the one with 0, L(1) = 1/(1 +
// e³⁰⁰⁰): beyond any float, but not so its logarithm. The other way round it is 1.
func TestLinearPredictorsOfAnySize(t *testing.T) {
	for _, c := range []struct {
		x    []float64
		want float64
	}{{[]float64{0, 3000}, -3000}, {[]float64{3000, 0}, 0}} {
		for _, ties := range []Ties{Efron, Breslow, Exact} {
			s, err := newDesign(Data{Covariates: 1, X: c.x, Stop: []float64{1, 2}, Event: []bool{true, false}})
			require.NoError(t, err)
			p := s.likelihood(ties).at([]float64{s.scale[0]})
			assert.InDelta(t, c.want, p.logLik, 1e-9)
			assert.False(t, math.IsNaN(p.score[0]) || math.IsNaN(p.information[0]))
		}
	}
}

// With 6,000 of 10,000 ending at once, the number of ways is about 10^2900,
// beyond any float. Half of the rows have a risk of 1, half of ρ, so that
//
//	e_d = ∑ⱼ C(n/2, j) C(n/2, d−j) ρ^(d−j)
func TestExactDoesNotOverflow(t *testing.T) {
	const n, ended, rho = 10_000, 6_000, 1e-8
	s := &design{row: make([]int, n), leaves: make([]int32, n), strata: []stratum{{to: 1, afterRow: n}},
		moments: []moment{{to: n, deaths: ended}}}
	risk := make([]float64, n)
	for k := range risk {
		risk[k], s.leaves[k] = 1, 1
		if k%2 == 1 {
			risk[k] = rho
		}
	}
	p := &point{}
	(&subsets{}).term(s, 0, make([]float64, n), risk, p)

	choose := func(n, k float64) float64 {
		a, _ := math.Lgamma(n + 1)
		b, _ := math.Lgamma(k + 1)
		c, _ := math.Lgamma(n - k + 1)
		return a - b - c
	}
	want := math.Inf(-1)
	for j := ended - n/2; j <= n/2; j++ {
		rest := float64(ended - j)
		term := choose(n/2, float64(j)) + choose(n/2, rest) + rest*math.Log(rho)
		want = max(want, term) + math.Log1p(math.Exp(-math.Abs(want-term)))
	}
	assert.InEpsilon(t, -want, p.logLik, 1e-10)
}

// Two end together with x = 2 and 1, above the 0 of the third: of the ways in
// which two could have ended that is the likeliest as β grows, but in turns one
// of them ends while the higher is at risk.
func TestTiesSeparateOnlyIfExact(t *testing.T) {
	s, err := newDesign(Data{Covariates: 1, X: []float64{2, 1, 0}, Stop: []float64{1, 1, 2}, Event: []bool{true, true, false}})
	require.NoError(t, err)
	for ties, want := range map[Ties]bool{Efron: false, Breslow: false, Exact: true} {
		assert.Equal(t, want, s.likelihood(ties).separates([]float64{1}), ties.String())
		assert.False(t, s.likelihood(ties).separates([]float64{-1}), ties.String())
	}
}

func TestQuadraticOfSingular(t *testing.T) {
	assert.True(t, math.IsNaN(quadratic([]float64{1, 2}, symmetric([]float64{1, 1, 1 + 1e-15}, 2))))
	assert.True(t, math.IsNaN(quadratic([]float64{1, 2}, symmetric([]float64{0, 0, 0}, 2))))
	assert.InDelta(t, 1.5, quadratic([]float64{1, 2}, symmetric([]float64{2, 0, 4}, 2)), 1e-15) // 1/2 + 4/4
}
