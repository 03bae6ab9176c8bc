package cox_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/survival"
	. "beadspan/stats/survival/cox"
)

func TestFitRefuses(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	good := func() Data {
		return Data{Covariates: 1, X: []float64{1, 2}, Start: []float64{0, 0}, Stop: []float64{3, 4}, Event: []bool{true, false}, Weight: []float64{1, 1}}
	}
	_, err := Fit(good(), Efron)
	require.NoError(t, err)
	for reason, spoil := range map[string]func(*Data){
		"stop must be a finite number, got NaN":                  func(d *Data) { d.Stop[1] = nan },
		"stop must be a finite number, got +Inf":                 func(d *Data) { d.Stop[1] = inf },
		"start must be a finite number or -Inf, got NaN":         func(d *Data) { d.Start[1] = nan },
		"start must be a finite number or -Inf, got +Inf":        func(d *Data) { d.Start[1] = inf },
		"starts at 5, after it stops at 4":                       func(d *Data) { d.Start[1] = 5 },
		"the life ended at 4 without having been watched before": func(d *Data) { d.Start[1], d.Event[1] = 4, true },
		"without having been watched before (but for rounding)":  func(d *Data) { d.Start[1], d.Event[1] = 4-1e-12, true },
		"weight must be finite and not negative, got -1":         func(d *Data) { d.Weight[1] = -1 },
		"weight must be finite and not negative, got NaN":        func(d *Data) { d.Weight[1] = nan },
		"weight must be finite and not negative, got +Inf":       func(d *Data) { d.Weight[1] = inf },
		"covariate x1 must be a finite number, got NaN":          func(d *Data) { d.X[1] = nan },
		"covariate angle must be a finite number, got -Inf":      func(d *Data) { d.X[1], d.Names = -inf, []string{"angle"} },
	} {
		d := good()
		spoil(&d)
		_, err := Fit(d, Efron)
		var bad *RowError
		require.ErrorAs(t, err, &bad, reason)
		assert.Equal(t, 1, bad.Row)
		assert.ErrorContains(t, err, "cox regression: row 1: ")
		assert.ErrorContains(t, err, reason)
	}
	for _, spoil := range []func(*Data){
		func(d *Data) { d.X = d.X[:1] },
		func(d *Data) { d.Covariates = -1 },
		func(d *Data) { d.Names = []string{} },
		func(d *Data) { d.Start = d.Start[:1] },
		func(d *Data) { d.Event = nil },
		func(d *Data) { d.Weight = []float64{} },
		func(d *Data) { d.Stratum = []int{1} },
		func(d *Data) { d.Cluster = []int{1} },
	} {
		d := good()
		spoil(&d)
		_, err := Fit(d, Efron)
		assert.ErrorIs(t, err, ErrShape)
	}
	for _, empty := range []Data{
		{},
		{Covariates: 3},
		{Stop: []float64{1}, Event: []bool{true}, Weight: []float64{0}},
		{Stop: []float64{1}, Start: []float64{1}, Event: []bool{false}},
		{Stop: []float64{1}, Start: []float64{1 - 1e-12}, Event: []bool{false}},
	} {
		_, err := Fit(empty, Efron)
		assert.ErrorIs(t, err, ErrNoRows)
	}
}

// Whatever the data leave open, there is an answer and nothing hangs or panics.
func TestFitOfLittle(t *testing.T) {
	yes, no := true, false
	for name, d := range map[string]Data{
		"one life":             {Covariates: 1, X: []float64{2}, Stop: []float64{1}, Event: []bool{yes}},
		"one censored":         {Covariates: 1, X: []float64{2}, Stop: []float64{1}, Event: []bool{no}},
		"all censored":         {Covariates: 1, X: []float64{1, 2, 3}, Stop: []float64{1, 2, 3}, Event: []bool{no, no, no}},
		"all ended at once":    {Covariates: 1, X: []float64{2, 2, 2}, Stop: []float64{1, 1, 1}, Event: []bool{yes, yes, yes}},
		"no covariates":        {Stop: []float64{1, 2}, Event: []bool{yes, no}},
		"time 0":               {Covariates: 1, X: []float64{2, 2}, Stop: []float64{0, 0}, Event: []bool{yes, no}},
		"never at risk at one": {Covariates: 1, X: []float64{2, 1}, Start: []float64{0, 5}, Stop: []float64{5, 9}, Event: []bool{yes, yes}},
		"each its stratum":     {Covariates: 1, X: []float64{2, 1}, Stop: []float64{5, 9}, Event: []bool{yes, yes}, Stratum: []int{1, 2}},
	} {
		for _, ties := range []Ties{Efron, Breslow, Exact} {
			m, err := Fit(d, ties)
			require.NoError(t, err, name)
			for _, c := range m.Coefficients {
				assert.Equal(t, Redundant, c.State, name)
				assert.True(t, math.IsNaN(c.Value) && math.IsNaN(c.SE), name)
				lower, upper := c.Limits(0.95)
				assert.True(t, math.IsNaN(lower) && math.IsNaN(upper), name)
			}
			assert.Equal(t, m.LogLikNull, m.LogLik, name)
			assert.Equal(t, 0, m.LikelihoodRatio.DF, name)
			assert.True(t, math.IsNaN(m.Score.P), name)
			everything(t, m, d)
		}
	}
}

