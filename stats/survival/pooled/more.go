package pooled

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// More tells how much longer clusters must be watched, added up, until a cell's
// own median is known to within a share: limits of median ÷ (1 + share) to
// median × (1 + share). It is 0 where that is known already.
//
// A log median has the variance K/d from d ended lives. K is the cell's own,
// SE²·d, or without a median of its own the mean of the cells that have one. So
// it takes d* = K (z/log(1 + share))², and each further ended life costs the
// clusters' time that it has cost so far; where none has ended yet, the pooled
// median for each life that a cluster has, or that of the kind's cells. It is a
// rule of thumb for planning: lives end faster as they get old.
//
// known is false where nothing tells how fast lives end.
func (r *Result) More(c Cell, share float64) (watched float64, known bool) {
	z := distuv.UnitNormal.Quantile(1 - (1-r.Level)/2)
	k := r.perEnded()
	if c.Own != nil {
		k = c.Own.SELog * c.Own.SELog * float64(c.Ended)
	}
	needed := math.Ceil(k * math.Pow(z/math.Log1p(share), 2))
	needed = math.Max(needed, LeastEnded) - float64(c.Ended)
	if needed <= 0 && c.Own != nil {
		return 0, true
	}
	cost, known := r.timePerEnded(c)
	return math.Max(1, needed) * cost, known
}

// perEnded is the mean over cells of the variance of a log median, times the
// lives that ended.
func (r *Result) perEnded() float64 {
	sum, n := 0.0, 0.0
	for _, c := range r.Cells {
		if c.Own != nil {
			sum += c.Own.SELog * c.Own.SELog * float64(c.Ended)
			n++
		}
	}
	return sum / n
}

// timePerEnded is how long clusters are watched for each life that ends.
func (r *Result) timePerEnded(c Cell) (time float64, known bool) {
	switch {
	case c.Ended > 0:
		return c.Watched / float64(c.Ended), true
	case c.Pooled != nil:
		return c.Pooled.Time * float64(c.Clusters) / float64(c.Lives), true
	}
	ended := 0.0
	for _, other := range r.Cells {
		if other.Kind == c.Kind {
			time += other.Watched
			ended += float64(other.Ended)
		}
	}
	return time / ended, ended > 0
}
