package cox_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival/cox"
)

// At the maximum residuals add up to nothing: martingale ones since as many
// lives ended as are expected to, the others since the score is 0.
func TestResidualsAddUpToNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		for range d.Stop {
			d.Weight = append(d.Weight, rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "weight"))
		}
		m := mustFit(t, d, ties)
		if skipSeparated(t, m, m) {
			return
		}
		martingale, err := m.Martingale()
		require.NoError(t, err)
		score, err := m.ScoreResiduals()
		require.NoError(t, err)
		dfbeta, err := m.DFBeta()
		require.NoError(t, err)
		ends, sums := map[int]float64{}, make([]float64, 6)
		for i, w := range d.Weight {
			ends[d.Stratum[i]] += w * martingale[i]
			assert.LessOrEqual(t, martingale[i], 1.0)
			for j := range 2 {
				sums[j] += w * score[i][j]
				sums[2+j] += dfbeta[i][j]
			}
		}
		schoenfeld, err := m.Schoenfeld()
		require.NoError(t, err)
		assert.Len(t, schoenfeld, m.Events)
		for _, r := range schoenfeld {
			assert.Equal(t, d.Stratum[r.Row], r.Stratum)
			for j := range 2 {
				sums[4+j] += d.Weight[r.Row] * r.Raw[j]
			}
		}
		for _, sum := range sums {
			assert.InDelta(t, 0, sum, 1e-7)
		}
		if ties == Breslow {
			for _, sum := range ends {
				assert.InDelta(t, 0, sum, 1e-8)
			}
		}
	})
}

// For a covariate that is 0 or 1 and no ties, the information is ∑ p(1 − p), p
// the share of the hazard at risk that those with 1 have.
func TestScaledSchoenfeldResiduals(t *testing.T) {
	d := Data{Covariates: 1, X: []float64{1, 0, 1, 1, 0, 0, 1}, Stop: []float64{1, 2, 3, 4, 5, 6, 7},
		Event: []bool{true, true, false, true, true, false, true}}
	m := mustFit(t, d, Efron)
	beta := m.Coefficients[0].Value
	share := map[int]float64{}
	information, ends := 0.0, 0.0
	for i := range d.Stop {
		ones, all := 0.0, 0.0
		for k := i; k < len(d.Stop); k++ {
			ones += d.X[k] * math.Exp(beta)
			all += math.Exp(beta * d.X[k])
		}
		if d.Event[i] {
			share[i] = ones / all
			information += share[i] * (1 - share[i])
			ends++
		}
	}
	residuals, err := m.Schoenfeld()
	require.NoError(t, err)
	for _, r := range residuals {
		raw := d.X[r.Row] - share[r.Row]
		assert.InDelta(t, raw, r.Raw[0], 1e-12)
		assert.InDelta(t, beta+ends*raw/information, r.Scaled[0], 1e-10)
		assert.Equal(t, d.Stop[r.Row], r.Time)
	}
}

