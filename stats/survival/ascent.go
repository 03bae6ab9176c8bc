package survival

import "math"

const (
	maxIterations = 500
	// gapWanted is where the ascent stops at once; gapAllowed is what it may
	// stop at when rounding lets it come no closer.
	gapWanted  = 1e-13
	gapAllowed = 1e-8
	// worthFactoring is for how many multiplications a factor is sooner found
	// than the way without one (measured).
	worthFactoring = 1e5
)

// climb takes u to the maximum of the likelihood by Newton steps among the
// intervals that hold mass and the most promising ones between them, and
// returns the steps taken and whether the Kuhn–Tucker gap was closed.
//
// Source: the choice of intervals is that of Wang, J. R. Stat. Soc. B 69
// (2007) 185–198, the constrained Newton method; the unknowns are ours.
func (z *hazards) climb() (iterations int, closed bool) {
	height := z.logLikelihood(z.u)
	lastGap := math.Inf(1)
	for iterations = 0; iterations < maxIterations; iterations++ {
		blocks := z.look()
		if z.gap <= gapWanted || (z.gap <= gapAllowed && z.gap > lastGap/2) {
			return iterations, true
		}
		lastGap = z.gap
		among := z.promising()
		target := z.newton(among, blocks)
		var moved bool
		if height, moved = z.advance(among, target, height); !moved {
			break
		}
	}
	return iterations, z.gap <= gapAllowed
}

// promising lists the intervals with mass and, in each stretch between two of
// them, the one at which the likelihood climbs most if it climbs at all.
func (z *hazards) promising() []int {
	var among []int
	best := -1
	flush := func() {
		if best >= 0 {
			among = append(among, best)
		}
		best = -1
	}
	for j, u := range z.u {
		switch {
		case z.closing[j]:
			flush()
		case u > 0:
			flush()
			among = append(among, j)
		case z.held[j] == 0: // costs nothing, so it would have closed were it of use
		case z.slope[j] > 0 && (best < 0 || z.slope[j] > z.slope[best]):
			best = j
		}
	}
	flush()
	return among
}

// newton returns where the quadratic that touches the likelihood at u leads,
// among the listed intervals: its maximum over u ≥ 0, or near it. One interval
// that covers many others ties all of them together; where there are so many of
// these that a factor of the curvature would take long, it does without.
func (z *hazards) newton(among []int, blocks []block) []float64 {
	at, slope := make([]float64, len(among)), make([]float64, len(among))
	for i, j := range among {
		at[i], slope[i] = z.u[j], z.slope[j]
	}
	blocks = narrow(blocks, among, len(z.u))
	if factoring(len(among), blocks) > worthFactoring {
		return newBlockSum(len(among), blocks).ascend(at, slope)
	}
	return newSkyline(len(among), blocks).ascend(at, slope)
}

// narrow puts blocks of intervals in terms of positions in among, leaving out
// those that hold none of it.
func narrow(blocks []block, among []int, intervals int) []block {
	rank := make([]int, intervals+1) // how many of among lie before j
	for _, j := range among {
		rank[j+1]++
	}
	for j := range intervals {
		rank[j+1] += rank[j]
	}
	narrowed := make([]block, 0, len(blocks))
	for _, b := range blocks {
		if first, last := rank[b.first], rank[b.last+1]-1; first <= last {
			narrowed = append(narrowed, block{first, last, b.h})
		}
	}
	return narrowed
}

// advance moves u towards target as far as the likelihood climbs, and returns
// the new height; moved is false where it climbs nowhere on the way.
func (z *hazards) advance(among []int, target []float64, height float64) (_ float64, moved bool) {
	climb := 0.0
	for i, j := range among {
		climb += z.slope[j] * (target[i] - z.u[j])
	}
	// Near the top the climb drowns in the rounding of the heights.
	noise := 1e-14 * (1 + math.Abs(height)) * math.Sqrt(float64(len(z.rows)))
	next := make([]float64, len(z.u))
	for share := 1.0; share > 1e-12; share /= 2 {
		copy(next, z.u)
		for i, j := range among {
			if share == 1 {
				next[j] = target[i] // exactly 0 where let go of
			} else {
				next[j] += share * (target[i] - z.u[j])
			}
		}
		if reached := z.logLikelihood(next); reached >= height+1e-4*share*climb-noise {
			z.u = next
			return reached, true
		}
	}
	return height, false
}
