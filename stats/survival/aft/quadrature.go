package aft

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
)

// mixture is the likelihood of a model with a random intercept u = ωv, v
// standard normal: for a given v it is a plain model with v as one covariate
// more, of coefficient ω. Its parameters are b, ω, log σ in this order.
type mixture struct {
	sample  *sample
	numbers []int   // of the groups that tell something, in order of appearance
	rows    [][]int // of each of these
	mode    []float64
	nodes   []float64 // for the standard normal, with weights
	logs    []float64 // of the weights
	post    []moments // of v in each group, where the likelihood was last taken
}

// moments are mean and standard deviation of a group's v given its spans.
type moments struct{ mean, sd float64 }

func newMixture(s *sample, group []int) *mixture {
	x := &mixture{sample: s}
	place := map[int]int{}
	for i, at := range s.index {
		g, found := place[group[at]]
		if !found {
			g = len(x.rows)
			place[group[at]] = g
			x.numbers = append(x.numbers, group[at])
			x.rows = append(x.rows, nil)
		}
		x.rows[g] = append(x.rows[g], i)
	}
	x.mode = make([]float64, len(x.rows))
	x.post = make([]moments, len(x.rows))
	nodes, weights := hermite(defaultNodes)
	x.nodes, x.logs = nodes, make([]float64, len(weights))
	for k, w := range weights {
		x.logs[k] = math.Log(w)
	}
	return x
}

// hermite returns nodes v and weights with ∑ weight f(v) ≈ E f(V), V standard
// normal.
func hermite(n int) (v, weight []float64) {
	v, weight = make([]float64, n), make([]float64, n)
	quad.Hermite{}.FixedLocations(v, weight, math.Inf(-1), math.Inf(1))
	for k := range v {
		v[k] *= math.Sqrt2
		weight[k] /= math.Sqrt(math.Pi)
	}
	return v, weight
}

// start begins at the model without u, a third of its variance given to u.
func (x *mixture) start(fixed *Model) []float64 {
	p := x.sample.columns
	θ := make([]float64, 0, x.sample.parameters()+1)
	θ = append(θ, fixed.Coefficients...)
	θ = append(θ, math.Exp(fixed.LogScale[0])/2)
	for k := range x.sample.scales() {
		θ = append(θ, fixed.LogScale[k]-0.2)
	}
	return θ[:p+1+x.sample.scales()]
}

// logLikelihood is the surface: the sum over groups of log ∫ L(v) φ(v) dv. With
// ℓ(v) a group's log-likelihood given v and E the mean over v given its spans,
// the derivatives of the logarithm of the integral are
//
//	gradient E ℓ',  second E ℓ'' + E ℓ'ℓ'ᵀ − E ℓ' E ℓ'ᵀ.
func (x *mixture) logLikelihood(θ []float64, d *derivatives) float64 {
	d.clear()
	σ := x.sample.sigmas(θ)
	q := len(θ)
	at := make([]*derivatives, len(x.nodes))
	for k := range at {
		at[k] = newDerivatives(q)
	}
	share := make([]float64, len(x.nodes))
	sum := 0.0
	for g := range x.rows {
		height := x.group(g, θ, σ, at, share)
		if math.IsNaN(height) || math.IsInf(height, 0) {
			return math.NaN()
		}
		sum += height
		mean := make([]float64, q)
		for k, π := range share {
			for j, s := range at[k].gradient {
				mean[j] += π * s
			}
		}
		for k, π := range share {
			for j := range q {
				for i := j; i < q; i++ {
					d.second[j*q+i] += π * (at[k].second[j*q+i] + at[k].gradient[j]*at[k].gradient[i])
				}
			}
		}
		for j := range q {
			d.gradient[j] += mean[j]
			for i := j; i < q; i++ {
				d.second[j*q+i] -= mean[j] * mean[i]
			}
		}
	}
	d.mirror()
	return sum
}

// group integrates over the v of group g: it returns the logarithm of the
// integral, the derivatives of ℓ at each node and the node's share of the
// integral.
func (x *mixture) group(g int, θ, σ []float64, at []*derivatives, share []float64) float64 {
	centre, width := x.peak(g, θ, σ)
	highest := math.Inf(-1)
	for k, node := range x.nodes {
		v := centre + width*node
		at[k].clear()
		// ∫ L φ dv = width ∫ [L(v) φ(v)/φ(node)] φ(node) dnode
		share[k] = x.given(g, v, θ, σ, at[k]) - v*v/2 + node*node/2 + x.logs[k] + math.Log(width)
		highest = max(highest, share[k])
	}
	total := 0.0
	for k := range share {
		share[k] = math.Exp(share[k] - highest)
		total += share[k]
	}
	m, square := 0.0, 0.0
	for k := range share {
		share[k] /= total
		m += share[k] * x.nodes[k]
		square += share[k] * x.nodes[k] * x.nodes[k]
	}
	x.post[g] = moments{centre + width*m, width * math.Sqrt(max(0, square-m*m))}
	return highest + math.Log(total)
}

// given returns the log-likelihood of group g at v and adds its derivatives.
func (x *mixture) given(g int, v float64, θ, σ []float64, d *derivatives) float64 {
	s := x.sample
	row := make([]float64, s.columns+1)
	row[s.columns] = v
	sum := 0.0
	for _, i := range x.rows[g] {
		copy(row, s.row(i))
		sum += s.add(i, θ, σ, row, d)
	}
	return sum
}

// peak returns where L(v) φ(v) of group g is highest, by Newton's method from
// where it was found last, and the standard deviation of the normal curve that
// touches there.
func (x *mixture) peak(g int, θ, σ []float64) (centre, width float64) {
	v := x.mode[g]
	height, slope, bend := x.profile(g, v, θ, σ)
	for range 50 {
		step := slope / max(-bend, 0.5) // −bend ≥ 1 where ℓ is concave
		if math.IsNaN(step) || math.Abs(step) < 1e-9 {
			break
		}
		for range 40 {
			h, s, b := x.profile(g, v+step, θ, σ)
			if h >= height {
				v, height, slope, bend = v+step, h, s, b
				break
			}
			step /= 2
		}
	}
	if math.IsNaN(v) || math.IsNaN(bend) || !(bend < -0.01) {
		return 0, 1
	}
	x.mode[g] = v
	return v, 1 / math.Sqrt(-bend)
}

// profile returns log L(v) φ(v) of a group, but for a constant, with its first
// two derivatives by v.
func (x *mixture) profile(g int, v float64, θ, σ []float64) (height, slope, bend float64) {
	s := x.sample
	ω := θ[s.columns]
	for _, i := range x.rows[g] {
		η := ω * v
		for j, u := range s.row(i) {
			η += u * θ[j]
		}
		o := &s.seen[i]
		c := o.contribution(s.law, η, σ[o.stratum])
		height += o.weight * c.logLik
		slope += o.weight * ω * c.eta
		bend += o.weight * ω * ω * c.etaEta
	}
	return height - v*v/2, slope - v, bend - 1
}

// effects lists the predictions of all groups, by number.
func (x *mixture) effects(ω float64, group []int) []Effect {
	told := map[int]moments{}
	for g, number := range x.numbers {
		told[number] = x.post[g]
	}
	var effects []Effect
	for _, number := range slices.Compact(slices.Sorted(slices.Values(group))) {
		post, found := told[number]
		if !found {
			post = moments{0, 1}
		}
		effects = append(effects, Effect{number, ω * post.mean, ω * post.sd})
	}
	return effects
}