// DFBeta is the derivative of the coefficients by a row's weight, and the
// clustered error of a prediction is made of those of the hazard. Breslow's
// likelihood takes weights as repetition, so that both hold to the digits of
// the differences.
func TestInfluenceIsThatOfWeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, _ := someFit(t)
		d.Cluster = nil
		for range d.Stop {
			d.Weight = append(d.Weight, rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "weight"))
		}
		m := mustFit(t, d, Breslow)
		if skipSeparated(t, m, m) {
			return
		}
		dfbeta, err := m.DFBeta()
		require.NoError(t, err)
		asked := Asked{X: []float64{0.4, 1}, Stratum: 1, Times: []float64{3, 8}, Level: 0.95}
		d.Cluster = make([]int, len(d.Stop))
		squares := make([]float64, 2)
		for i := range d.Stop {
			d.Cluster[i] = i
			changed := func(factor float64) ([]Coefficient, []Predicted) {
				moved := d
				moved.Cluster = nil
				moved.Weight = append([]float64(nil), d.Weight...)
				moved.Weight[i] *= factor
				fit := mustFit(t, moved, Breslow)
				p, err := fit.Predict(asked)
				require.NoError(t, err)
				return fit.Coefficients, p
			}
			const h = 1e-4
			above, hazardAbove := changed(1 + h)
			below, hazardBelow := changed(1 - h)
			for j := range above {
				slope := (above[j].Value - below[j].Value) / (2 * h)
				assert.True(t, check.Near(dfbeta[i][j], slope, check.Tolerance{Rel: 1e-5, Abs: 1e-6}), "%v, %v", dfbeta[i][j], slope)
			}
			for k := range squares {
				slope := (hazardAbove[k].Hazard - hazardBelow[k].Hazard) / (2 * h) // NaN past the last follow-up
				squares[k] += slope * slope
			}
		}
		got, err := mustFit(t, d, Breslow).Predict(asked)
		require.NoError(t, err)
		for k, p := range got {
			if math.IsNaN(squares[k]) {
				assert.True(t, math.IsNaN(p.HazardSE))
				continue
			}
			assert.True(t, check.Near(p.HazardSE*p.HazardSE, squares[k], check.Tolerance{Rel: 1e-4, Abs: 1e-8}), "%v, %v", p.HazardSE*p.HazardSE, squares[k])
		}
	})
}

// Every pair by hand, and the standard error from leaving out none but changing
// each weight a little.
func TestConcordanceIsThatOfPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, ties := someFit(t)
		d.Cluster = nil
		for i := range d.Stop {
			d.X[2*i] = float64(rapid.IntRange(0, 2).Draw(t, "x")) // so that hazards tie
			d.Weight = append(d.Weight, rapid.SampledFrom([]float64{0.5, 1, 2}).Draw(t, "weight"))
		}
		m := mustFit(t, d, ties)
		if skipSeparated(t, m, m) {
			return
		}
		got, want := m.Concordance(), byPairs(d, m, d.Weight)
		near(t, "concordant", got.Concordant, want.Concordant)
		near(t, "discordant", got.Discordant, want.Discordant)
		near(t, "tied in hazard", got.TiedRisk, want.TiedRisk)
		near(t, "tied in time", got.TiedTime, want.TiedTime)
		near(t, "tied in both", got.TiedBoth, want.TiedBoth)
		near(t, "C", got.C, want.C)
		square := 0.0
		for i := range d.Weight {
			const h = 1e-4
			weights := append([]float64(nil), d.Weight...)
			weights[i] *= 1 + h
			above := byPairs(d, m, weights).C
			weights[i] *= (1 - h) / (1 + h)
			slope := (above - byPairs(d, m, weights).C) / (2 * h)
			square += slope * slope
		}
		assert.True(t, check.Near(got.SE*got.SE, square, check.Tolerance{Rel: 1e-5}), "%v, %v", got.SE*got.SE, square)
	})
}

func byPairs(d Data, m *Model, weights []float64) (c Concordance) {
	hazard := func(i int) float64 {
		return d.X[2*i]*m.Coefficients[0].Value + d.X[2*i+1]*m.Coefficients[1].Value
	}
	for i := range d.Stop {
		for k := range d.Stop {
			late := d.Start != nil && d.Start[k] >= d.Stop[i]
			if i == k || !d.Event[i] || d.Stratum[i] != d.Stratum[k] || late {
				continue
			}
			pair, together := weights[i]*weights[k], d.Stop[k] == d.Stop[i] && d.Event[k]
			equal := check.Near(hazard(i), hazard(k), check.Tolerance{Abs: 1e-12})
			switch {
			case together && equal:
				c.TiedBoth += pair / 2 // the other of the two comes by too
			case together:
				c.TiedTime += pair / 2
			case d.Stop[k] < d.Stop[i]:
			case equal:
				c.TiedRisk += pair
			case hazard(i) > hazard(k):
				c.Concordant += pair
			default:
				c.Discordant += pair
			}
		}
	}
	c.C = (c.Concordant + c.TiedRisk/2) / (c.Concordant + c.Discordant + c.TiedRisk)
	return c
}
