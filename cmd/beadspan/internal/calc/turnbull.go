package calc

import (
	"context"
	"errors"
	"math"

	"beadspan/stats/survival"
)

// TurnbullOptions say what is wanted of an estimate from interval-censored
// lives.
type TurnbullOptions struct {
	Level      float64   // confidence level of the limits
	Shares     []float64 // of lives ended, for quantiles
	Times      []float64 // at which S is wanted
	Replicates int       // of the bootstrap behind the limits; 0: no limits
	Seed       uint64
	Done       func() // called after each replicate of each group, by several goroutines
}

// TurnbullResult is an estimate for each group.
type TurnbullResult struct {
	Source
	Level      float64         `json:"conf_level"`
	Replicates int             `json:"bootstrap_replicates"`
	Seed       uint64          `json:"seed"`
	Groups     []TurnbullCurve `json:"groups"`

	groupColumns string
}

// TurnbullCurve is the estimate for one group: lists with an element for each
// innermost interval, and what follows from them.
type TurnbullCurve struct {
	Group      *string            `json:"group"`
	N          Number             `json:"n"`
	Clusters   int                `json:"clusters"`
	Intervals  innermostIntervals `json:"intervals"`
	Mass       Numbers            `json:"mass"`
	After      Numbers            `json:"survival_after"`
	LogLik     Number             `json:"loglik"`
	Unique     bool               `json:"unique_masses"`
	Gap        Number             `json:"kkt_gap"`
	Iterations int                `json:"iterations"`
	Quantiles  []intervalQuantile `json:"quantile_interval"`
	SurvivalAt []intervalSurvival `json:"survival_at"`
}

// innermostIntervals are the ends of the intervals that hold the mass.
type innermostIntervals struct {
	Left       Numbers `json:"left"`
	Right      Numbers `json:"right"`
	LeftClosed []bool  `json:"left_closed"`
}

// intervalQuantile is the interval in which a share of lives has ended.
type intervalQuantile struct {
	Share    Number     `json:"failure_probability"`
	Left     Number     `json:"left"`
	Right    Number     `json:"right"`
	ExactHit bool       `json:"exact_hit"`
	Spread   Number     `json:"time_spread_evenly"`
	Limits   limitsPair `json:"ci"`
}

// intervalSurvival is what is known of S at one time.
type intervalSurvival struct {
	Time       Number     `json:"time"`
	Determined bool       `json:"determined"`
	Survival   Number     `json:"survival"` // null where not determined
	Lower      Number     `json:"lower"`
	Upper      Number     `json:"upper"`
	Spread     Number     `json:"survival_spread_evenly"`
	Limits     limitsPair `json:"ci"`
}

// Turnbull estimates survival for each group. ctx ends the resampling.
func Turnbull(ctx context.Context, d *Data, o TurnbullOptions) (*TurnbullResult, error) {
	r := &TurnbullResult{Level: o.Level, Replicates: o.Replicates, Seed: o.Seed, groupColumns: d.groupColumns()}
	for g, spans := range split(d.Groups, d.Spans) {
		curve, err := survival.Turnbull(spans)
		if err != nil {
			return nil, d.inGroup(g, err)
		}
		c := newTurnbullCurve(curve, o)
		c.Group, c.N, c.Clusters = d.groupName(g), lives(spans), clusters(spans)
		if err := c.addLimits(ctx, d, spans, o); err != nil {
			return nil, d.inGroup(g, err)
		}
		r.Groups = append(r.Groups, c)
	}
	r.Source = d.Source
	return r, nil
}

func newTurnbullCurve(curve *survival.IntervalCurve, o TurnbullOptions) TurnbullCurve {
	nan := Number(math.NaN())
	c := TurnbullCurve{
		LogLik:     Number(curve.LogLik),
		Unique:     curve.Unique,
		Gap:        Number(curve.Gap),
		Iterations: curve.Iterations,
		Quantiles:  []intervalQuantile{},
		SurvivalAt: []intervalSurvival{},
	}
	for _, v := range curve.Intervals {
		c.Intervals.Left = append(c.Intervals.Left, Number(v.Lower))
		c.Intervals.Right = append(c.Intervals.Right, Number(v.Upper))
		c.Intervals.LeftClosed = append(c.Intervals.LeftClosed, v.Exact)
		c.Mass = append(c.Mass, Number(v.Mass))
		c.After = append(c.After, Number(v.After))
	}
	for _, share := range o.Shares {
		q := curve.Quantile(share)
		c.Quantiles = append(c.Quantiles, intervalQuantile{Number(share), Number(q.Lower), Number(q.Upper), q.Flat, Number(q.Time), limitsPair{nan, nan}})
	}
	for _, t := range o.Times {
		p := curve.At(t)
		s := intervalSurvival{Number(t), p.Determined, nan, Number(p.Lower), Number(p.Upper), Number(p.Survival), limitsPair{nan, nan}}
		if p.Determined {
			s.Survival = s.Lower
		}
		c.SurvivalAt = append(c.SurvivalAt, s)
	}
	return c
}

// addLimits resamples clusters. Where that is not possible a note says so.
func (c *TurnbullCurve) addLimits(ctx context.Context, d *Data, spans []survival.Span, o TurnbullOptions) error {
	if o.Replicates == 0 {
		return nil
	}
	limits, err := survival.ClusterBootstrap(ctx, spans, survival.Resampling{
		Times: o.Times, Shares: o.Shares, Level: o.Level, Replicates: o.Replicates, Seed: o.Seed, Done: o.Done,
	})
	if errors.Is(err, survival.ErrClusters) {
		d.note("%s: no limits, since there is only one cluster to resample", orAll(c.Group))
		return nil
	}
	if err != nil {
		return err
	}
	for i, l := range limits.Quantiles {
		c.Quantiles[i].Limits = limitsPair{Number(orNaN(l.Lower)), Number(orNaN(l.Upper))}
	}
	for i, l := range limits.Survival {
		c.SurvivalAt[i].Limits = limitsPair{Number(l.Lower), Number(l.Upper)}
	}
	if d.columns.Weight != "" && d.columns.Cluster == "" {
		d.note("%s: the limits take what a row stands for as one whole: they are too wide if it is several lives "+
			"independent of each other", orAll(c.Group))
	}
	if limits.Clusters < fewClusters {
		d.note("%s: %d clusters: limits from so few tend to be too narrow", orAll(c.Group), limits.Clusters)
	}
	if limits.Failed > 0 {
		d.note("%s: %d of %d resamples were left out: they did not converge", orAll(c.Group), limits.Failed, o.Replicates)
	}
	return nil
}

// fewClusters is the number of clusters below which limits by resampling are
// doubtful.
const fewClusters = 20

// lives is how many lives spans stand for.
func lives(spans []survival.Span) Number {
	sum := 0.0
	for _, s := range spans {
		sum += s.Lives()
	}
	return Number(sum)
}

func clusters(spans []survival.Span) int {
	seen := map[int]bool{}
	for _, s := range spans {
		seen[s.Cluster] = true
	}
	return len(seen)
}
