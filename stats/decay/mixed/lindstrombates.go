package mixed

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/blas"
	"gonum.org/v1/gonum/blas/blas64"
	"gonum.org/v1/gonum/floats"
)

const (
	mostRounds = 100  // of variances and curves in turn
	roundsDone = 1e-7 // change of θ, in shares, at which they have settled

	// For a start of another search, which need not have settled.
	startRounds = 8
	startDone   = 0.01
	mostTries   = 200 // steps towards the curves at given variances
)

// alternate brings the fleet to its estimates, and leaves its linear model
// there. It starts from one curve for all.
func (l *fleet) alternate() error {
	change := math.Inf(1)
	for round := 1; round <= mostRounds; round++ {
		var err error
		if change, err = l.round(round); err != nil {
			return err
		}
		if change <= roundsDone {
			return l.rest()
		}
	}
	return &NotConvergedError{"variances and curves", mostRounds, change, l.best.at}
}

// approach brings the fleet near to its estimates.
func (l *fleet) approach() error {
	for round := 1; round <= startRounds; round++ {
		change, err := l.round(round)
		if err != nil {
			return err
		}
		if change <= startDone {
			break
		}
	}
	return l.rest()
}

// round moves to the best curves at given variances, if it is the first, then
// to the best variances at their tangents and to the curves for these. It
// returns the largest change of θ, as a share.
func (l *fleet) round(number int) (change float64, err error) {
	if number == 1 {
		if err := l.settle(); err != nil {
			return 0, err
		}
	}
	if err := l.linearise(); err != nil {
		return 0, err
	}
	l.form = l.nested.form(l.levels())
	before := l.form.angles(l.λ)
	starts := l.form.starts()
	if floats.Norm(before, 1) > 0 {
		starts = append([][]float64{before}, starts...)
	}
	best, err := l.estimate(l.form, ML, starts)
	if err != nil {
		return 0, err
	}
	best.iterations = number
	l.best, l.λ = best, l.form.factors(best.at)
	if err := l.settle(); err != nil {
		return 0, err
	}
	for j, x := range best.at {
		change = max(change, math.Abs(x-before[j])/max(1, math.Abs(x)))
	}
	return change, nil
}

// rest leaves the linear model at the curves' tangents where the fleet is.
func (l *fleet) rest() error {
	if err := l.linearise(); err != nil {
		return err
	}
	l.absorb(l.λ[0], l.λ[1])
	return nil
}

func (l *fleet) levels() []Level {
	return []Level{
		{Effects: l.effectNames(l.outerParams), Correlated: l.correlated},
		{Effects: l.effectNames(l.innerParams), Correlated: l.correlated},
	}
}

// settle moves fixed and random effects to a minimum, for given Λ, of
//
//	∑ w (y − m)² + ∑ ‖u‖²
//
// by Gauss–Newton steps, each the solution of the linear mixed model of the
// tangents, halved until they save what they promise a share of.
func (l *fleet) settle() error {
	here, promise := l.penalised(l.β, l.uOuter, l.uInner), math.Inf(1)
	for try := range mostTries {
		if err := l.linearise(); err != nil {
			return err
		}
		if !l.absorb(l.λ[0], l.λ[1]) {
			return l.lost(try, math.Inf(1))
		}
		promise = (here - l.r2) / here
		if promise <= 1e-12 {
			return nil
		}
		next := l.walk(here, promise*here)
		if next >= here { // rounding hides any gain, or the tangents mislead
			if promise <= 1e-7 {
				return nil
			}
			return l.lost(try, promise)
		}
		here = next
	}
	return l.lost(mostTries, promise)
}

// lost is the error of curves that do not settle, with the share of the sum
// that the next step promised to save.
func (l *fleet) lost(tries int, promise float64) error {
	gain := promise * float64(len(l.order)) / 2
	return fmt.Errorf("%w; a parameter that the readings hardly tell may be running off: hold it at a known value, such as the floor, or give it fewer effects",
		&NotConvergedError{"curves", tries, gain, slices.Clone(l.β)})
}

