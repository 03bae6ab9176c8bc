package cox

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Transform is the function of time g(t) that a test of proportional hazards
// lets coefficients change with.
type Transform int

const (
	// KM is 1 − S(t−), S the Kaplan-Meier estimate from all rows, without
	// weights: as good for early as for late times.
	KM Transform = iota
	// Identity is t itself; a few very late ends can decide the test.
	Identity
	// Rank is the place of t among the stops of all rows, ties sharing the mean.
	Rank
)

// ProportionalTest tests whether coefficients stay the same over time.
type ProportionalTest struct {
	Terms  []Test // of each covariate alone, NaN without a value
	Global Test   // of all together
}

// ProportionalHazards tests whether each hazard ratio is the same at all times,
// against its being
//
//	exp(βⱼ + θⱼ g(t))
//
// by the score test for θ at θ = 0 and β̂: with r the Schoenfeld residual, V the
// variance of covariates at risk and sums over ends,
//
//	U = ∑ g r,   I = [ ∑V  ∑gV ; ∑gV  ∑g²V ],   χ² = (0, U)ᵀ I⁻¹ (0, U)
//
// for a single covariate with only its row of the θ part. It takes rows as
// independent; it is not defined for ties treated exactly (ErrNotExact).
//
// Source: Grambsch and Therneau, Biometrika 81 (1994) 515–526; V taken at each
// time, not on average, as survival software has done since about 2019.
func (m *Model) ProportionalHazards(transform Transform) (*ProportionalTest, error) {
	if m.Ties == Exact {
		return nil, fmt.Errorf("test of proportional hazards: %w", ErrNotExact)
	}
	s, q := m.design, m.design.q
	g := s.transformed(transform)
	score := make([]float64, q)
	var parts [3][]float64 // ∑V, ∑gV, ∑g²V
	for i := range parts {
		parts[i] = make([]float64, triangle(q))
	}
	_, risk := s.risks(m.climb.end.beta)
	s.walk(risk, m.Ties, func(i int, r *riskSet) {
		s.addEnded(i, score, g[i])
		r.gained(score, -g[i])
		r.information(parts[0], 1)
		r.information(parts[1], g[i])
		r.information(parts[2], g[i]*g[i])
	})
	t := &ProportionalTest{Terms: make([]Test, m.data.Covariates)}
	for j := range t.Terms {
		t.Terms[j] = newTest(math.NaN(), 0)
	}
	for _, j := range m.free {
		t.Terms[s.columns[j]] = newTest(m.changing(score, parts, []int{j}), 1)
	}
	t.Global = newTest(m.changing(score, parts, m.free), len(m.free))
	return t, nil
}

// changing is the χ² of some columns' changing with time.
func (m *Model) changing(score []float64, parts [3][]float64, columns []int) float64 {
	f, n := len(m.free), len(m.free)+len(columns)
	if len(columns) == 0 {
		return math.NaN()
	}
	at := func(part []float64, a, b int) float64 {
		a, b = max(a, b), min(a, b)
		return part[triangle(a)+b]
	}
	information, u := mat.NewSymDense(n, nil), make([]float64, n)
	for a, ca := range m.free {
		for b, cb := range m.free[:a+1] {
			information.SetSym(a, b, at(parts[0], ca, cb))
		}
		for b, cb := range columns {
			information.SetSym(a, f+b, at(parts[1], ca, cb))
		}
	}
	for a, ca := range columns {
		u[f+a] = score[ca]
		for b, cb := range columns[:a+1] {
			information.SetSym(f+a, f+b, at(parts[2], ca, cb))
		}
	}
	return quadratic(u, information)
}