// everything asks a model for all that it can say.
func everything(t *testing.T, m *Model, d Data) {
	t.Helper()
	m.Concordance()
	asked := Asked{X: make([]float64, d.Covariates), Level: 0.9}
	if d.Stratum != nil {
		asked.Stratum = d.Stratum[0]
	}
	_, predicted := m.Predict(asked)
	_, martingale := m.Martingale()
	_, score := m.ScoreResiduals()
	_, dfbeta := m.DFBeta()
	_, schoenfeld := m.Schoenfeld()
	_, proportional := m.ProportionalHazards(KM)
	for _, err := range []error{predicted, martingale, score, dfbeta, schoenfeld, proportional} {
		if m.Ties == Exact {
			assert.ErrorIs(t, err, ErrNotExact)
		} else {
			assert.NoError(t, err)
		}
	}
}

// Both lives that ended had x = 1 while one with x = 0 was at risk: L(β) =
// (e^β/(e^β + 1))·(…), which rises for ever.
func TestSeparationIsSaid(t *testing.T) {
	d := Data{Covariates: 2, Names: []string{"film", "age"},
		X:     []float64{1, 4, 1, 7, 1, 3, 0, 5, 0, 6, 0, 2},
		Stop:  []float64{3, 4, 5, 6, 7, 8},
		Event: []bool{true, true, true, false, false, false}, Cluster: []int{1, 2, 3, 4, 5, 6}}
	for _, sign := range []float64{1, -1} {
		for i := 0; i < len(d.X); i += 2 {
			d.X[i] *= sign
		}
		m, err := Fit(d, Efron)
		require.NoError(t, err)
		film, age := m.Coefficients[0], m.Coefficients[1]
		assert.Equal(t, RunsOff, film.State)
		assert.Equal(t, math.Inf(int(sign)), film.Value)
		assert.True(t, math.IsNaN(film.SE) && math.IsNaN(film.RobustSE))
		require.Len(t, m.Notes, 2)
		assert.Contains(t, m.Notes[0], "No finite coefficient fits best for: film.")
		assert.True(t, math.IsNaN(m.Wald.ChiSq) && m.Wald.DF == 2)
		assert.False(t, math.IsNaN(m.LikelihoodRatio.P) || math.IsNaN(m.Score.P))
		_, err = m.Predict(Asked{X: []float64{0, 0}, Level: 0.95})
		assert.ErrorIs(t, err, ErrNoPrediction)

		// In the limit only those with x = 1 compete, so age is fitted among them.
		within := Data{Covariates: 1, X: []float64{4, 7, 3}, Stop: d.Stop[:3], Event: d.Event[:3]}
		limit, err := Fit(within, Efron)
		require.NoError(t, err)
		assert.InEpsilon(t, limit.Coefficients[0].Value, age.Value, 1e-6)
		assert.InEpsilon(t, limit.Coefficients[0].SE, age.SE, 1e-6)
		assert.InDelta(t, limit.LogLik, m.LogLik, 1e-8)
		everythingBut(t, m)
	}
}

func everythingBut(t *testing.T, m *Model) {
	t.Helper()
	rows, err := m.DFBeta()
	require.NoError(t, err)
	for _, row := range rows {
		assert.True(t, math.IsNaN(row[0]))
		assert.False(t, math.IsNaN(row[1]))
	}
	ph, err := m.ProportionalHazards(Identity)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(ph.Terms[0].ChiSq))
	assert.Equal(t, 1, ph.Global.DF)
}

