package aft

import "math"

// start returns parameters to begin the ascent with: least squares through the
// middles of the spans, on the scale of log time.
func (s *sample) start() []float64 {
	θ := make([]float64, s.parameters())
	p := s.columns
	right := make([]float64, p)
	for i, o := range s.seen {
		for j, v := range s.row(i) {
			right[j] += o.weight * v * o.middle()
		}
	}
	if f, ok := factorise(s.crossProducts(), p, 1, nil); ok {
		copy(θ, f.solve(right))
	}
	squares, total := make([]float64, s.strata), make([]float64, s.strata)
	for i, o := range s.seen {
		e := o.middle()
		for j, v := range s.row(i) {
			e -= v * θ[j]
		}
		squares[o.stratum] += o.weight * e * e
		total[o.stratum] += o.weight
	}
	// Mean and standard deviation of W turn moments into parameters.
	mean, sd := 0.0, 1.0
	switch s.law {
	case Weibull, Exponential:
		mean, sd = -0.5772156649015329, math.Pi/math.Sqrt(6)
	case LogLogistic:
		sd = math.Pi / math.Sqrt(3)
	}
	largest := 0.0
	for k := range s.strata {
		σ := 1.0
		if s.law.scaled() {
			σ = max(math.Sqrt(squares[k]/total[k])/sd, 0.05)
			θ[p+k] = math.Log(σ)
		}
		largest = max(largest, σ)
	}
	θ[0] -= mean * largest
	return θ
}

// middle is a log time near which the life may have ended.
func (o *observation) middle() float64 {
	switch o.kind {
	case between:
		return o.time + min(o.width/2, math.Ln2)
	case leftCensored:
		return o.time - math.Ln2
	}
	return o.time
}

// natural is the curvature of the log-likelihood by each parameter if σ is as in
// θ and each end were known exactly, about.
func (s *sample) natural(θ []float64) []float64 {
	curvature := make([]float64, s.parameters())
	σ := s.sigmas(θ)
	for i, o := range s.seen {
		for j, v := range s.row(i) {
			curvature[j] += o.weight * v * v / (σ[o.stratum] * σ[o.stratum])
		}
		if s.law.scaled() {
			curvature[s.columns+o.stratum] += o.weight
		}
	}
	return curvature
}
