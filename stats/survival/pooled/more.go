package pooled

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// More tells how much longer clusters must be watched, added up, until the own
// median of one of some cells is known to within a share: limits at the level
// of median ÷ (1 + share) to median × (1 + share). It is 0 where that is known
// already. Where no cell has a median of its own, it is for a first one.
//
// A log median has the variance K/d from d ended lives. K is the cell's own,
// SE²·d, or without a median of its own the mean of the cells that have one. So
// it takes d* = K (z/log(1 + share))², LeastEnded at least, and each further
// ended life costs the clusters' time that it has cost so far; where none has
// ended yet, the pooled median for each life that a cluster has, or what it costs
// in the kind's other cells. It is a rule of thumb for planning: lives end
// faster as they get old.
//
// known is false where nothing tells how fast lives end.
func More(cells []Cell, c Cell, share, level float64) (watched float64, known bool) {
	z := distuv.UnitNormal.Quantile(1 - (1-level)/2)
	k := perEnded(cells)
	if c.Own != nil {
		k = c.Own.SELog * c.Own.SELog * float64(c.Ended)
	}
	needed := math.Ceil(k * math.Pow(z/math.Log1p(share), 2))
	needed = math.Max(needed, LeastEnded) - float64(c.Ended)
	if needed <= 0 && c.Own != nil {
		return 0, true
	}
	cost, known := timePerEnded(cells, c)
	return math.Max(1, needed) * cost, known
}

// perEnded is the mean over cells of the variance of a log median, times the
// lives that ended; 0 where no cell has a median.
func perEnded(cells []Cell) float64 {
	sum, n := 0.0, 0.0
	for _, c := range cells {
		if c.Own != nil {
			sum += c.Own.SELog * c.Own.SELog * float64(c.Ended)
			n++
		}
	}
	return sum / math.Max(1, n)
}

// timePerEnded is how long clusters are watched for each life that ends.
func timePerEnded(cells []Cell, c Cell) (time float64, known bool) {
	switch {
	case c.Ended > 0:
		return c.Watched / float64(c.Ended), true
	case c.Pooled != nil:
		return c.Pooled.Time * float64(c.Clusters) / float64(c.Lives), true
	}
	ended := 0.0
	for _, other := range cells {
		if other.Kind == c.Kind {
			time += other.Watched
			ended += float64(other.Ended)
		}
	}
	return time / ended, ended > 0
}
