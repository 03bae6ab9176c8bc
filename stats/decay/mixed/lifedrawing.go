package mixed

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/distuv"
	"gonum.org/v1/gonum/stat/samplemv"
)

// drawing is a sample of groups, as points in the unit cube, that is put into
// one population after the other.
type drawing struct {
	of        *fleet
	threshold float64
	horizon   float64
	points    *mat.Dense // standard normal: outer, then inner effects
	kinds     [][]float64
}

func newDrawing(l *fleet, ask LifeOptions) *drawing {
	q := l.q1 + l.q2
	d := &drawing{of: l, threshold: ask.Threshold, horizon: ask.Times[len(ask.Times)-1], points: mat.NewDense(ask.Groups, q+1, nil)}
	source := rand.NewPCG(ask.Seed, 2)
	samplemv.Halton{Kind: samplemv.Owen, Q: distmv.NewUnitUniform(q+1, source), Src: source}.Sample(d.points)
	until, sum := make([]float64, len(ask.Mix)), 0.0
	for i, kind := range ask.Mix {
		sum += kind.Share
		until[i] = sum
	}
	d.kinds = make([][]float64, ask.Groups)
	for i := range d.kinds {
		row := d.points.RawRowView(i)
		at := sort.SearchFloat64s(until, row[q]*sum)
		d.kinds[i] = ask.Mix[min(at, len(ask.Mix)-1)].Covariates
		for j := range q {
			row[j] = distuv.UnitNormal.Quantile(min(1-1e-12, max(1e-12, row[j])))
		}
	}
	return d
}

// lives are ascending; +Inf is beyond the horizon.
type lives []float64

// lives returns those of the groups in one population.
func (d *drawing) lives(of population) lives {
	l := d.of
	η, φ, gradient := make([]float64, len(l.parameters)), make([]float64, len(l.parameters)), make([]float64, len(l.parameters))
	value := func(time float64) float64 {
		copy(φ, η)
		return l.value(φ, time, gradient)
	}
	b, c := make([]float64, l.q1), make([]float64, l.q2)
	list := make(lives, len(d.kinds))
	for i, covariates := range d.kinds {
		z := d.points.RawRowView(i)
		l.sum(η, of.β, covariates)
		of.scatter(0, z[:l.q1], b)
		of.scatter(1, z[l.q1:], c)
		for j, k := range l.outerParams {
			η[k] += b[j]
		}
		for j, k := range l.innerParams {
			η[k] += c[j]
		}
		list[i] = comesDown(value, d.threshold, d.horizon)
	}
	slices.Sort(list)
	return list
}

// scatter sets b to random effects of a level: σΛz.
func (of population) scatter(level int, z, b []float64) {
	λ := of.λ[level]
	for j := range b {
		b[j] = 0
		for k := range j + 1 {
			b[j] += of.σ * λ.Data[j*λ.Stride+k] * z[k]
		}
	}
}

// comesDown returns when a curve that stays down comes down, +Inf if that is
// after the horizon: by halving the time to 1/256 of the horizon, and a straight
// line from there, which is good to some 1e-5 of it.
func comesDown(value func(time float64) float64, threshold, horizon float64) float64 {
	above, start, end := 0.0, value(0), value(horizon)
	switch {
	case !(start > threshold):
		return 0
	case end > threshold:
		return math.Inf(1)
	}
	for width := horizon / 2; width > horizon/512; width /= 2 {
		if v := value(above + width); v > threshold {
			above, start = above+width, v
		} else {
			end = v
		}
	}
	return above + horizon/256*(start-threshold)/(start-end)
}

// beyond is the share that is longer than a time.
func (l lives) beyond(time float64) float64 {
	return 1 - float64(sort.Search(len(l), func(i int) bool { return l[i] > time }))/float64(len(l))
}

func (l lives) median() float64 { return share(l, 0.5) }

// mean of lives counted up to the horizon.
func (d *drawing) mean(l lives) float64 {
	sum := 0.0
	for _, life := range l {
		sum += min(life, d.horizon)
	}
	return sum / float64(len(l))
}
