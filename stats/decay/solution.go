package decay

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/lapack/lapack64"
	"gonum.org/v1/gonum/mat"
)

// Solution is a minimum of a least-squares search and what follows from it. n
// is the number of points, p the number of parameters that were not held.
//
// The covariance is that of the curve linearised at the minimum: with J the
// derivatives ∂m(tᵢ)/∂βⱼ of the parameters that came to rest within their
// bounds and W the weights, s² (JᵀWJ)⁻¹; or, if Clustered was asked for, with
// one sum in the middle for each cluster c and no small-sample factor,
//
//	(JᵀWJ)⁻¹ [∑ uc ucᵀ] (JᵀWJ)⁻¹,  uc = ∑ over i in c of wᵢ (yᵢ − mᵢ) Jᵢ
//
// A parameter that rests at a bound has no standard error, and limits of all
// else are as if it were known to be there; it still counts in p.
//
// Under another Loss than Squares, with u = r/s as in LeastSquares and p as
// above, it is that of M-estimators,
//
//	k² [∑ (s ψ(u))²/(n − p)] / (mean ψ′)² (JᵀWJ)⁻¹,  k = 1 + (p/n) var ψ′/(mean ψ′)²
//
// or, if Clustered, the second form with s ψ(u) √w in place of w (y − m), divided
// by (mean ψ′)². It is nil too if mean ψ′ is not above 0.
//
// Sources: Liang and Zeger, Biometrika 73 (1986) 13–22, for the second form;
// Huber, Robust Statistics (1981) section 7.6 (from memory), for the third.
type Solution struct {
	Parameters []Parameter // in the model's order

	// Covariance is of the parameters in the model's order, with zeros where
	// one is Fixed or AtBound. It is nil if the points do not determine the
	// parameters separately; no limits of anything are then estimable.
	Covariance *mat.SymDense

	N, DF      int     // n and n − p
	RSS        float64 // ∑ w (y − m)², not less than 0
	ResidualSD float64 // s of a point of weight 1: √(RSS/DF), or the scale of another loss

	// LogLik is the log-likelihood of normal errors at σ² = RSS/n; AIC and
	// AICc count σ as a parameter. LogLik is +Inf, and AIC and AICc are −Inf,
	// for a curve through every point. AICc is +Inf if n ≤ p + 2. All three are
	// NaN under another loss, which is no likelihood.
	LogLik, AIC, AICc float64

	Loss Loss

	// Trust is the share of its weight, 0 to 1, that the loss left each point,
	// in their order; nil under Squares. What is near 0 was set aside.
	Trust []float64

	Clusters   int     // how many, if Clustered was asked for; else 0
	Iterations int     // steps that were tried
	Offset     float64 // length of the residuals within the tangent plane over that outside, each per √dimension
	Stop       Stop    // why the search ended

	model    Model
	points   []Point // a copy
	settings Settings
}

// solution describes s.here.
func (s *search) solution() (*Solution, error) {
	sol := &Solution{
		N: len(s.points), DF: len(s.points) - s.estimated(), Loss: s.settings.Loss, Trust: s.trust,
		Iterations: s.iterations, Offset: s.here.offset, Stop: s.stop,
		model: s.model, points: slices.Clone(s.points), settings: s.settings,
	}
	robust := sol.Loss != Squares
	if robust {
		// What follows is of all points at their full weight.
		s.trust = nil
		s.evaluate(s.here)
	}
	sol.RSS = s.here.rss
	sol.ResidualSD = math.Sqrt(sol.RSS / float64(sol.DF))
	sol.judge(s)
	inverse, variance := s.inverseInformation(), sol.ResidualSD*sol.ResidualSD
	if robust {
		s.trust = sol.Trust
		sol.ResidualSD = s.spread
		inverse, variance = s.underLoss(inverse)
	}
	limitDF := float64(sol.DF)
	switch {
	case inverse == nil:
	case s.settings.Clustered:
		scores, err := s.clusterScores()
		if err != nil {
			return nil, err
		}
		sol.Clusters = len(scores)
		limitDF = float64(sol.Clusters - 1)
		sol.Covariance = sandwich(inverse, scores)
	default:
		sol.Covariance = mat.NewSymDense(len(s.scale), nil)
		sol.Covariance.ScaleSym(variance, inverse)
	}
	if sol.Covariance != nil && !finiteDiagonal(sol.Covariance) {
		sol.Covariance = nil // so little is known that numbers end before it does
	}
	sol.Parameters = s.parameters(sol.Covariance, limitDF)
	return sol, nil
}

