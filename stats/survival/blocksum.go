package survival

import "slices"

// blockSum is the matrix ∑ h 1[first…last] 1[first…last]ᵀ of skyline, kept as
// its blocks: for when so many of them are wide that writing it out and
// factoring it would take longer than to multiply with it some hundred times.
type blockSum struct {
	single   []float64 // sums of the blocks of one element, on the diagonal
	wide     []block   // the others
	diagonal []float64

	before, slope []float64    // workspace of times
	way           [5][]float64 // workspace of conjugate
}

func newBlockSum(n int, blocks []block) *blockSum {
	m := &blockSum{
		single:   make([]float64, n),
		diagonal: make([]float64, n),
		before:   make([]float64, n+1),
		slope:    make([]float64, n+1),
	}
	for i := range m.way {
		m.way[i] = make([]float64, n)
	}
	starts := make([]float64, n+1)
	for _, b := range blocks {
		if b.first == b.last {
			m.single[b.first] += b.h
			continue
		}
		m.wide = append(m.wide, b)
		starts[b.first] += b.h
		starts[b.last+1] -= b.h
	}
	covering := 0.0
	for j := range m.diagonal {
		covering += starts[j]
		m.diagonal[j] = m.single[j] + max(covering, 0)
		// As in skyline.factor: a singular matrix becomes one that is not.
		m.single[j] += smallestPivot * m.diagonal[j]
	}
	return m
}

// times sets y to the product with x, in time proportional to the number of
// blocks and of elements. A block's product is h times the sum of x over it, and
// that sum a difference of sums from the start.
func (m *blockSum) times(x, y []float64) {
	clear(m.slope)
	for j, v := range x {
		m.before[j+1] = m.before[j] + v
	}
	for _, b := range m.wide {
		p := b.h * (m.before[b.last+1] - m.before[b.first])
		m.slope[b.first] += p
		m.slope[b.last+1] -= p
	}
	sum := 0.0
	for j, v := range x {
		sum += m.slope[j]
		y[j] = m.single[j]*v + sum
	}
}

const (
	maxFaces     = 200  // changes of the set of free unknowns within one step
	maxDirection = 500  // directions tried on one face
	faceResidual = 1e-9 // share of the slope that a face may leave
)

// ascend returns the x ≥ 0 near which the quadratic
//
//	q(x) = slope·(x − at) − ½ (x − at)ᵀ M (x − at)
//
// is largest, from x = at. It climbs by conjugate gradients among the unknowns
// that are free, those above 0 or pulled up from it, follows the way found with
// what would fall below 0 held at 0, and looks again which are free. q never
// falls; when the bounded number of trials runs out the x so far is returned,
// still higher than at.
//
// Source: Moré and Toraldo, SIAM J. Optim. 1 (1991) 93–113, without their
// steepest descent between faces.
func (m *blockSum) ascend(at, slope []float64) []float64 {
	x := slices.Clone(at)
	g := slices.Clone(slope) // of q at x
	free := make([]bool, len(x))
	release(free, x, g)
	for range maxFaces {
		d := m.conjugate(g, free)
		if holdFalling(free, x, d) {
			continue // at 0 already: the way must be found without them
		}
		moved, top := m.follow(x, g, d)
		before := slices.Clone(free)
		release(free, x, g)
		if !moved || top && slices.Equal(before, free) {
			break
		}
	}
	return x
}

// release frees the unknowns above 0 and those pulled up from it.
func release(free []bool, x, g []float64) {
	for j := range free {
		free[j] = x[j] > 0 || g[j] > 0
	}
}

// holdFalling takes the freedom from unknowns that lie at 0 and would fall, and
// reports whether there were any.
func holdFalling(free []bool, x, d []float64) (any bool) {
	for j := range free {
		if free[j] && x[j] == 0 && d[j] < 0 {
			free[j], any = false, true
		}
	}
	return any
}

// follow moves x along d, holding at 0 what would fall below, as far as q rises
// by a fair part of what its slope g promises; failing that, as far as all stay
// at 0 or above, where q is sure to rise. It brings g up to date, and reports
// whether it moved, and whether all the way with nothing held.
func (m *blockSum) follow(x, g, d []float64) (moved, top bool) {
	whole := 1.0 // the share of d that keeps all at 0 or above
	for j := range x {
		if d[j] < 0 {
			whole = min(whole, -x[j]/d[j])
		}
	}
	step, bent := make([]float64, len(x)), make([]float64, len(x))
	for share := 1.0; ; share /= 4 {
		share = max(share, whole)
		promise, curve := 0.0, 0.0
		for j := range step {
			step[j] = max(share*d[j], -x[j])
			promise += g[j] * step[j]
		}
		m.times(step, bent)
		for j, v := range step {
			curve += v * bent[j]
		}
		if share == whole || promise > 0 && curve/2 < 0.99*promise {
			break
		}
	}
	for j, v := range step {
		if v < 0 && x[j]+v <= 1e-15*x[j] { // 0 but for rounding
			v = -x[j]
		}
		x[j] += v
		g[j] -= bent[j]
		moved = moved || v != 0
	}
	return moved, whole == 1
}

// conjugate solves M d = g among the free unknowns by conjugate gradients,
// preconditioned by the diagonal; the others get 0. d is good until the next
// call.
func (m *blockSum) conjugate(g []float64, free []bool) (d []float64) {
	d, left, scaled, way, bent := m.way[0], m.way[1], m.way[2], m.way[3], m.way[4]
	clear(d)
	size := 0.0 // of what is left of g
	for j := range left {
		left[j], scaled[j] = 0, 0
		if free[j] && m.diagonal[j] > 0 {
			left[j] = g[j]
			scaled[j] = g[j] / m.diagonal[j]
			size += left[j] * scaled[j]
		}
	}
	copy(way, scaled)
	enough := faceResidual * faceResidual * size
	for range maxDirection {
		m.times(way, bent)
		bend := 0.0
		for j, v := range way {
			bend += v * bent[j]
		}
		if !(size > enough && bend > 0) {
			break
		}
		far, last := size/bend, size
		size = 0
		for j := range way {
			d[j] += far * way[j]
			if free[j] && m.diagonal[j] > 0 {
				left[j] -= far * bent[j]
				scaled[j] = left[j] / m.diagonal[j]
				size += left[j] * scaled[j]
			}
		}
		for j := range way {
			way[j] = scaled[j] + size/last*way[j]
		}
	}
	return d
}
