package calc

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"beadspan/stats/decay/mixed"
)

// MixedOutlook is what is wanted of single curves.
type MixedOutlook struct {
	Predict    [][]Condition // covariates of typical groups; a model without any answers anyway
	Times      []float64     // at which values are wanted
	Thresholds []float64     // that curves come down to
	Shares     []float64     // of groups that have, for quantiles of their times
	Horizon    float64       // up to when; 0: ten times the last time
	Draws      int           // of groups
	Seed       uint64
}

// mixedCurve is the curve of the typical group.
type mixedCurve struct {
	X map[string]any `json:"x"`
	outlook
	Passages []passage `json:"passage"`
}

// outlook is what a curve says.
type outlook struct {
	Parameters  []curveParameter `json:"parameters"`
	Predictions []prediction     `json:"predictions"`
	Crossings   []crossing       `json:"time_to_threshold"`
}

// curveParameter is a parameter of one curve.
type curveParameter struct {
	Name  string `json:"name"`
	Value Number `json:"value"`
	SE    Number `json:"se"`
}

// passage is how the times at which groups come down to a threshold are spread.
type passage struct {
	Threshold Number         `json:"threshold"`
	Horizon   Number         `json:"horizon"`
	Draws     int            `json:"draws"`
	Quantiles []passageTime  `json:"quantiles"`
	Shares    []passageShare `json:"by"`
}

// passageTime is when a share of the groups has come down.
type passageTime struct {
	Share Number `json:"failure_probability"`
	Time  Number `json:"time"`
}

// passageShare is the share of the groups that has come down by a time.
type passageShare struct {
	Time  Number `json:"time"`
	Share Number `json:"share"`
	SE    Number `json:"se"`
}

// look fills what the curves of groups and of the typical group say.
func (r *MixedResult) look(plan *mixedPlan, fit *mixed.CurvesFit) error {
	last := plan.lastRows()
	for _, g := range fit.Groups {
		effect := plan.effect(g)
		curve, err := fit.Of(g.Outer, g.Inner, plan.covariatesOf(last[[2]int{g.Outer, g.Inner}]))
		if err != nil {
			return err
		}
		if effect.outlook, err = newOutlook(curve, plan.options); err != nil {
			return err
		}
		r.Effects = append(r.Effects, effect)
	}
	for _, given := range plan.typical {
		if err := r.typical(given, fit, plan.options); err != nil {
			return err
		}
	}
	return nil
}

// typical adds the curve of the typical group for given covariates.
func (r *MixedResult) typical(given life, fit *mixed.CurvesFit, o MixedOptions) error {
	curve := fit.Typical(given.x)
	out, err := newOutlook(curve, o)
	if err != nil {
		return err
	}
	c := mixedCurve{X: given.values, outlook: *out, Passages: []passage{}}
	for _, threshold := range o.Thresholds {
		horizon := o.Horizon
		if horizon == 0 {
			horizon = 10 * fit.Last
		}
		drawn, err := curve.Passage(threshold, horizon, o.Draws, o.Seed)
		if err != nil {
			return err
		}
		c.Passages = append(c.Passages, newPassage(drawn, o))
	}
	r.Curves = append(r.Curves, c)
	return nil
}

func newPassage(drawn *mixed.Passage, o MixedOptions) passage {
	p := passage{Number(drawn.Threshold), Number(drawn.Horizon), drawn.Draws, []passageTime{}, []passageShare{}}
	for _, share := range o.Shares {
		time, _ := drawn.Quantile(share)
		p.Quantiles = append(p.Quantiles, passageTime{Number(share), Number(orNaN(time))})
	}
	for _, time := range o.Times {
		share, se := drawn.By(time)
		if time > drawn.Horizon {
			share, se = math.NaN(), math.NaN()
		}
		p.Shares = append(p.Shares, passageShare{Number(time), Number(share), Number(se)})
	}
	return p
}

func newOutlook(curve *mixed.Curve, o MixedOptions) (*outlook, error) {
	out := &outlook{Predictions: []prediction{}, Crossings: []crossing{}}
	for _, p := range curve.Parameters() {
		out.Parameters = append(out.Parameters, curveParameter{p.Name, Number(p.Value), Number(p.SE)})
	}
	found, err := curve.Predict(o.Times, o.Level)
	if err != nil {
		return nil, err
	}
	for _, p := range found {
		out.Predictions = append(out.Predictions, newPrediction(p))
	}
	for _, threshold := range o.Thresholds {
		x, err := curve.TimeTo(threshold, o.Level)
		if err != nil {
			return nil, err
		}
		out.Crossings = append(out.Crossings, newCrossing(x))
	}
	return out, nil
}

// effect names a group's effects.
func (p *mixedPlan) effect(g mixed.Group) groupEffect {
	e := groupEffect{Group: p.cluster.Names[g.Outer], N: g.Rows, Effect: plain(g.OuterEffects)}
	if p.Groups != nil {
		e.Inner, e.Within = &p.Groups.Names[g.Inner], plain(g.InnerEffects)
	}
	return e
}

// lastRows finds the last reading of each group, whose covariates are taken
// for its curve.
func (p *mixedPlan) lastRows() map[[2]int]int {
	last := map[[2]int]int{}
	for i, point := range p.Points {
		group := [2]int{point.Cluster, p.innerGroup(i)}
		if at, seen := last[group]; !seen || p.Points[at].Time <= point.Time {
			last[group] = i
		}
	}
	return last
}

// normalQuantile is the z that ±z encloses level of the normal distribution.
func normalQuantile(level float64) float64 { return distuv.UnitNormal.Quantile((1 + level) / 2) }
