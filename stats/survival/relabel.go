package survival

import (
	"context"
	"math"
	"math/rand/v2"
)

// fewDeals is up to how many deals all are gone through though fewer were asked
// for.
const fewDeals = 20_000

// relabel finds P by dealing the labels anew. It leaves d dealt some other way.
func (r *ClusterResult) relabel(ctx context.Context, d *deal, how Relabelling) error {
	root, err := newRoot(r.Variance)
	if err != nil {
		return err
	}
	c := counter{observed: r.ChiSq}
	deals := d.ways()
	r.Exact = deals <= float64(max(how.Replicates, fewDeals))
	if r.Exact {
		d.first()
	}
	source := rand.New(rand.NewPCG(how.Seed, 1))
	u := make([]float64, d.groups)
	for more := true; more; {
		if r.Relabellings%256 == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if !r.Exact {
			d.shuffle(source)
		}
		d.sumInto(u)
		c.add(root.square(u))
		r.Relabellings++
		if r.Exact {
			more = d.next()
		} else {
			more = r.Relabellings < how.Replicates
		}
	}
	m := float64(r.Relabellings)
	if r.Exact {
		r.P, r.LeastP = float64(c.asLarge)/m, float64(c.atMost)/m
		return nil
	}
	r.P, r.LeastP = (float64(c.asLarge)+1)/(m+1), 1/(m+1)
	r.SE = math.Sqrt(r.P * (1 - r.P) / m)
	return nil
}

// counter counts how many of the values that it is given are as large as the
// one observed, and as the largest.
type counter struct {
	observed, most  float64
	asLarge, atMost int
}

// sameSquare is by how much two χ² that are equal may differ by rounding,
// relative to their size.
const sameSquare = 1e-9

func (c *counter) add(chiSq float64) {
	if chiSq >= c.observed*(1-sameSquare) {
		c.asLarge++
	}
	switch {
	case chiSq > c.most*(1+sameSquare):
		c.most, c.atMost = chiSq, 1
	case chiSq >= c.most*(1-sameSquare):
		c.atMost++
	}
}
