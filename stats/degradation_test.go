package stats_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"beadspan/stats/decay"
	"beadspan/stats/internal/check"
	"beadspan/stats/survival"
	"beadspan/stats/survival/aft"
)

// What the cases under testdata/reference/degradation ask and expect. Their
// method threshold_intervals is the study's own rule: reports/degradation_test.go.
type (
	pathInputs struct {
		Unit, Time, Response string
		Path                 string // the curve of each unit
		Threshold            float64
		CensorAt             float64 `json:"censor_at"`
		Subset               map[string]any
		Distribution         string
		UseTemperature       float64 `json:"use_temperature_C"`
		Times                []float64
	}

	pathExpected struct {
		Paths []struct {
			Unit             float64
			Intercept, Slope float64
			Parameters       []check.Number
			RSS              float64
			DF               int
			ResidualSD       float64       `json:"residual_sd"`
			PseudoTime       *check.Number `json:"pseudo_failure_time"`
			PseudoSE         *check.Number `json:"se_pseudo_failure_time"`
			ModelTime        float64       `json:"time_to_1.6_inch"`
			Extrapolated     bool
			LastTime         float64 `json:"last_time"`
		}
		MeanParameters       []check.Number   `json:"mean_parameters"`
		CovarianceParameters [][]check.Number `json:"covariance_parameters"`
		PooledSD             float64          `json:"pooled_residual_sd"`

		UsedTime   []float64 `json:"used_time"`
		UsedStatus []int     `json:"used_status"`
		LifeFits   []lifeFit `json:"life_fits"`

		// Of the method arrhenius.
		Times       []float64 `json:"pseudo_failure_times"`
		Status      []int
		Temperature []float64 `json:"temperature_C"`
		Coef        []check.Number
		Scale       float64
		VCov        [][]check.Number
		LogLik      float64
		AtUse       quantiles `json:"quantiles_at_use"`
	}

	lifeFit struct {
		Distribution    string
		Location, Scale float64
		VCov            [][]check.Number
		LogLik          float64
		Quantiles       quantiles
	}

	quantiles struct {
		P            []float64 `json:"failure_probability"`
		Estimate, SE []float64
	}
)

// TestDegradationReference reproduces published degradation data: fatigue
// cracks (Lu and Meeker, Technometrics 35 (1993) 161–174), drifting resistors
// (Tobias and Trindade, Applied Reliability, 2nd ed., p. 201) and made-up
// angles; numbers by R 4.2.2 with survival 3.5-3, as README.md of the cases says.
func TestDegradationReference(t *testing.T) {
	done := map[string]int{}
	for _, c := range check.Cases(t, "degradation") {
		for _, ch := range c.Checks {
			in, want := check.Decode[pathInputs](t, ch.Inputs), check.Decode[pathExpected](t, ch.Expected)
			t.Run(c.ID+"/"+ch.ID, func(t *testing.T) {
				switch ch.Method {
				case "pseudo_failure":
					checkPseudoFailures(t, c.Data.Where(t, in.Subset), in, want, *ch.Tolerance)
				case "path_nls":
					checkCracks(t, c.Data, in, want, *ch.Tolerance)
				case "life_fit":
					var spans []survival.Span
					for _, time := range in.Times {
						spans = append(spans, endedOr(time, in.CensorAt))
					}
					checkUsed(t, spans, want, *ch.Tolerance)
					checkLives(t, spans, want, *ch.Tolerance)
				case "arrhenius":
					checkArrhenius(t, in, want, *ch.Tolerance)
				case "threshold_intervals":
				default:
					t.Fatalf("method %s is not run", ch.Method)
				}
			})
			done[ch.Method]++
		}
	}
	assert.Equal(t, map[string]int{"pseudo_failure": 10, "path_nls": 1, "life_fit": 1, "arrhenius": 2, "threshold_intervals": 4}, done)
}

