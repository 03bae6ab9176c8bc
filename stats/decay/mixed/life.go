package mixed

import (
	"errors"
	"fmt"
	"math"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
)

// LifeOptions say of which life a population is asked.
type LifeOptions struct {
	Threshold float64
	Times     []float64 // of the curve of lives: ascending, the last above 0
	Level     float64   // confidence level of the limits

	// Mix is what groups the population is made of; nil stands for those of
	// the fit, CurvesFit.Mix.
	Mix []Kind

	// Groups is how many groups are drawn of each population; 0 stands for 2000.
	Groups int
	Seed   uint64
}

// Kind is a share of a population that has the same covariates. Shares need
// not add up to 1.
type Kind struct {
	Covariates []float64
	Share      float64
}

// Life is the distribution of lives that a fit implies for a population: a
// group's life ends when its curve first comes down to the threshold.
type Life struct {
	Threshold, Level float64
	Points           []LifePoint // one for each of the times asked for
	Median           LifeNumber  // +Inf if not reached by the last of the times
	Mean             LifeNumber  // of lives counted up to the last of the times at most

	// FirstReading and LastReading are the times between which the curves were
	// seen. What is said of others rests on the shape of the curve.
	FirstReading, LastReading float64

	Notes []string // what a reader must know beside the numbers
}

// LifePoint is the share of groups whose life is longer than Time. Limits are
// for that time alone.
type LifePoint struct {
	Time                float64
	Above, Lower, Upper float64
}

// LifeNumber is a number of a distribution of lives, in the unit of time, with
// limits.
type LifeNumber struct{ Value, Lower, Upper float64 }

// Mix returns what the groups of the fit are, each with the covariates of its
// first reading and the same share.
func (f *CurvesFit) Mix() []Kind {
	l := f.fleet
	mix := make([]Kind, len(l.inner))
	for s, rows := range l.inner {
		mix[s] = Kind{l.readings[rows.from].Covariates, 1}
	}
	return mix
}

// Life tells how long the groups of a population last until their curves first
// come down to a threshold, over what groups differ by and the mix of their
// covariates:
//
//	S(t) = P(m(t′; φ) > threshold at all t′ from 0 to t)
//
// from groups drawn evenly (randomised Halton points), the same for each
// population; one whose curve is never above the threshold has a life of 0. The
// estimates are those of the fitted parameters; limits are the quantiles of the
// same over the Populations, at (1 ± Level)/2. The curves must be ones that,
// once down, stay down.
//
// This is a life by the shape of the curve and the normal distribution of
// effects: it goes on after the last reading, where S is seen by nobody, and it
// knows nothing of lives that ended otherwise. An estimate from the ends that
// were seen, such as Turnbull's, supposes neither; see Agree for how far the
// two are apart.
//
// Times that are not finite, ascending and from 0, a threshold that is not
// finite, shares of the mix that are negative or all 0 and a level outside
// (0, 1) are errors. It panics if covariates are not as many as the model's.
func (p *Populations) Life(ask LifeOptions) (*Life, error) {
	if ask.Mix == nil {
		ask.Mix = p.fit.Mix()
	}
	if ask.Groups == 0 {
		ask.Groups = 2000
	}
	if err := ask.check(); err != nil {
		return nil, fmt.Errorf("implied life: %w", err)
	}
	for _, kind := range ask.Mix {
		p.fit.checkCovariates(kind.Covariates)
	}
	f := p.fit
	d := newDrawing(f.fleet, ask)
	best := d.lives(f.population())
	life := &Life{
		Threshold: ask.Threshold, Level: ask.Level, FirstReading: f.First, LastReading: f.Last,
		Points: make([]LifePoint, len(ask.Times)),
	}
	over := make([]lives, len(p.list))
	var workers errgroup.Group
	workers.SetLimit(runtime.GOMAXPROCS(0))
	for i, of := range p.list {
		workers.Go(func() error {
			over[i] = d.lives(of)
			return nil
		})
	}
	_ = workers.Wait() // none of them fails
	limits := func(number func(lives) float64) LifeNumber {
		values := make([]float64, len(over))
		for i, l := range over {
			values[i] = number(l)
		}
		slices.Sort(values)
		return LifeNumber{number(best), share(values, (1-ask.Level)/2), share(values, (1+ask.Level)/2)}
	}
	for i, time := range ask.Times {
		above := limits(func(l lives) float64 { return l.beyond(time) })
		life.Points[i] = LifePoint{time, above.Value, above.Lower, above.Upper}
	}
	life.Median, life.Mean = limits(lives.median), limits(d.mean)
	life.explain(f)
	return life, nil
}

func (o LifeOptions) check() error {
	if _, err := normalQuantile(o.Level); err != nil {
		return err
	}
	if !finite(o.Threshold) {
		return fmt.Errorf("threshold %g is not a finite number", o.Threshold)
	}
	last := math.Inf(-1)
	for _, time := range o.Times {
		if !finite(time) || time < 0 || time < last {
			return errors.New("times are not finite, ascending and from 0")
		}
		last = time
	}
	if !(last > 0) {
		return errors.New("no time above 0 is asked for")
	}
	sum := 0.0
	for _, kind := range o.Mix {
		if !(kind.Share >= 0) {
			return fmt.Errorf("share %g of a kind is below 0", kind.Share)
		}
		sum += kind.Share
	}
	if !(sum > 0) || math.IsInf(sum, 1) || o.Groups < 0 {
		return errors.New("the mix has no shares, or there are no groups to draw")
	}
	return nil
}

func (l *Life) explain(f *CurvesFit) {
	note := func(format string, parts ...any) { l.Notes = append(l.Notes, fmt.Sprintf(format, parts...)) }
	if math.IsInf(l.Median.Value, 1) {
		note("By time %.4g, the last that was asked for, fewer than half have come down to the threshold: no median.", l.Points[len(l.Points)-1].Time)
	} else if l.Median.Value > f.Last {
		note("The median lies after the last reading, at %.4g: it rests on the shape of the curve.", f.Last)
	}
	if groups := f.groupsLearntFrom(); groups < fewGroups {
		note("Only %d groups to learn from: how much groups differ is hardly known, and the limits are wide for that.", groups)
	}
}
