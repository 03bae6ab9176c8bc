package survival_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

func referenceKaplanMeier(t *testing.T, d check.Table, in inputs, ch check.Check) {
	type limits struct{ Lower, Upper []check.Number }
	want := check.Decode[struct {
		N, Events      float64
		Time, Survival []check.Number
		NRisk          []check.Number `json:"n_risk"`
		NEvent         []check.Number `json:"n_event"`
		NCensor        []check.Number `json:"n_censor"`
		SE             []check.Number `json:"se_survival"`
		NelsonAalen    []check.Number `json:"nelson_aalen"`
		NelsonAalenSE  []check.Number `json:"se_nelson_aalen"`
		LogSE          []check.Number `json:"se_log_survival"`
		RMST           []struct{ Tau, RMST, SE float64 }
		CI             map[string]limits
		Quantiles      struct {
			P        []float64 `json:"failure_probability"`
			Estimate []check.Number
			CI       map[string]limits
		}
	}](t, ch.Expected)
	tol := *ch.Tolerance
	curve, err := KaplanMeier(in.spans(t, d), in.Level)
	require.NoError(t, err)
	check.Value(t, "n", float64(curve.N), want.N, tol)
	check.Value(t, "events", curve.Events, want.Events, tol)
	check.Values(t, "time", column(curve.Steps, func(s Step) float64 { return s.Time }), want.Time, tol)
	check.Values(t, "at risk", column(curve.Steps, func(s Step) float64 { return s.AtRisk }), want.NRisk, tol)
	check.Values(t, "events", column(curve.Steps, func(s Step) float64 { return s.Events }), want.NEvent, tol)
	check.Values(t, "S", column(curve.Steps, func(s Step) float64 { return s.Survival }), want.Survival, tol)
	check.Values(t, "SE", column(curve.Steps, func(s Step) float64 { return s.SE }), want.SE, tol)
	check.Values(t, "censored", column(curve.Steps, func(s Step) float64 { return s.Censored }), want.NCensor, tol)
	check.Values(t, "SE of log S", column(curve.Steps, func(s Step) float64 { return s.SE / s.Survival }), want.LogSE, tol)

	aalen, err := FlemingHarrington(in.spans(t, d), in.Level, TiesTogether)
	require.NoError(t, err)
	check.Values(t, "H", column(aalen.Steps, func(s Step) float64 { h, _ := s.Hazard(); return h }), want.NelsonAalen, tol)
	check.Values(t, "SE of H", column(aalen.Steps, func(s Step) float64 { _, se := s.Hazard(); return se }), want.NelsonAalenSE, tol)

	for _, w := range want.RMST {
		got, err := curve.RestrictedMean(w.Tau)
		require.NoError(t, err)
		check.Value(t, fmt.Sprintf("restricted mean at %v", w.Tau), got.Mean, w.RMST, tol)
		check.Value(t, fmt.Sprintf("its SE at %v", w.Tau), got.SE, w.SE, tol)
	}

	scales := map[string]Scale{"log_log": LogLog, "plain": Plain, "log": Log, "logit": Logit, "arcsin": ArcSine}
	for name, limits := range want.CI {
		c := curve.WithScale(scales[name])
		check.Values(t, name+" lower", column(c.Steps, func(s Step) float64 { return s.Lower }), limits.Lower, tol)
		check.Values(t, name+" upper", column(c.Steps, func(s Step) float64 { return s.Upper }), limits.Upper, tol)
		for i, p := range want.Quantiles.P {
			q := c.Quantile(p)
			what := fmt.Sprintf("quantile %v %s", p, name)
			check.Value(t, what, reached(q.Time), float64(want.Quantiles.Estimate[i]), tol)
			check.Value(t, what+" lower", reached(q.Lower), float64(want.Quantiles.CI[name].Lower[i]), tol)
			check.Value(t, what+" upper", reached(q.Upper), float64(want.Quantiles.CI[name].Upper[i]), tol)
		}
	}
}