// A single life against the order, late in time, makes the likelihood have a
// maximum, if far away: that is a value, not separation.
func TestNearSeparationHasAValue(t *testing.T) {
	const n = 400
	d := Data{Covariates: 1}
	for i := range n {
		x := 0.0
		if i < n/2 {
			x = 1
		}
		d.X, d.Stop, d.Event = append(d.X, x), append(d.Stop, float64(i+1)), append(d.Event, i < n/2)
	}
	m, err := Fit(d, Efron)
	require.NoError(t, err)
	assert.Equal(t, RunsOff, m.Coefficients[0].State)

	d.Event[n/2-1], d.Event[n-1] = false, true // x = 0 ends, none else at risk: still separated
	m, err = Fit(d, Efron)
	require.NoError(t, err)
	assert.Equal(t, RunsOff, m.Coefficients[0].State)

	d.X[n-1], d.Stop[n-1] = 0, 0.5 // the very first to end has x = 0
	m, err = Fit(d, Efron)
	require.NoError(t, err)
	assert.Equal(t, Estimated, m.Coefficients[0].State)
	assert.Greater(t, m.Coefficients[0].Value, 3.0)
	assert.Less(t, m.Score.P, 1e-10)
}

func TestCollinearCovariatesAreSaid(t *testing.T) {
	source := draw(5, 60, true, false)
	d := Data{Covariates: 4, Names: []string{"a", "b", "constant", "sum"}, Stop: source.Stop, Event: source.Event}
	for i := range d.Stop {
		a, b := source.X[2*i], source.X[2*i+1]
		d.X = append(d.X, a, b, 0.1, 3*a-b+7)
	}
	m, err := Fit(d, Efron)
	require.NoError(t, err)
	source.Stratum, source.Cluster = nil, nil
	want, err := Fit(source, Efron)
	require.NoError(t, err)
	for j, state := range []State{Estimated, Estimated, Redundant, Redundant} {
		assert.Equal(t, state, m.Coefficients[j].State, d.Names[j])
	}
	near(t, "a", m.Coefficients[0].Value, want.Coefficients[0].Value)
	near(t, "b", m.Coefficients[1].SE, want.Coefficients[1].SE)
	assert.True(t, math.IsNaN(m.Covariance[0][3]))
	assert.Equal(t, 2, m.Score.DF)
	assert.Equal(t, []string{"Left out, being the same for all at risk together or following from the covariates before: constant, sum."}, m.Notes)
	got, err := m.Predict(Asked{X: []float64{1, 1, 0.1, 9}, Times: []float64{3}, Level: 0.95})
	require.NoError(t, err)
	reduced, err := want.Predict(Asked{X: []float64{1, 1}, Times: []float64{3}, Level: 0.95})
	require.NoError(t, err)
	near(t, "survival", got[0].Survival, reduced[0].Survival)
	near(t, "its error", got[0].SurvivalSE, reduced[0].SurvivalSE)
}

// Any combination of covariates before, however large or small, is one.
func TestAnyCombinationIsRedundant(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		source, ties := someFit(t)
		source.Cluster, source.Stratum = nil, nil
		a, b, c := rapid.Float64Range(-5, 5).Draw(t, "a"), rapid.Float64Range(0.1, 5).Draw(t, "b"), rapid.Float64Range(-1e4, 1e4).Draw(t, "c")
		size := rapid.SampledFrom([]float64{1e-6, 1, 1e6}).Draw(t, "size")
		d := source
		d.Covariates, d.X = 3, nil
		for i := range d.Stop {
			x, y := source.X[2*i], source.X[2*i+1]
			d.X = append(d.X, x, y, size*(a*x+b*y+c))
		}
		if one := mustFit(t, source, ties); one.Coefficients[0].State != Redundant && one.Coefficients[1].State != Redundant {
			assert.Equal(t, Redundant, mustFit(t, d, ties).Coefficients[2].State)
		}
	})
}

// A decimal point lost in row 0: the other rows ask for a coefficient of about
// 0.7, with which row 0 has e^1400 times their hazard.
func TestOutlierIsNamed(t *testing.T) {
	d := Data{Covariates: 1, Names: []string{"angle"}, X: []float64{2000, 1, 0, 1, 0.5, 0, 1, 0},
		Stop: []float64{1, 2, 3, 4, 5, 6, 7, 8}, Event: []bool{true, true, true, true, true, true, true, true}}
	without, err := Fit(Data{Covariates: 1, X: d.X[1:], Stop: d.Stop[1:], Event: d.Event[1:]}, Efron)
	require.NoError(t, err)
	assert.InDelta(t, 0.7, without.Coefficients[0].Value, 0.1)
	for _, ties := range []Ties{Efron, Breslow, Exact} {
		_, err = Fit(d, ties)
		var far *OutlierError
		require.ErrorAs(t, err, &far)
		assert.Equal(t, OutlierError{Row: 0, Covariate: 0, Name: "angle", Value: 2000}, *far)
		assert.ErrorContains(t, err, "row 0: angle is 2000, so far from the others")
	}

	// Ending last with a low hazard it is no trouble.
	d.X[0], d.X[7], d.Event[7] = 0, 2000, false
	_, err = Fit(d, Efron)
	require.NoError(t, err)
}

