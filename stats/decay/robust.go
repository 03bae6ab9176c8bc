package decay

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// mostReweights bounds the rounds of weighing the points anew. Taking the scale
// anew as well can lead around in a circle: after circling rounds it is kept.
const (
	mostReweights = 1000
	circling      = 200
)

// nothing is the scale that counts as none, in units of the largest value.
const nothing = 1e-10

// reweigh moves s.here from the minimum of the squares to that of the loss:
// each round takes the scale from the residuals and the points' trust from
// that, and searches anew with the trust as weight. Tukey's loss, which has
// side valleys, starts from the end of Huber's.
func (s *search) reweigh() error {
	if s.settings.Loss == Tukey {
		if err := s.reweighBy(Huber); err != nil {
			return err
		}
	}
	return s.reweighBy(s.settings.Loss)
}

func (s *search) reweighBy(loss Loss) error {
	residuals := s.residuals()
	for round := range mostReweights {
		if round < circling {
			s.spread = medianScale(residuals)
		}
		if s.spread <= nothing*s.largest() {
			s.spread = 0
			s.stop = StopMostExact
			return nil
		}
		s.trust = make([]float64, len(residuals))
		for i, r := range residuals {
			s.trust[i] = loss.trust(r / s.spread)
		}
		if err := s.again(); err != nil {
			return err
		}
		before := residuals
		residuals = s.residuals()
		if furthest(before, residuals) <= 1e-9*s.spread {
			s.stop = StopSettled
			return nil
		}
	}
	return s.end(StopUnsettled)
}

// again searches on from where the search has ended.
func (s *search) again() error {
	tried := s.iterations
	s.iterations = 0
	s.evaluate(s.here)
	s.settle(s.here)
	err := s.run()
	s.iterations += tried
	return err
}

// residuals are √w (m − y), whatever the trust.
func (s *search) residuals() []float64 {
	list, gradient := make([]float64, len(s.points)), make([]float64, len(s.scale))
	for i, p := range s.points {
		list[i] = math.Sqrt(p.Weight) * (s.model.Eval(s.here.β, p.Time, gradient) - p.Value)
	}
	return list
}

// largest is that of √w |y|.
func (s *search) largest() float64 {
	most := 0.0
	for _, p := range s.points {
		most = max(most, math.Sqrt(p.Weight)*math.Abs(p.Value))
	}
	return most
}

// medianScale is the median of the absolute residuals over that of a standard
// normal variable.
func medianScale(residuals []float64) float64 {
	const normal = 0.6744897501960817
	sizes := make([]float64, len(residuals))
	for i, r := range residuals {
		sizes[i] = math.Abs(r)
	}
	slices.Sort(sizes)
	n := len(sizes)
	return (sizes[(n-1)/2] + sizes[n/2]) / 2 / normal
}

func furthest(a, b []float64) float64 {
	most := 0.0
	for i := range a {
		most = max(most, math.Abs(a[i]-b[i]))
	}
	return most
}

// bending is how the loss curves over the points at a solution.
type bending struct {
	mean     float64 // of ψ′
	variance float64 // of ψ′
	pull     float64 // ∑ (s ψ)²
}

func (s *search) bending() bending {
	loss, n := s.settings.Loss, float64(len(s.points))
	var b bending
	squares := 0.0
	for i, r := range s.residuals() {
		slope, pull := loss.slope(r/s.spread), r*s.trust[i]
		b.mean += slope / n
		squares += slope * slope
		b.pull += pull * pull
	}
	b.variance = squares/n - b.mean*b.mean
	return b
}

// underLoss returns the inverse information under the loss, from that under
// squares, and the variance per point to multiply it with; nil if the loss
// does not tell them.
func (s *search) underLoss(inverse *mat.SymDense) (*mat.SymDense, float64) {
	if inverse == nil || s.spread == 0 {
		return nil, math.NaN()
	}
	b := s.bending()
	if b.mean <= 0 {
		return nil, math.NaN()
	}
	inverse.ScaleSym(1/b.mean, inverse)
	return inverse, b.perPoint(len(s.points), s.estimated())
}

// perPoint returns the variance of a point of weight 1 that, with the inverse
// information divided by the mean of ψ′, gives the covariance of p parameters
// from n points.
func (b bending) perPoint(n, p int) float64 {
	k := 1 + float64(p)*b.variance/(float64(n)*b.mean*b.mean)
	return k * k * b.pull / float64(n-p) / b.mean
}
