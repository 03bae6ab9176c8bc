package calc

import (
	"errors"
	"slices"
	"strings"

	"beadspan/stats/survival"
)

// CurveOptions say what is wanted of a survival curve.
type CurveOptions struct {
	Level  float64   // confidence level of the limits
	Scales []string  // of the limits of S, from ScaleNames; the first is printed
	Shares []float64 // of lives ended, for quantiles
	Times  []float64 // at which S is wanted
	Taus   []float64 // up to which mean lives are wanted
	First  bool      // a quantile on a flat stretch is its start, not its middle
	Band   BandOptions
}

// ScaleNames are the names of the scales on which limits of S can be
// symmetric.
func ScaleNames() []string { return []string{"log-log", "log", "plain", "logit", "arcsin"} }

// scale finds a scale by its name, which must be one of ScaleNames.
func scale(name string) survival.Scale {
	return []survival.Scale{survival.LogLog, survival.Log, survival.Plain, survival.Logit,
		survival.ArcSine}[slices.Index(ScaleNames(), name)]
}

// scaleKey is a scale's name as JSON and the reference cases have it.
func scaleKey(name string) string { return strings.ReplaceAll(name, "-", "_") }

// KaplanMeierResult is a curve for each group.
type KaplanMeierResult struct {
	Source
	Level  float64            `json:"conf_level"`
	Groups []KaplanMeierCurve `json:"groups"`
	// Differences compares the restricted means of each two groups.
	Differences []meanDifference `json:"rmst_difference"`

	groupColumns string
	scale        string // that is printed
}

// KaplanMeierCurve is the estimate for one group: lists with an element for
// each time at which a life ended or was last seen, and what follows from them.
type KaplanMeierCurve struct {
	Group      *string           `json:"group"`
	N          int               `json:"n"`
	Events     Number            `json:"events"`
	Time       Numbers           `json:"time"`
	AtRisk     Numbers           `json:"n_risk"`
	Ended      Numbers           `json:"n_event"`
	Censored   Numbers           `json:"n_censor"`
	Survival   Numbers           `json:"survival"`
	SE         Numbers           `json:"se_survival"`
	SELog      Numbers           `json:"se_log_survival"`
	Hazard     Numbers           `json:"nelson_aalen"`
	SEHazard   Numbers           `json:"se_nelson_aalen"`
	Limits     map[string]limits `json:"ci"`
	Quantiles  quantiles         `json:"quantiles"`
	SurvivalAt []survivalAt      `json:"survival_at"`
	Means      []restrictedMean  `json:"rmst"`
	Band       *band             `json:"band"`
}

// limits are lists of confidence limits.
type limits struct {
	Lower Numbers `json:"lower"`
	Upper Numbers `json:"upper"`
}

// quantiles are the times by which shares of lives have ended.
type quantiles struct {
	Shares   Numbers           `json:"failure_probability"`
	Estimate Numbers           `json:"estimate"`
	Limits   map[string]limits `json:"ci"`
}

// survivalAt is S at one time.
type survivalAt struct {
	Time     Number                `json:"time"`
	AtRisk   Number                `json:"n_risk"`
	Survival Number                `json:"survival"`
	SE       Number                `json:"se_survival"`
	Limits   map[string]limitsPair `json:"ci"`
}

// limitsPair is a pair of confidence limits.
type limitsPair struct {
	Lower Number `json:"lower"`
	Upper Number `json:"upper"`
}

// KaplanMeier estimates a survival curve for each group.
func KaplanMeier(d *Data, o CurveOptions) (*KaplanMeierResult, error) {
	r := &KaplanMeierResult{Level: o.Level, groupColumns: d.groupColumns(), scale: o.Scales[0]}
	means := make([][]survival.RestrictedMean, len(o.Taus))
	for g, spans := range split(d.Groups, d.Spans) {
		curve, err := survival.KaplanMeier(spans, o.Level)
		if err != nil {
			return nil, d.inGroup(g, err)
		}
		c := newKaplanMeierCurve(curve, o)
		c.Group = d.groupName(g)
		if err := errors.Join(c.addHazard(spans, o.Level), c.addBand(d, curve, o)); err != nil {
			return nil, d.inGroup(g, err)
		}
		for i, tau := range o.Taus {
			mean, err := curve.RestrictedMean(tau)
			if err != nil {
				return nil, d.inGroup(g, err)
			}
			means[i] = append(means[i], mean)
			c.Means = append(c.Means, newRestrictedMean(mean))
		}
		r.Groups = append(r.Groups, c)
	}
	if err := r.compareMeans(means); err != nil {
		return nil, err
	}
	r.Source = d.Source
	return r, nil
}