// checkPseudoFailures fits a line to each unit, extrapolates it to the
// threshold, and a life distribution to the times.
func checkPseudoFailures(t *testing.T, data check.Table, in pathInputs, want pathExpected, tol check.Tolerance) {
	logs := in.Path == "log y = intercept + slope * t"
	threshold := in.Threshold
	settings := decay.Settings{}
	switch in.Path {
	case "log y = intercept + slope * t":
		threshold = math.Log(threshold)
	case "y = slope * t":
		settings.Lower, settings.Upper = []float64{0, math.Inf(-1)}, []float64{0, math.Inf(1)}
	default:
		require.Equal(t, "y = intercept + slope * t", in.Path)
	}
	var spans []survival.Span
	for _, p := range want.Paths {
		points := pathOf(t, data, in.Unit, p.Unit, in.Time, in.Response, logs)
		sol, err := decay.LeastSquares(decay.Linear(), points, []float64{0, 0}, settings)
		require.NoError(t, err)
		// In logarithms the response is above 4 and known to 16 digits, the sum 1e-4.
		check.Value(t, "rss", sol.RSS, p.RSS, check.Tolerance{Rel: tol.Rel, Abs: 1e-12})
		intercept, slope := sol.Parameters[0].Value, -sol.Parameters[1].Value
		check.Value(t, "intercept", intercept, p.Intercept, check.Tolerance{Rel: tol.Rel, Abs: 1e-10})
		check.Value(t, "slope", slope, p.Slope, tol)
		assert.Equal(t, p.DF, sol.DF)
		last := points[len(points)-1].Time
		assert.Equal(t, p.LastTime, last)

		time := (threshold - intercept) / slope
		if time < 0 {
			assert.Nil(t, p.PseudoTime, "unit %v drifts the wrong way", p.Unit)
			spans = append(spans, survival.RightCensored(last))
			continue
		}
		at, err := sol.Predict([]float64{time}, 0.95)
		require.NoError(t, err)
		check.Value(t, "time", time, float64(*p.PseudoTime), tol)
		check.Value(t, "SE of time", at[0].SE/math.Abs(slope), float64(*p.PseudoSE), tol)
		assert.Equal(t, p.Extrapolated, time > last)
		spans = append(spans, endedOr(time, in.CensorAt))
	}
	checkUsed(t, spans, want, tol)
	checkLives(t, spans, want, tol)
}

// checkCracks fits the growth of a crack by the Paris rule to each specimen.
func checkCracks(t *testing.T, data check.Table, in pathInputs, want pathExpected, tol check.Tolerance) {
	paris := decay.Model{
		Parameters: []string{"b1", "b2"},
		Eval: func(b []float64, x float64, g []float64) float64 {
			u := math.Pow(0.9, b[0]) * b[0] * b[1] * x
			left := math.Log1p(-u)
			g[0] = u*(math.Log(0.9)+1/b[0])/(1-u)/b[0] + left/(b[0]*b[0])
			g[1] = u / b[1] / (1 - u) / b[0]
			return -left / b[0]
		},
	}
	rss, df := 0.0, 0
	parameters := mat.NewDense(len(want.Paths), 2, nil)
	for i, p := range want.Paths {
		points := pathOf(t, data, in.Unit, p.Unit, in.Time, "length", true)
		last := points[len(points)-1].Time
		sol, err := decay.LeastSquares(paris, points, []float64{5, 0.8 / (math.Pow(0.9, 5) * 5 * last)}, decay.Settings{})
		require.NoError(t, err)
		b1, b2 := sol.Parameters[0].Value, sol.Parameters[1].Value
		check.Values(t, "parameters", []float64{b1, b2}, p.Parameters, tol)
		check.Value(t, "rss", sol.RSS, p.RSS, tol)
		check.Value(t, "residual SD", sol.ResidualSD, p.ResidualSD, tol)
		time := (1 - math.Pow(1.6/0.9, -b1)) / (math.Pow(0.9, b1) * b1 * b2)
		check.Value(t, "time to 1.6 inch", time, p.ModelTime, tol)
		parameters.SetRow(i, []float64{b1, b2})
		rss, df = rss+sol.RSS, df+sol.DF
	}
	check.Value(t, "pooled residual SD", math.Sqrt(rss/float64(df)), want.PooledSD, tol)
	var covariance mat.SymDense
	stat.CovarianceMatrix(&covariance, parameters, nil)
	for j, row := range want.CovarianceParameters {
		check.Value(t, "mean", stat.Mean(mat.Col(nil, j, parameters), nil), float64(want.MeanParameters[j]), tol)
		check.Values(t, "covariance of parameters", mat.Row(nil, j, &covariance), row, tol)
	}
}