func finiteDiagonal(m *mat.SymDense) bool {
	for j := range m.SymmetricDim() {
		if !finite(m.At(j, j)) {
			return false
		}
	}
	return true
}

// forget leaves nothing known about the parameters.
func (sol *Solution) forget() {
	sol.Covariance = nil
	for j := range sol.Parameters {
		if p := &sol.Parameters[j]; p.State == Estimated {
			p.State, p.SE = Undetermined, math.NaN()
		}
	}
}

// estimated is the number of parameters that were not held.
func (s *search) estimated() int {
	p := 0
	for j := range s.scale {
		if !s.held(j) {
			p++
		}
	}
	return p
}

// judge fills in the likelihood and what is made of it.
func (sol *Solution) judge(s *search) {
	if sol.Loss != Squares {
		sol.LogLik, sol.AIC, sol.AICc = math.NaN(), math.NaN(), math.NaN()
		return
	}
	sol.LogLik = s.logLik()
	k := float64(s.estimated() + 1)
	sol.AIC = 2*k - 2*sol.LogLik
	sol.AICc = math.Inf(1)
	if spare := float64(sol.N) - k - 1; spare > 0 {
		sol.AICc = sol.AIC + 2*k*(k+1)/spare
	}
}

// logLik is −n/2 (log(2π RSS/n) + 1) + ½ ∑ log wᵢ.
func (s *search) logLik() float64 {
	n := float64(len(s.points))
	weights := 0.0
	for _, p := range s.points {
		weights += math.Log(p.Weight)
	}
	return -n/2*(math.Log(2*math.Pi*s.here.rss/n)+1) + weights/2
}

// inverseInformation returns (JᵀWJ)⁻¹ with zeros for the parameters that are
// not free, or nil if it does not exist. It inverts R with columns of length
// 1, so that the units of the parameters do not matter.
func (s *search) inverseInformation() *mat.SymDense {
	unit := make([]float64, len(s.scale))
	for _, j := range s.here.free {
		if unit[j] = s.here.columnLength(j); unit[j] == 0 {
			return nil
		}
	}
	s.here.decompose(unit)
	if !s.here.regular {
		return nil
	}
	factor := s.here.factor()
	lapack64.Trtri(factor)
	inverse := mat.NewSymDense(len(unit), nil)
	for k, j := range s.here.free {
		for l := k; l < len(s.here.free); l++ {
			sum := 0.0
			for m := l; m < factor.N; m++ {
				sum += factor.Data[k*factor.Stride+m] * factor.Data[l*factor.Stride+m]
			}
			i := s.here.free[l]
			inverse.SetSym(j, i, sum/(unit[j]*unit[i]))
		}
	}
	return inverse
}

// parameters names the estimates and says which of them have an error.
func (s *search) parameters(covariance *mat.SymDense, df float64) []Parameter {
	list := make([]Parameter, len(s.scale))
	for j, name := range s.model.Parameters {
		list[j] = Parameter{Name: name, Value: s.here.β[j], SE: math.NaN(), State: AtBound, df: df}
		if s.held(j) {
			list[j].State = Fixed
		}
	}
	for _, j := range s.here.free {
		list[j].State = Undetermined
		if covariance != nil {
			list[j].State = Estimated
			list[j].SE = math.Sqrt(covariance.At(j, j))
		}
	}
	return list
}
