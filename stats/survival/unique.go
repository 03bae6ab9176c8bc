package survival

// unique reports whether no other masses reach the same likelihood: whether the
// curvature is regular on all intervals that could hold mass.
func (z *hazards) unique() bool {
	blocks := z.look()
	var tight []int
	for j, g := range z.gradient {
		if !z.closing[j] && (z.u[j] > 0 || g > 1-1e-7) {
			tight = append(tight, j)
		}
	}
	return spanAll(len(tight), narrow(blocks, tight, len(z.u)))
}

// spanAll reports whether ∑ h 1[first…last] 1[first…last]ᵀ over n unknowns is
// regular. In terms of the sums from the start, x₀ = 0, x₁, …, xₙ, a block asks
// for the difference of two of them: all are settled if the blocks, taken as
// edges from first to last + 1, join all n + 1 points.
func spanAll(n int, blocks []block) bool {
	parent := make([]int, n+1)
	for i := range parent {
		parent[i] = i
	}
	root := func(i int) int {
		for parent[i] != i {
			parent[i] = parent[parent[i]]
			i = parent[i]
		}
		return i
	}
	parts := n + 1
	for _, b := range blocks {
		if from, to := root(b.first), root(b.last+1); from != to {
			parent[from] = to
			parts--
		}
	}
	return parts == 1
}