func newKaplanMeierCurve(curve *survival.Curve, o CurveOptions) KaplanMeierCurve {
	pick := func(of func(survival.Step) float64) Numbers { return numbers(curve.Steps, of) }
	c := KaplanMeierCurve{
		N:          curve.N,
		Events:     Number(curve.Events),
		Time:       pick(func(s survival.Step) float64 { return s.Time }),
		AtRisk:     pick(func(s survival.Step) float64 { return s.AtRisk }),
		Ended:      pick(func(s survival.Step) float64 { return s.Events }),
		Censored:   pick(func(s survival.Step) float64 { return s.Censored }),
		Survival:   pick(func(s survival.Step) float64 { return s.Survival }),
		SE:         pick(func(s survival.Step) float64 { return s.SE }),
		SELog:      pick(func(s survival.Step) float64 { return s.SE / s.Survival }),
		Limits:     map[string]limits{},
		Quantiles:  quantiles{Shares: plain(o.Shares), Limits: map[string]limits{}},
		SurvivalAt: []survivalAt{},
		Means:      []restrictedMean{},
	}
	for _, t := range o.Times {
		s := curve.At(t)
		c.SurvivalAt = append(c.SurvivalAt, survivalAt{Number(t), Number(s.AtRisk), Number(s.Survival), Number(s.SE), map[string]limitsPair{}})
	}
	for _, name := range o.Scales {
		scaled := curve.WithScale(scale(name))
		c.addLimits(scaleKey(name), scaled)
		c.addQuantiles(scaleKey(name), scaled, o.First)
	}
	return c
}

// addLimits adds the limits of S on one scale.
func (c *KaplanMeierCurve) addLimits(key string, curve *survival.Curve) {
	c.Limits[key] = limits{
		numbers(curve.Steps, func(s survival.Step) float64 { return s.Lower }),
		numbers(curve.Steps, func(s survival.Step) float64 { return s.Upper }),
	}
	for i := range c.SurvivalAt {
		s := curve.At(float64(c.SurvivalAt[i].Time))
		c.SurvivalAt[i].Limits[key] = limitsPair{Number(s.Lower), Number(s.Upper)}
	}
}

// addQuantiles adds the quantiles, which are the same on any scale, and their
// limits on one.
func (c *KaplanMeierCurve) addQuantiles(key string, curve *survival.Curve, first bool) {
	find := curve.Quantile
	if first {
		find = curve.FirstQuantile
	}
	found := make([]survival.Quantile, len(c.Quantiles.Shares))
	for i, share := range c.Quantiles.Shares {
		found[i] = find(float64(share))
	}
	pick := func(of func(survival.Quantile) float64) Numbers {
		return numbers(found, func(q survival.Quantile) float64 { return orNaN(of(q)) })
	}
	c.Quantiles.Estimate = pick(func(q survival.Quantile) float64 { return q.Time })
	c.Quantiles.Limits[key] = limits{
		pick(func(q survival.Quantile) float64 { return q.Lower }),
		pick(func(q survival.Quantile) float64 { return q.Upper }),
	}
}

// addHazard adds the Nelson–Aalen estimate.
func (c *KaplanMeierCurve) addHazard(spans []survival.Span, level float64) error {
	curve, err := survival.FlemingHarrington(spans, level, survival.TiesTogether)
	if err != nil {
		return err
	}
	for _, s := range curve.Steps {
		hazard, se := s.Hazard()
		c.Hazard = append(c.Hazard, Number(hazard))
		c.SEHazard = append(c.SEHazard, Number(se))
	}
	return nil
}