// walk goes to the solution of the linear model, or as far towards it as the
// curves let it, and returns the sum there.
func (l *fleet) walk(here, promise float64) float64 {
	β, uOuter, uInner := l.fixed(), make([]float64, len(l.uOuter)), make([]float64, len(l.uInner))
	for g := range l.outers {
		u := l.spherical(&l.outers[g], nil)
		b := l.outers[g].effects(u)
		copy(uOuter[g*l.q1:], l.outers[g].whiten(u))
		for s := l.outer[g].from; l.q2 > 0 && s < l.outer[g].to; s++ {
			copy(uInner[s*l.q2:], l.inners[s].whiten(l.spherical(&l.inners[s], b)))
		}
	}
	to := func(share float64, from, full []float64) []float64 {
		there := slices.Clone(from)
		floats.Scale(1-share, there)
		floats.AddScaled(there, share, full)
		return there
	}
	for share := 1.0; share > 1e-10; share /= 2 {
		βs, bs, cs := to(share, l.β, β), to(share, l.uOuter, uOuter), to(share, l.uInner, uInner)
		if sum := l.penalised(βs, bs, cs); sum < here-1e-4*share*promise {
			l.β, l.uOuter, l.uInner = βs, bs, cs
			return sum
		}
	}
	return here
}

// whiten returns u = L⁻ᵀ v, for which the random effects Sᵀv are Λu.
func (g *member) whiten(v []float64) []float64 {
	u := slices.Clone(v)
	if g.q > 0 {
		blas64.Trsv(blas.Trans, g.factor(), vector(u))
	}
	return u
}

// penalised returns what settle minimises, +Inf where a curve has no value.
func (l *fleet) penalised(β, uOuter, uInner []float64) float64 {
	sum := floats.Dot(uOuter, uOuter) + floats.Dot(uInner, uInner)
	b, c := spreadOut(l.λ[0], uOuter), spreadOut(l.λ[1], uInner)
	for i, r := range l.readings {
		off := r.Value - l.at(i, β, l.outerOf(b, i), l.innerOf(c, i))
		sum += r.Weight * off * off
	}
	if math.IsNaN(sum) {
		return math.Inf(1)
	}
	return sum
}

// outerOf picks the outer effects of reading i.
func (l *fleet) outerOf(b []float64, i int) []float64 {
	g := l.groupOf[i].from
	return b[g*l.q1 : (g+1)*l.q1]
}

// innerOf picks the inner effects of reading i.
func (l *fleet) innerOf(c []float64, i int) []float64 {
	s := l.groupOf[i].to
	return c[s*l.q2 : (s+1)*l.q2]
}

// spreadOut returns Λu of every group.
func spreadOut(λ blas64.Triangular, u []float64) []float64 {
	b := slices.Clone(u)
	for at := 0; at < len(b); at += λ.N {
		blas64.Trmv(blas.NoTrans, λ, vector(b[at:at+λ.N]))
	}
	return b
}

// linearise makes the linear mixed model of the curves' tangents where the
// fleet is: its columns are the derivatives, its values what is left of the
// readings plus what the tangents have taken.
func (l *fleet) linearise() error {
	b, c := spreadOut(l.λ[0], l.uOuter), spreadOut(l.λ[1], l.uInner)
	for i := range l.readings {
		l.tangent(i, l.outerOf(b, i), l.innerOf(c, i))
	}
	return l.reduce(l.names())
}

// tangent fills row i of the linear model.
func (l *fleet) tangent(i int, b, c []float64) {
	r := &l.readings[i]
	root := math.Sqrt(r.Weight)
	row := l.row(i)
	work := r.Value - l.at(i, l.β, b, c)
	for j, k := range l.innerParams {
		row[j] = root * l.gradient[k]
		work += l.gradient[k] * c[j]
	}
	row = row[l.q2:]
	for j, k := range l.outerParams {
		row[j] = root * l.gradient[k]
		work += l.gradient[k] * b[j]
	}
	row = row[l.q1:]
	for j, t := range l.terms {
		d := l.gradient[t.parameter]
		if t.covariate != intercept {
			d *= r.Covariates[t.covariate]
		}
		row[j] = root * d
		work += d * l.β[j]
	}
	row[l.p] = root * work
}
