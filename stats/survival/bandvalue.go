package survival

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/mat"
)

// A band's critical value is the c that some Gaussian process stays within ±c of
// all the time with a given chance. Both processes here are a Brownian motion
// under a change of time, stopped at ±c. The chance is a sum over the even waves
// that vanish there,
//
//	eⱼ(x) = cos(ωⱼx)/√c,  ωⱼ = (j + ½)π/c,  j = 0, 1, …
//
// less those that have died away after the time that the process takes.

const (
	// A range shorter than these is taken to be that long. Its critical value
	// is then slightly too large, never too small.
	leastBridge = 0.002
	leastLogit  = 0.02

	negligible = 40  // exp(−40) is
	far        = 12  // no process of ours comes that far, at any level below 1
	nodes      = 160 // of Gauss and Legendre's rule: several for each wave
)

// hallWellnerValue is the k that the Brownian bridge B, from 0 at 0 to 0 at 1,
// stays within all the time from a to b, 0 ≤ a < b ≤ 1, with a chance of level:
//
//	P(|B(u)| ≤ k, a ≤ u ≤ b) = level
//
// From a to b the bridge is a Brownian motion between its values at the two, so
// that, with A and C the projections of the normal densities of variances a and
// 1 − b on the waves,
//
//	P = √(2π) ∑ⱼ exp(−ωⱼ²(b − a)/2) Aⱼ Cⱼ
//
// Source: Hall and Wellner, Biometrika 67 (1980) 133–143, for the band; the sum
// is the method of images' other form, Karatzas and Shreve, Brownian Motion and
// Stochastic Calculus (2nd ed. 1991), section 2.8 (from memory).
func hallWellnerValue(level, a, b float64) float64 {
	if b-a < leastBridge {
		a = max(0, b-leastBridge)
		b = max(b, a+leastBridge)
	}
	return firstReaching(level, 0, func(k float64) float64 {
		n := waves(k, b-a)
		before, after := bell(n, k, a), bell(n, k, 1-b)
		chance := 0.0
		for j := range n {
			ω := (float64(j) + 0.5) * math.Pi / k
			chance += math.Exp(-ω*ω*(b-a)/2) * before[j] * after[j]
		}
		return math.Sqrt(2*math.Pi) * chance
	})
}

// equalPrecisionValue is the c that the Brownian bridge over its own standard
// deviation stays within all the time from a to b, 0 < a < b < 1, with a chance
// of level:
//
//	P(|B(u)| ≤ c √(u(1 − u)), a ≤ u ≤ b) = level
//
// In the time log(u/(1 − u)) that is a stationary process with correlation
// exp(−|τ|/2), for which only the length T = log(b(1 − a)/(a(1 − b))) matters.
// Divided by the root of the normal density φ, its law obeys
//
//	−½ g″ + (x²/8 − ¼) g = μ g,  g(±c) = 0
//
// so that with μₖ and gₖ from the matrix of the left side in the waves,
//
//	P = ∑ₖ exp(−μₖT) (∫ gₖ √φ)²
//
// Source: Nair, Technometrics 26 (1984) 265–275, for the band. Printed tables of
// c hold an approximation, 1 − level = φ(c)(4/c + (c − 1/c)T); from T = 2 on it is
// good to 0.01, and below it is too large. The equation is that of the harmonic
// oscillator.
func equalPrecisionValue(level, a, b float64) float64 {
	length := max(leastLogit, math.Log(b/a)+math.Log((1-a)/(1-b)))
	return firstReaching(level, normalQuantile(level), func(c float64) float64 {
		n := waves(c, length) + 12
		var eigen mat.EigenSym
		if !eigen.Factorize(oscillator(n, c), true) {
			return math.NaN() // a finite symmetric matrix has eigenvalues
		}
		var vectors mat.Dense
		eigen.VectorsTo(&vectors)
		start := mat.NewVecDense(n, bell(n, c, 2))
		start.ScaleVec(math.Pow(8*math.Pi, 0.25), start) // √φ is that times the density of variance 2
		chance := 0.0
		for k, μ := range eigen.Values(nil) {
			along := mat.Dot(vectors.ColView(k), start)
			chance += math.Exp(-μ*length) * along * along
		}
		return chance
	})
}

// waves is how many do not decay to nothing in a time.
func waves(c, time float64) int {
	return int(c/math.Pi*math.Sqrt(2*negligible/time)) + 2
}

// bell returns the projections ∫ eⱼ(x) f(x) dx on the first n waves of the
// normal density f of a variance; of all of it at 0 where that is 0.
func bell(n int, c, variance float64) []float64 {
	on := make([]float64, n)
	if variance == 0 {
		for j := range on {
			on[j] = 1 / math.Sqrt(c)
		}
		return on
	}
	x, weight := make([]float64, nodes), make([]float64, nodes)
	quad.Legendre{}.FixedLocations(x, weight, 0, min(c, 9*math.Sqrt(variance)))
	for i := range x {
		f := 2 * weight[i] * math.Exp(-x[i]*x[i]/(2*variance)) / math.Sqrt(2*math.Pi*variance*c)
		// cos(ωⱼ₊₁x) = 2 cos(πx/c) cos(ωⱼx) − cos(ωⱼ₋₁x), and ω₋₁ = −ω₀
		twice := 2 * math.Cos(math.Pi/c*x[i])
		wave := math.Cos(math.Pi / 2 / c * x[i])
		before := wave
		for j := range on {
			on[j] += f * wave
			before, wave = wave, twice*wave-before
		}
	}
	return on
}

// oscillator is the matrix of −½ d²/dx² + x²/8 − ¼ in the first n waves.
func oscillator(n int, c float64) *mat.SymDense {
	// square is ∫ x² cos(mπx/c) dx / c from −c to c.
	square := func(m int) float64 {
		if m == 0 {
			return 2 * c * c / 3
		}
		return 4 * c * c * math.Cos(math.Pi*float64(m)) / (math.Pi * math.Pi * float64(m) * float64(m))
	}
	h := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			h.SetSym(i, j, (square(j-i)+square(i+j+1))/16)
		}
		ω := (float64(i) + 0.5) * math.Pi / c
		h.SetSym(i, i, h.At(i, i)+ω*ω/2-0.25)
	}
	return h
}

// firstReaching returns, to about 1e-10, the c above least at which a chance
// that grows with c, and is no more than level at least, comes to level.
func firstReaching(level, least float64, chance func(c float64) float64) float64 {
	below, low := least, -level
	above, high := least+0.5, chance(least+0.5)-level
	for ; high < 0 && above < far; high = chance(above) - level {
		below, low = above, high
		above += 0.5
	}
	// The secant rule, by which an end that stays put twice counts for half
	// (Illinois); bisection should it be slow.
	stayed := 0 // how often above has, negative for below
	for step := 0; above-below > 1e-10; step++ {
		c := below - low*(above-below)/(high-low)
		if step > 12 || !(below < c && c < above) {
			c = (below + above) / 2
		}
		off := chance(c) - level
		switch {
		case math.Abs(off) < 1e-13:
			return c
		case off < 0:
			below, low = c, off
			if stayed = max(stayed, 0) + 1; stayed > 1 {
				high /= 2
			}
		default:
			above, high = c, off
			if stayed = min(stayed, 0) - 1; stayed < -1 {
				low /= 2
			}
		}
	}
	return above
}
