package aft

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// NotEstimableError says that the spans do not determine some parameters: the
// likelihood rises, or stays as high, the further these run.
type NotEstimableError struct {
	Parameters []string // by their names in Estimate.Names; empty for all
	Reason     string
}

// Error names the parameters and says what is missing.
func (e *NotEstimableError) Error() string {
	if len(e.Parameters) == 0 {
		return "not estimable: " + e.Reason
	}
	return fmt.Sprintf("%s not estimable: %s", strings.Join(e.Parameters, ", "), e.Reason)
}

const (
	// σ of log time beyond these cannot come from lives: they would end within a
	// billionth of their length, or spread over twenty powers of ten.
	leastSigma, largestSigma = 1e-9, 50
	// leastShare is how much, of what as many exactly known ends would tell
	// about a parameter, the spans must tell.
	leastShare = 1e-7
	// leastPivot is how much of a column's square the columns before it must
	// leave unexplained.
	leastPivot = 1e-11

	tooLittle = "the spans tell too little to tell the parameters apart"
)

// estimable finds what can be seen beforehand: nobody ended or nobody held, in
// all or at one level of a factor, and columns that depend on each other.
func (s *sample) estimable() error {
	if len(s.seen) == 0 {
		return &NotEstimableError{Reason: "no life was watched for any time"}
	}
	if reason := s.oneSided(func(int) bool { return true }); reason != "" {
		return &NotEstimableError{Reason: reason}
	}
	for j := 1; j < s.columns; j++ {
		if !s.indicator(j) {
			continue
		}
		if reason := s.oneSided(func(i int) bool { return s.row(i)[j] == 1 }); reason != "" {
			return &NotEstimableError{[]string{s.names[j]}, reason + " where it is 1"}
		}
		if reason := s.oneSided(func(i int) bool { return s.row(i)[j] == 0 }); reason != "" {
			return &NotEstimableError{[]string{s.names[j]}, reason + " where it is 0"}
		}
	}
	if j := weakest(s.crossProducts(), s.columns, leastPivot); j >= 0 {
		return &NotEstimableError{[]string{s.names[j]},
			"this column of the design follows from those before it, or is the same for all"}
	}
	return nil
}

// oneSided tells what no chosen life is known to have done, if there is such.
func (s *sample) oneSided(chosen func(i int) bool) string {
	ended, held, any := false, false, false
	for i, o := range s.seen {
		if chosen(i) {
			any = true
			ended = ended || o.kind != rightCensored
			held = held || o.kind != leftCensored
		}
	}
	switch {
	case !any:
		return "no life was watched for any time"
	case !ended:
		return "no life is known to have ended"
	case !held:
		return "no life was ever seen to hold"
	}
	return ""
}

// indicator reports whether a column holds only zeros and ones, and both.
func (s *sample) indicator(j int) bool {
	var found [2]bool
	for i := range s.seen {
		switch s.row(i)[j] {
		case 0:
			found[0] = true
		case 1:
			found[1] = true
		default:
			return false
		}
	}
	return found[0] && found[1]
}

// crossProducts is X'WX.
func (s *sample) crossProducts() []float64 {
	p := s.columns
	a := make([]float64, p*p)
	for i, o := range s.seen {
		x := s.row(i)
		for j, v := range x {
			for k := j; k < p; k++ {
				a[j*p+k] += o.weight * v * x[k]
			}
		}
	}
	for j := range p {
		for k := range j {
			a[j*p+k] = a[k*p+j]
		}
	}
	return a
}

// withinBounds refuses a σ that has run off.
func (s *sample) withinBounds(θ []float64) error {
	for k, σ := range s.sigmas(θ) {
		name := s.parameterNames()[min(s.columns+k, s.parameters()-1)]
		if σ < leastSigma {
			return &NotEstimableError{[]string{name},
				"σ runs to 0: the model passes through all spans, which leave no spread to estimate"}
		}
		if σ > largestSigma {
			return &NotEstimableError{[]string{name},
				"σ runs to infinity: the spans do not show ends to come more often with time"}
		}
	}
	return nil
}

// diagnose says whether an ascent stopped for want of information: because a
// parameter was running off while the likelihood levelled out.
func (s *sample) diagnose(at *summit) error {
	q := s.parameters()
	f, curved := factorise(at.d.second, q, -1, nil)
	if !curved { // flat: a trace of curvature shows along which parameters
		trace := s.natural(at.θ)
		for j := range trace {
			trace[j] *= 1e-10
		}
		var ok bool
		if f, ok = factorise(at.d.second, q, -1, trace); !ok {
			return &NotEstimableError{Reason: tooLittle}
		}
	}
	covariance := f.inverse()
	full, ok := factorise(s.crossProducts(), s.columns, 1, nil)
	if !ok {
		return errors.New("design: columns depend on each other") // excluded by estimable
	}
	unexplained := full.inverse()
	σ := s.sigmas(at.θ)
	widest := 0.0
	lives := make([]float64, s.strata)
	for _, o := range s.seen {
		lives[o.stratum] += o.weight
		widest = max(widest, σ[o.stratum])
	}
	var poor []string
	for j, name := range s.parameterNames() {
		known := 0.0 // variance if each end were known exactly
		if j < s.columns {
			known = unexplained.At(j, j) * widest * widest
		} else {
			known = 1 / lives[j-s.columns]
		}
		if v := covariance.At(j, j); !(v > 0) || math.IsInf(v, 1) || known/v < leastShare {
			poor = append(poor, name)
		}
	}
	if len(poor) > 0 {
		return &NotEstimableError{poor,
			"the likelihood rises however far they run: some lives that they tell apart all ended, or all held"}
	}
	if !curved {
		return &NotEstimableError{Reason: tooLittle}
	}
	return nil
}
