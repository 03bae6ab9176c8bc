package survival

import (
	"fmt"
	"math"
	"sort"
)

// IntervalCurve is an estimate of S(t) = P(life > t) from censored spans. It
// says how much of the lives ends within each innermost interval, and nothing
// on where inside.
type IntervalCurve struct {
	N          int        // spans
	Intervals  []Interval // the innermost intervals, in order of time
	LogLik     float64    // log-likelihood, given the entries
	Gap        float64    // how far the Kuhn–Tucker conditions fail: at most 1e-8
	Iterations int
	Unique     bool // no other masses fit the spans as well; see Turnbull
}

// ConvergenceError says that an estimate was given up on.
type ConvergenceError struct {
	Iterations int
	Gap        float64 // of the Kuhn–Tucker conditions; 0 at the maximum
}

// Error tells how far the estimate came.
func (e *ConvergenceError) Error() string {
	return fmt.Sprintf("no convergence in %d iterations: Kuhn-Tucker gap %.2g, wanted %.0g",
		e.Iterations, e.Gap, gapAllowed)
}

// Turnbull estimates S(t) = P(life > t) from any mix of exact, right-, left-
// and interval-censored spans with or without delayed entry: the masses
// pⱼ ≥ 0, ∑ pⱼ = 1, on the innermost intervals that maximise
//
//	∑ᵢ wᵢ log [ P(Lowerᵢ < T ≤ Upperᵢ) / P(T > Entryᵢ) ]
//
// (P(T = Lowerᵢ) for an exact span; a denominator of 1 where Entry is 0; wᵢ the
// weight.) On exact and right-censored spans it is the Kaplan–Meier estimate.
//
// The maximum is found by Newton steps on the intervals that hold mass and is
// known by the Kuhn–Tucker conditions. With
//
//	dⱼ = (∑ᵢ wᵢ [j ⊂ spanᵢ]/P(spanᵢ) + ∑ᵢ wᵢ [j ≤ Entryᵢ]/P(T > Entryᵢ)) / ∑ᵢ wᵢ/P(T > Entryᵢ)
//
// dⱼ = 1 where pⱼ > 0 and dⱼ ≤ 1 elsewhere; Gap is the largest failure of that.
// Without delayed entry the masses are unique. With it:
//   - S is conditional on outliving the first entry: before it nothing is known.
//   - Unique is false where several masses fit equally well, as when some spans
//     allow mass before or after an entry that no other span speaks about; the
//     result is then one of them.
//   - If all who were at risk are known to have ended while others entered later,
//     S is 0 from there on whatever the later ones show, as with Kaplan–Meier;
//     LogLik and Gap still cover the later ones, given that they entered.
//     Condition on a later start instead.
//
// Spans of one cluster count as independent; ClusterBootstrap gives limits that
// do not suppose so. Times that differ by rounding only (1.5e-8 of the
// mean time) are one. spans may come in any order and are not
// modified.
//
// No spans is ErrNoSpans, an impossible one a *SpanError. A gap still above
// 1e-8 after 500 iterations is a *ConvergenceError.
//
// Sources: Turnbull, J. R. Stat. Soc. B 38 (1976) 290–295; Frydman, J. R. Stat.
// Soc. B 56 (1994) 71–74, for the innermost intervals under delayed entry;
// Gentleman and Geyer, Biometrika 81 (1994) 618–623, for the conditions; Wang,
// J. R. Stat. Soc. B 69 (2007) 185–198, for the kind of Newton step.
func Turnbull(spans []Span) (*IntervalCurve, error) {
	spans, err := mergedSpans(spans)
	if err != nil {
		return nil, fmt.Errorf("turnbull: %w", err)
	}
	c, err := turnbull(telling(spans))
	if err != nil {
		return nil, fmt.Errorf("turnbull: %w", err)
	}
	c.N = len(spans)
	return c, nil
}

