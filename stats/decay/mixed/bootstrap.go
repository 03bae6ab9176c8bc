package mixed

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"

	"golang.org/x/sync/errgroup"
	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
)

// Replicates are the values of a statistic in data drawn from a fit.
type Replicates struct {
	Values []float64 // ascending; +Inf is a value
	Failed int       // replicates without a fit or a value
}

// Bootstrap draws data from the fit, with new random effects and errors for the
// same groups, times and covariates, fits each anew in the same way, and
// returns what statistic says of the fits (parametric bootstrap). The same seed
// gives the same values. A replicate that cannot be fitted, or whose statistic
// is an error or NaN, counts as Failed. It stops with the context's error.
//
// statistic is called from several goroutines.
func (f *CurvesFit) Bootstrap(ctx context.Context, replicates int, seed uint64, statistic func(*CurvesFit) (float64, error)) (Replicates, error) {
	values := make([]float64, replicates)
	workers, ctx := errgroup.WithContext(ctx)
	workers.SetLimit(runtime.GOMAXPROCS(0))
	for r := range replicates {
		workers.Go(func() error {
			if err := ctx.Err(); err != nil {
				return err
			}
			values[r] = f.replicate(rand.New(rand.NewPCG(seed, uint64(r))), statistic)
			return nil
		})
	}
	if err := workers.Wait(); err != nil {
		return Replicates{}, fmt.Errorf("bootstrap mixed curves: %w", err)
	}
	valid := slices.DeleteFunc(values, math.IsNaN)
	slices.Sort(valid)
	return Replicates{Values: valid, Failed: replicates - len(valid)}, nil
}

// replicate returns one value of the statistic, NaN if there is none.
func (f *CurvesFit) replicate(random *rand.Rand, statistic func(*CurvesFit) (float64, error)) float64 {
	fit, err := f.refit(f.draw(random))
	if err != nil {
		return math.NaN()
	}
	value, err := statistic(fit)
	if err != nil {
		return math.NaN()
	}
	return value
}

// draw returns readings as the fit says that they come about.
func (f *CurvesFit) draw(random *rand.Rand) []Reading {
	l, β := f.fleet, f.fixedValues()
	b, c := f.Outer.draw(random, len(l.outer)), f.Inner.draw(random, len(l.inner))
	readings := slices.Clone(l.readings)
	gradient := make([]float64, len(l.parameters))
	for i := range readings {
		r := &readings[i]
		η := l.sums(β, r.Covariates)
		for j, k := range l.outerParams {
			η[k] += l.outerOf(b, i)[j]
		}
		for j, k := range l.innerParams {
			η[k] += l.innerOf(c, i)[j]
		}
		r.Value = l.value(η, r.Time, gradient) + f.ResidualSD/math.Sqrt(r.Weight)*random.NormFloat64()
	}
	return readings
}

// draw returns random effects of a number of groups.
func (s Spread) draw(random *rand.Rand, groups int) []float64 {
	q := len(s.Effects)
	b := make([]float64, q*groups)
	normals(random, b)
	λ := blas64.Triangular{Uplo: blas.Lower, Diag: blas.NonUnit, N: q, Stride: max(1, q), Data: s.factor}
	return spreadOut(λ, b)
}

// refit fits other readings of the same groups, from the estimates.
func (f *CurvesFit) refit(readings []Reading) (*CurvesFit, error) {
	l, err := newFleet(readings, f.model)
	if err != nil {
		return nil, err
	}
	l.β = f.fixedValues()
	return l.fit(f.model)
}

// Limits returns the central share level of the values: percentile limits.
// They are NaN without values.
func (r Replicates) Limits(level float64) (lower, upper float64) {
	n := len(r.Values)
	if n == 0 {
		return math.NaN(), math.NaN()
	}
	tail := (1 - level) / 2
	at := func(share float64) float64 { return r.Values[min(n-1, max(0, int(math.Ceil(share*float64(n)))-1))] }
	return at(tail), at(1 - tail)
}