// pathOf returns the readings of one unit.
func pathOf(t *testing.T, data check.Table, unitColumn string, unit float64, time, response string, logs bool) []decay.Point {
	rows := data.Where(t, map[string]any{unitColumn: unit})
	times, values := rows.Floats(t, time, math.NaN()), rows.Floats(t, response, math.NaN())
	points := make([]decay.Point, len(times))
	for i := range points {
		points[i] = decay.Point{Time: times[i], Value: values[i], Weight: 1}
		if logs {
			points[i].Value = math.Log(values[i])
		}
	}
	return points
}

// endedOr is a life that ended at time, or was last seen at censor if that is
// given and earlier.
func endedOr(time, censor float64) survival.Span {
	if censor > 0 && time > censor {
		return survival.RightCensored(censor)
	}
	return survival.Exact(time)
}

func checkUsed(t *testing.T, spans []survival.Span, want pathExpected, tol check.Tolerance) {
	require.Len(t, spans, len(want.UsedTime))
	for i, s := range spans {
		check.Value(t, "used time", s.Lower, want.UsedTime[i], tol)
		assert.Equal(t, want.UsedStatus[i] == 1, s.Upper == s.Lower)
	}
}

// checkLives fits each distribution to the lives.
func checkLives(t *testing.T, spans []survival.Span, want pathExpected, tol check.Tolerance) {
	for _, fit := range want.LifeFits {
		m := fitLives(t, aft.Data{Spans: spans}, fit.Distribution)
		check.Value(t, "location", m.Coefficients[0], fit.Location, tol)
		check.Value(t, "scale", math.Exp(m.LogScale[0]), fit.Scale, tol)
		check.Value(t, "log-likelihood", m.LogLik, fit.LogLik, tol)
		checkCovariance(t, m, fit.VCov, tol)
		checkQuantiles(t, m, []float64{1}, fit.Quantiles, tol)
	}
}

// checkArrhenius fits lives at two temperatures: the coefficient is the energy
// of activation in electronvolts, by Boltzmann's constant of 1/11604.518 eV/K.
func checkArrhenius(t *testing.T, in pathInputs, want pathExpected, tol check.Tolerance) {
	perVolt := func(celsius float64) float64 { return 11604.518 / (celsius + 273.15) }
	spans, x := make([]survival.Span, len(want.Times)), make([]float64, len(want.Times))
	for i, time := range want.Times {
		spans[i] = survival.Exact(time)
		if want.Status[i] == 0 {
			spans[i] = survival.RightCensored(time)
		}
		x[i] = perVolt(want.Temperature[i])
	}
	design, err := aft.NewDesign(len(x), aft.Numeric("x", x))
	require.NoError(t, err)
	m := fitLives(t, aft.Data{Spans: spans, Design: design}, in.Distribution)
	check.Values(t, "coefficients", m.Coefficients, want.Coef, tol)
	check.Value(t, "scale", math.Exp(m.LogScale[0]), want.Scale, tol)
	check.Value(t, "log-likelihood", m.LogLik, want.LogLik, tol)
	checkCovariance(t, m, want.VCov, tol)
	checkQuantiles(t, m, []float64{1, perVolt(in.UseTemperature)}, want.AtUse, tol)
}

func fitLives(t *testing.T, data aft.Data, name string) *aft.Model {
	law, err := aft.ParseDistribution(name)
	require.NoError(t, err)
	m, err := aft.Fit(data, law)
	require.NoError(t, err)
	return m
}

func checkCovariance(t *testing.T, m *aft.Model, want [][]check.Number, tol check.Tolerance) {
	for j, row := range want {
		check.Values(t, "covariance", mat.Row(nil, j, m.Covariance), row, tol)
	}
}

func checkQuantiles(t *testing.T, m *aft.Model, x []float64, want quantiles, tol check.Tolerance) {
	for i, p := range want.P {
		q, err := m.Quantile(aft.Life{X: x}, p, 0.95)
		require.NoError(t, err)
		check.Value(t, "quantile", q.Time, want.Estimate[i], tol)
		check.Value(t, "SE of quantile", q.SE, want.SE[i], tol)
	}
}