// turnbull estimates from valid spans that all tell something. From no spans it
// estimates that a life ends some time.
func turnbull(spans []Span) (*IntervalCurve, error) {
	c := &IntervalCurve{N: len(spans), Unique: true}
	if len(spans) == 0 {
		c.Intervals = []Interval{{Upper: math.Inf(1), Mass: 1}}
		return c, nil
	}
	c.Intervals = innermost(spans)
	z := newHazards(rowsOf(spans, c.Intervals), len(c.Intervals))
	z.begin()
	var closed bool
	c.Iterations, closed = z.climb()
	c.Gap = z.gap
	if !closed {
		return nil, &ConvergenceError{Iterations: c.Iterations, Gap: c.Gap}
	}
	c.LogLik = z.logLikelihood(z.u)
	c.Unique = z.unique()
	c.weigh(z)
	return c, nil
}

// weigh turns cumulative hazards into masses.
func (c *IntervalCurve) weigh(z *hazards) {
	left := 1.0
	for j := range c.Intervals {
		v := &c.Intervals[j]
		if z.closing[j] {
			v.Mass, left = left, 0
		} else {
			v.Mass = -left * math.Expm1(-z.u[j])
			left *= math.Exp(-z.u[j])
		}
		v.After = left
	}
}

// IntervalPoint is what an IntervalCurve knows of S at a time.
type IntervalPoint struct {
	Time float64
	// Lower and Upper bound S(Time) over all ways to spread the mass of an
	// interval that Time lies inside of; they are no confidence limits.
	Lower, Upper float64
	Determined   bool // Lower = Upper
	// Survival spreads that mass evenly, a convention; NaN past the last sight
	// of anything, where even that says nothing.
	Survival float64
}

// At returns what the estimate knows of S(t).
func (c *IntervalCurve) At(t float64) IntervalPoint {
	p := IntervalPoint{Time: t}
	i := sort.Search(len(c.Intervals), func(i int) bool { return c.Intervals[i].Upper > t })
	p.Upper = c.reaching(i)
	p.Lower, p.Survival = p.Upper, p.Upper
	if i < len(c.Intervals) && c.Intervals[i].Lower < t && c.Intervals[i].Mass > 0 {
		v := c.Intervals[i]
		p.Lower = v.After
		p.Survival = p.Upper - v.Mass*(t-v.Lower)/(v.Upper-v.Lower)
		if math.IsInf(v.Upper, 1) {
			p.Survival = math.NaN()
		}
	}
	p.Determined = p.Lower == p.Upper
	return p
}

// reaching is S just before interval i.
func (c *IntervalCurve) reaching(i int) float64 {
	if i == 0 {
		return 1
	}
	return c.Intervals[i-1].After
}

// IntervalQuantile is the time by which a share P of lives has ended, as far as
// an IntervalCurve knows it: within (Lower, Upper], at Upper if the two are
// equal. Time spreads the interval's mass evenly, a convention. Time and Upper
// are +Inf where the quantile lies past the last sight of anything, at Lower.
type IntervalQuantile struct {
	P            float64
	Lower, Upper float64
	Time         float64
	// Flat means that S is exactly 1 − P after Upper and falls no further for a
	// while: any time of that stretch is a quantile, and Time is its middle.
	Flat bool
}

// Quantile returns the interval in which the estimate first falls to 1 − p, to
// within 1.5e-8. It panics unless 0 < p < 1.
func (c *IntervalCurve) Quantile(p float64) IntervalQuantile {
	mustBeShare(p)
	level := 1 - p
	i := sort.Search(len(c.Intervals), func(i int) bool { return c.Intervals[i].After <= level+tieTolerance })
	v := c.Intervals[i] // the last has After 0
	q := IntervalQuantile{P: p, Lower: v.Lower, Upper: v.Upper}
	switch {
	case math.IsInf(v.Upper, 1):
		q.Time = v.Upper
	case v.After >= level-tieTolerance:
		q.Flat = true
		q.Time = (v.Upper + c.nextFall(i)) / 2
	case v.Exact:
		q.Time = v.Upper
	default:
		q.Time = v.Lower + (c.reaching(i)-level)/v.Mass*(v.Upper-v.Lower)
	}
	return q
}

// nextFall is where mass begins again after interval i.
func (c *IntervalCurve) nextFall(i int) float64 {
	for _, v := range c.Intervals[i+1:] {
		if v.Mass > tieTolerance {
			return v.Lower
		}
	}
	return c.Intervals[i].Upper
}
