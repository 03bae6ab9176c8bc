package survival_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// remission is the 6-MP group of the reference cases, which cite its source.
func remission(t *testing.T) []Span {
	for _, c := range check.Cases(t, "kaplan-meier") {
		if c.ID == "kaplan-meier/leukemia-6mp" {
			d := c.Data.Where(t, map[string]any{"group": "6-MP"})
			return inputs{Time: "time", Status: "status"}.spans(t, d)
		}
	}
	t.Fatal("the 6-MP case is missing")
	return nil
}

// An equal-precision band is the pointwise limits with a larger z, on any scale;
// those agree with other software (TestReference).
func TestEqualPrecisionIsPointwiseWithALargerZ(t *testing.T) {
	for _, scale := range []Scale{LogLog, Plain, Log, Logit, ArcSine} {
		curve, err := KaplanMeier(remission(t), 0.95)
		require.NoError(t, err)
		band, err := curve.WithScale(scale).Band(EqualPrecision, 7, 30)
		require.NoError(t, err)
		wide, err := KaplanMeier(remission(t), 2*distuv.UnitNormal.CDF(band.Critical)-1)
		require.NoError(t, err)
		for _, s := range band.Steps {
			at := wide.WithScale(scale).At(s.Time)
			assert.InDelta(t, at.Lower, s.Lower, 1e-9)
			assert.InDelta(t, at.Upper, s.Upper, 1e-9)
		}

		// With nσ² from the reference's σ at 7 and at 25 weeks, Nair's approximation.
		first, last := 21*math.Pow(0.10776353058777924, 2), 21*math.Pow(0.3003071878862905, 2)
		c := band.Critical
		missed := distuv.UnitNormal.Prob(c) * (4/c + (c-1/c)*math.Log(last/first))
		assert.InDelta(t, 0.05, missed, 0.002)
	}
}

// Klein and Moeschberger, section 4.4: S ± k (1 + nσ²) S/√n. S and σ² at 13 weeks
// are the reference's; k for its range, 0.20 to 0.65, is by the printed tables between
// 1.2123 (0.18 to 0.42) and 1.3581 (all).
func TestHallWellnerBandByHand(t *testing.T) {
	curve, err := KaplanMeier(remission(t), 0.95)
	require.NoError(t, err)
	band, err := curve.WithScale(Plain).Band(HallWellner, 7, math.Inf(1))
	require.NoError(t, err)
	assert.Greater(t, band.Critical, 1.2123)
	assert.Less(t, band.Critical, 1.3581)
	assert.Equal(t, []float64{7, 35}, []float64{band.From, band.To})
	for _, s := range band.Steps {
		if s.Time == 13 {
			const survival, logSE = 0.6901960784313724, 0.15475994592401993
			half := band.Critical * (1 + 21*logSE*logSE) / math.Sqrt(21) * survival
			assert.InDelta(t, survival-half, s.Lower, 1e-12)
			assert.InDelta(t, min(1, survival+half), s.Upper, 1e-12)
			return
		}
	}
	t.Fatal("no step at 13 weeks")
}

// What a band is for: in 95 of 100 samples it holds all of the true curve in its
// range. 400 samples scatter by 1.1 points; pointwise limits hold all of it in
// some 75 (asserted to fall short).
func TestBandCovers(t *testing.T) {
	const n, samples = 150, 400
	draw := rand.New(rand.NewPCG(11, 0))
	held := map[string]int{}
	for range samples {
		spans := make([]Span, n)
		for i := range spans {
			if life, left := draw.ExpFloat64(), 2*draw.Float64(); life < left {
				spans[i] = Exact(life)
			} else {
				spans[i] = RightCensored(left)
			}
		}
		curve, err := KaplanMeier(spans, 0.95)
		require.NoError(t, err)
		for name, kind := range map[string]BandKind{"equal precision": EqualPrecision, "hall-wellner": HallWellner} {
			band, err := curve.Band(kind, 0.2, 1.2)
			require.NoError(t, err)
			if covers(band.Steps, 1.2) {
				held[name]++
			}
			if pointwise := pointwise(curve, band.Steps); name == "hall-wellner" && covers(pointwise, 1.2) {
				held["pointwise"]++
			}
		}
	}
	assert.InDelta(t, 0.95, float64(held["equal precision"])/samples, 0.035)
	assert.InDelta(t, 0.95, float64(held["hall-wellner"])/samples, 0.035)
	assert.Less(t, float64(held["pointwise"])/samples, 0.85)
}

// covers reports whether limits hold exp(−t) all the way to an end.
func covers(steps []Step, end float64) bool {
	for i, s := range steps {
		next := end
		if i+1 < len(steps) {
			next = steps[i+1].Time
		}
		if math.Exp(-s.Time) > s.Upper || math.Exp(-next) < s.Lower {
			return false
		}
	}
	return true
}

func pointwise(c *Curve, steps []Step) []Step {
	limits := make([]Step, len(steps))
	for i, s := range steps {
		limits[i] = c.At(s.Time)
	}
	return limits
}

// A band goes no further than the estimate: not before the first end, not past
// the last sight, not to where S is 0.
func TestBandRange(t *testing.T) {
	spans := []Span{Exact(2), Exact(4), RightCensored(5), Exact(6), RightCensored(9)}
	curve, err := KaplanMeier(spans, 0.9)
	require.NoError(t, err)
	band, err := curve.Band(EqualPrecision, 0, math.Inf(1))
	require.NoError(t, err)
	assert.Equal(t, []float64{2, 9}, []float64{band.From, band.To})
	band, err = curve.Band(EqualPrecision, 3, 4.5)
	require.NoError(t, err)
	assert.Equal(t, []float64{3, 4.5}, []float64{band.From, band.To})
	require.Len(t, band.Steps, 2)
	assert.Equal(t, []float64{3, 4}, []float64{band.Steps[0].Time, band.Steps[1].Time})
	band, err = curve.Band(HallWellner, 9, 9)
	require.NoError(t, err)
	assert.Equal(t, []float64{9, 9}, []float64{band.From, band.To})

	dead, err := KaplanMeier([]Span{Exact(2), Exact(4), Exact(6)}, 0.9)
	require.NoError(t, err)
	band, err = dead.Band(EqualPrecision, 0, 100)
	require.NoError(t, err)
	assert.Equal(t, []float64{2, 6}, []float64{band.From, band.To})
	assert.Len(t, band.Steps, 2)

	censored, err := KaplanMeier([]Span{RightCensored(3)}, 0.9)
	require.NoError(t, err)
	nan := math.NaN()
	for _, r := range [][2]float64{{0, 1}, {0, 1.9}, {9.5, 20}, {4, 3}, {nan, 5}, {3, nan}} {
		_, err = curve.Band(HallWellner, r[0], r[1])
		assert.ErrorIs(t, err, ErrBand, "%v", r)
	}
	_, err = dead.Band(EqualPrecision, 6, 7)
	assert.ErrorIs(t, err, ErrBand)
	_, err = censored.Band(EqualPrecision, 0, 7)
	assert.ErrorIs(t, err, ErrBand)
}