func TestPredictRefuses(t *testing.T) {
	m, err := Fit(draw(3, 40, true, false), Efron)
	require.NoError(t, err)
	for _, asked := range []Asked{
		{X: []float64{1}, Level: 0.95},
		{X: []float64{1, math.NaN()}, Level: 0.95},
		{X: []float64{1, math.Inf(1)}, Level: 0.95},
		{X: []float64{1, 1}, Stratum: 7, Level: 0.95},
	} {
		_, err := m.Predict(asked)
		assert.ErrorIs(t, err, ErrNoPrediction)
	}
	_, err = m.Predict(Asked{X: []float64{1, 1}, Level: 95})
	assert.ErrorIs(t, err, survival.ErrLevel)
}

// Before the first end all hold; past the last follow-up nothing is known.
func TestPredictKnowsItsLimits(t *testing.T) {
	d := Data{Covariates: 1, X: []float64{1, 0, 2, 1}, Stop: []float64{3, 4, 5, 6}, Event: []bool{true, true, true, false}}
	m, err := Fit(d, Efron)
	require.NoError(t, err)
	p, err := m.Predict(Asked{X: []float64{1}, Times: []float64{6.1, 2, 6, 5}, Level: 0.95, Scale: survival.Log})
	require.NoError(t, err)
	assert.True(t, math.IsNaN(p[0].Survival) && math.IsNaN(p[0].Hazard) && math.IsNaN(p[0].Lower))
	assert.Equal(t, Predicted{Time: 2, Survival: 1, Lower: 1, Upper: 1}, p[1])
	assert.Equal(t, p[3].Survival, p[2].Survival)
	ends, err := m.Predict(Asked{X: []float64{1}, Level: 0.95})
	require.NoError(t, err)
	require.Len(t, ends, 3)
	assert.Equal(t, []float64{3, 4, 5}, []float64{ends[0].Time, ends[1].Time, ends[2].Time})
}

func TestExactRefusesHoursOfWork(t *testing.T) {
	d := fleet(50_000, 10, false, 1)
	d.Cluster = nil
	_, err := Fit(d, Exact)
	assert.ErrorIs(t, err, ErrExactWork)
	d = draw(1, 30, true, false)
	_, err = Fit(d, Exact)
	assert.ErrorIs(t, err, ErrNotExact, "clusters")
	d.Cluster, d.Weight = nil, make([]float64, 30)
	for i := range d.Weight {
		d.Weight[i] = 2
	}
	_, err = Fit(d, Exact)
	assert.ErrorIs(t, err, ErrNotExact, "weights")
}

// 0.1 + 0.2 and 0.3 are one time (testdata/reference, tiny-float-ties): without
// that, the tie of Efron and of Breslow would be none and they would agree.
func TestTimesEqualButForRoundingTie(t *testing.T) {
	d := Data{Covariates: 1, X: []float64{1, 0, 2, 1}, Stop: []float64{0.3, 0.1 + 0.2, 0.5, 0.7}, Event: []bool{true, true, true, false}}
	rounded := d
	rounded.Stop = []float64{3, 3, 5, 7}
	for _, ties := range []Ties{Efron, Breslow, Exact} {
		a, err := Fit(d, ties)
		require.NoError(t, err)
		b, err := Fit(rounded, ties)
		require.NoError(t, err)
		near(t, ties.String(), a.Coefficients[0].Value, b.Coefficients[0].Value)
	}
}

func TestCovariatesOfAnySize(t *testing.T) {
	source := draw(9, 80, false, false)
	want, err := Fit(source, Efron)
	require.NoError(t, err)
	for _, size := range []float64{1e-150, 1e150} {
		d := cloned(source)
		for i := range d.Stop {
			d.X[2*i] *= size
		}
		m, err := Fit(d, Efron)
		require.NoError(t, err)
		near(t, "coefficient", m.Coefficients[0].Value*size, want.Coefficients[0].Value)
	}
}
