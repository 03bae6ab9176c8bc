package pooled

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"beadspan/stats/pooling"
	"beadspan/stats/survival/aft"
)

// site is what the lives of a thin cell say of its log median, as an estimate
// with a variance. known is false where they say nothing.
type site struct {
	estimate, variance float64
	known              bool
}

const (
	// maxSweeps bounds how often all thin cells are gone through for one guess of
	// how places differ, and maxRounds how many guesses there are.
	maxSweeps = 60
	maxRounds = 30
	// settled is how little a sweep moves a log median, in standard errors.
	settled = 1e-3
)

// poolAll pools the strong cells' estimates with what the thin cells' lives say.
// Such lives have no estimate of their own; many of a cell may hold, and to
// leave it out for that would make lives look short. So each thin cell's
// likelihood is held against what the others predict for the cell, and replaced
// by the normal that has the same effect on that prediction's mean and variance
// (expectation propagation), round and round until nothing changes.
//
// Source: Minka, Proc. 17th Conf. Uncertainty in Artificial Intelligence (2001)
// 362–369 (from memory).
func (t *table) poolAll() error {
	t.sites = make([]site, len(t.thin))
	for range maxRounds {
		a, err := pooling.Average(t.data(-1))
		if err != nil || len(t.thin) == 0 {
			return err
		}
		sweeps, err := t.settle(a.SD)
		if err != nil || sweeps == 1 {
			return err // nothing moved by the new SD
		}
	}
	t.unsettled = true
	return nil
}

// settle sweeps over the thin cells until nothing moves, and counts the sweeps.
func (t *table) settle(sd []float64) (sweeps int, err error) {
	for sweeps = 1; sweeps < maxSweeps; sweeps++ {
		moved := 0.0
		for i := range t.thin {
			change, err := t.sweep(i, sd)
			if err != nil {
				return sweeps, err
			}
			moved = math.Max(moved, change)
		}
		if moved < settled {
			break
		}
	}
	return sweeps, nil
}

// sweep renews the site of thin cell i and returns how far it moved the cell's
// log median, in its standard errors.
func (t *table) sweep(i int, sd []float64) (moved float64, err error) {
	others, err := pooling.FitGiven(t.data(i), sd)
	if err != nil {
		return 0, err
	}
	x, groups := t.row(t.thin[i].kind, t.thin[i].place)
	prior, err := others.Predict(x, groups)
	if err != nil {
		return 0, err
	}
	mean, variance, err := t.own.judge(t.thin[i], prior)
	if err != nil {
		return 0, err
	}
	before := t.sites[i]
	precision := 1/variance - 1/(prior.SE*prior.SE)
	const least = 1e-6 // of the prior's precision: the lives say nothing
	if !(precision > least/(prior.SE*prior.SE)) {
		t.sites[i] = site{}
		if !before.known {
			return 0, nil
		}
		return 1, nil
	}
	now := site{(mean/variance - prior.Mean/(prior.SE*prior.SE)) / precision, 1 / precision, true}
	t.sites[i] = now
	if !before.known {
		return 1, nil
	}
	// What the two make of the same prior.
	was := (prior.Mean/(prior.SE*prior.SE) + before.estimate/before.variance) / (1/(prior.SE*prior.SE) + 1/before.variance)
	return math.Abs(mean-was) / math.Sqrt(variance), nil
}

// judge returns mean and variance of a cell's log median given its lives, when
// the prediction from all others is normal.
func (o *own) judge(c *cell, prior pooling.Prediction) (mean, variance float64, err error) {
	const reach, nodes = 7.0, 141
	logs, most := make([]float64, nodes), math.Inf(-1)
	at := func(i int) float64 { return prior.Mean + prior.SE*reach*(2*float64(i)/(nodes-1)-1) }
	for i := range logs {
		z := (at(i) - prior.Mean) / prior.SE
		logLik, err := o.logLikelihood(c, at(i))
		if err != nil {
			return 0, 0, err
		}
		logs[i] = logLik/o.design - z*z/2
		most = math.Max(most, logs[i])
	}
	sum, first, second := 0.0, 0.0, 0.0
	for i, l := range logs {
		w := math.Exp(l - most)
		sum += w
		first += w * (at(i) - prior.Mean)
		second += w * (at(i) - prior.Mean) * (at(i) - prior.Mean)
	}
	first /= sum
	return prior.Mean + first, second/sum - first*first, nil
}

// logLikelihood of a cell's lives when its log median is m.
func (o *own) logLikelihood(c *cell, m float64) (float64, error) {
	x := make([]float64, len(o.model.Coefficients))
	x[0] = 1
	covariates := len(x) - len(o.means)
	sum := 0.0
	for _, l := range c.lives {
		for k, v := range l.Covariates {
			x[covariates+k] = v - o.means[k]
		}
		shift := m - o.middle - o.model.Coefficients[0]
		one, err := o.model.LogLikelihood(aft.Life{X: x, Shift: shift}, l.Span)
		if err != nil {
			return 0, err
		}
		sum += one
	}
	return sum, nil
}

// data are the estimates to pool: the strong cells', then the sites of the thin
// cells but for one.
func (t *table) data(without int) pooling.Data {
	var extra []int
	for i, s := range t.sites {
		if s.known && i != without {
			extra = append(extra, i)
		}
	}
	n := len(t.strong)
	d := pooling.Data{
		Estimates:  append([]float64(nil), t.own.medians...),
		Covariance: mat.NewSymDense(n+len(extra), nil),
		Groupings:  make([][]int, t.groupings()),
	}
	for i := range n {
		for j := i; j < n; j++ {
			d.Covariance.SetSym(i, j, t.own.variances.At(i, j))
		}
		t.add(&d, t.strong[i])
	}
	for k, i := range extra {
		d.Estimates = append(d.Estimates, t.sites[i].estimate)
		d.Covariance.SetSym(n+k, n+k, t.sites[i].variance)
		t.add(&d, t.thin[i])
	}
	return d
}
