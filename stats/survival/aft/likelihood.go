package aft

import "math"

// slopes are the derivatives of one span's log-likelihood ℓ with respect to
// its linear predictor η and τ = log σ.
type slopes struct {
	logLik                 float64
	eta, tau               float64
	etaEta, etaTau, tauTau float64
}

// A span's ℓ is a function of w = (log t − η)/σ at one or two times t. With
// A = ∑ ℓₖ, B = ∑ wₖ ℓₖ over the derivatives ℓₖ by wₖ, and AA = ∑ ℓₖₗ,
// AB = ∑ wₗ ℓₖₗ, BB = ∑ wₖ wₗ ℓₖₗ over the second ones, the chain rule gives
//
//	ℓη = −A/σ,  ℓτ = −B,  ℓηη = AA/σ²,  ℓητ = (AB + A)/σ,  ℓττ = BB + B.
//
// chain holds the sums.
type chain struct{ logLik, a, b, aa, ab, bb float64 }

// at adds a function of one w, given with its derivatives, times sign.
func (c *chain) at(w, sign, value, slope, bend float64) {
	c.logLik += sign * value
	c.a += sign * slope
	c.b += sign * w * slope
	c.aa += sign * bend
	c.ab += sign * w * bend
	c.bb += sign * w * w * bend
}

// contribution returns ℓ of one span and its derivatives, weight apart.
func (o *observation) contribution(law Distribution, η, σ float64) slopes {
	w := (o.time - η) / σ
	var c chain
	density := false // σ then scales the density
	switch o.kind {
	case exact:
		value, slope, bend := law.density(w)
		c.at(w, 1, value-o.time, slope, bend)
		density = true
	case rightCensored:
		value, slope, bend := law.tail(w)
		c.at(w, 1, value, slope, bend)
	case leftCensored:
		value, slope, bend := law.head(w)
		c.at(w, 1, value, slope, bend)
	case between:
		density = c.between(law, w, o.width/σ, o.width)
	}
	if o.late {
		e := (o.entry - η) / σ
		value, slope, bend := law.tail(e)
		c.at(e, -1, value, slope, bend)
	}
	s := slopes{
		logLik: c.logLik,
		eta:    -c.a / σ, tau: -c.b,
		etaEta: c.aa / (σ * σ), etaTau: (c.ab + c.a) / σ, tauTau: c.bb + c.b,
	}
	if density {
		s.logLik -= math.Log(σ)
		s.tau--
	}
	return s
}

// between adds log(S(w) − S(w + width)). Where the interval is so narrow that
// the difference would lose its digits it adds the density at the middle times
// logWidth, and reports that σ has yet to scale it.
func (c *chain) between(law Distribution, w, width, logWidth float64) (density bool) {
	const narrow = 3e-6 // the error of either way is then below 1e-10
	if middle := w + width/2; width < narrow {
		value, slope, bend := law.density(middle)
		if width*(1+math.Abs(slope)) < narrow {
			c.at(middle, 1, value+math.Log(logWidth), slope, bend)
			return true
		}
	}
	b := law.between(w, width)
	v := w + width
	if b.second == 0 {
		v, b.secondBy = 0, 0 // so far out that nothing depends on it
	}
	c.logLik += b.logD
	c.a = b.second - b.first
	c.b = v*b.second - w*b.first
	c.aa = b.secondBy - b.firstBy - c.a*c.a
	c.ab = v*b.secondBy - w*b.firstBy - c.a*c.b
	c.bb = v*v*b.secondBy - w*w*b.firstBy - c.b*c.b
	return false
}

// derivatives are the gradient of a log-likelihood and its matrix of second
// derivatives, kept in the upper triangle row by row.
type derivatives struct {
	gradient []float64
	second   []float64
}

func newDerivatives(q int) *derivatives {
	return &derivatives{gradient: make([]float64, q), second: make([]float64, q*q)}
}

func (d *derivatives) clear() {
	clear(d.gradient)
	clear(d.second)
}

// mirror copies the upper triangle to the lower one.
func (d *derivatives) mirror() {
	q := len(d.gradient)
	for j := range q {
		for k := range j {
			d.second[j*q+k] = d.second[k*q+j]
		}
	}
}

// logLikelihood returns the log-likelihood at θ = (b, log σ) and puts its
// derivatives in d.
func (s *sample) logLikelihood(θ []float64, d *derivatives) float64 {
	d.clear()
	σ := s.sigmas(θ)
	sum := 0.0
	for i := range s.seen {
		sum += s.add(i, θ, σ, s.row(i), d)
	}
	d.mirror()
	return sum
}

// add adds the derivatives of row i with covariates x to the upper triangle of
// d, and returns its weighted log-likelihood. x may be longer than the sample's
// rows; coefficients then come first in θ, as many as x has.
func (s *sample) add(i int, θ, σ, x []float64, d *derivatives) float64 {
	o := &s.seen[i]
	η := 0.0
	for j, v := range x {
		η += v * θ[j]
	}
	c := o.contribution(s.law, η, σ[o.stratum])
	q := len(d.gradient)
	eta, etaEta := o.weight*c.eta, o.weight*c.etaEta
	for j, v := range x {
		if v == 0 {
			continue
		}
		d.gradient[j] += eta * v
		second := d.second[j*q+j : j*q+len(x)]
		for k, u := range x[j:] {
			second[k] += etaEta * v * u
		}
	}
	if s.law.scaled() {
		t := len(x) + o.stratum
		d.gradient[t] += o.weight * c.tau
		d.second[t*q+t] += o.weight * c.tauTau
		for j, v := range x {
			d.second[j*q+t] += o.weight * c.etaTau * v
		}
	}
	return o.weight * c.logLik
}

// sigmas returns the σ of each stratum.
func (s *sample) sigmas(θ []float64) []float64 {
	σ := make([]float64, s.strata)
	for k := range σ {
		σ[k] = 1
		if s.law.scaled() {
			σ[k] = math.Exp(θ[len(θ)-s.strata+k])
		}
	}
	return σ
}
