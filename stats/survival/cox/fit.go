package cox

import (
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Fit estimates the coefficients β of the proportional hazards model by
// maximum partial likelihood. Without ties, and with it the number of the row
// that ends at tᵢ,
//
//	L(β) = ∏ ( exp(xᵢᵀβ) / ∑ₖ exp(xₖᵀβ) )^wᵢ,  k over all rows with Startₖ < tᵢ ≤ Stopₖ
//
// in the stratum of i, each term of the sum weighted with wₖ; Ties says what
// takes its place where several end at once. Times that differ by rounding
// only are one. Values of covariates have any scale and origin.
//
// With clusters, RobustSE is the sandwich estimate (∑ D Dᵀ over clusters, D the
// sum of a cluster's DFBeta, without a factor for small samples), right also
// where rows of one cluster are not independent.
//
// d is not changed, but kept by the Model and must not be changed while that is
// in use.
//
// Nothing is known for certain where Notes say so: see State. An error is
// *RowError for an impossible row, ErrShape for lengths that do not fit,
// ErrNoRows for no rows, ErrExactWork and ErrNotExact for data that Exact cannot
// do, *OutlierError for a value so far from the others that floats cannot hold
// the best fit, ErrNoConvergence if the search did not arrive for other reasons.
//
// Source: Cox, J. R. Stat. Soc. B 34 (1972) 187–220; Efron, J. Am. Stat. Assoc.
// 72 (1977) 557–565; Breslow, Biometrics 30 (1974) 89–99; Lin and Wei, J. Am.
// Stat. Assoc. 84 (1989) 1074–1078, for robust errors; Therneau and Grambsch,
// Modeling Survival Data (2000), for rows (Start, Stop].
func Fit(d Data, ties Ties) (*Model, error) {
	m, err := fit(d, ties)
	if err != nil {
		return nil, fmt.Errorf("cox regression: %w", err)
	}
	return m, nil
}

func fit(d Data, ties Ties) (*Model, error) {
	if err := d.validate(); err != nil {
		return nil, err
	}
	s, err := newDesign(d)
	if err != nil {
		return nil, err
	}
	if ties == Exact {
		if err := s.checkExact(); err != nil {
			return nil, err
		}
		if d.Cluster != nil {
			return nil, fmt.Errorf("robust errors by cluster: %w", ErrNotExact)
		}
	}
	start, l := s.begin(ties)
	c, err := l.climb(start)
	var far *OutlierError
	if errors.As(err, &far) {
		far.Name, far.Value = d.name(far.Covariate), d.X[far.Row*d.Covariates+far.Covariate]
	}
	if err != nil {
		return nil, err
	}
	m := &Model{Ties: ties, N: len(s.row), data: d, design: s, climb: c}
	for i := range s.moments {
		m.Events += s.moments[i].deaths
	}
	m.judge(start)
	if err := m.describe(start); err != nil {
		return nil, err
	}
	if d.Cluster != nil {
		if err := m.robust(); err != nil {
			return nil, err
		}
	}
	m.note()
	return m, nil
}

// begin evaluates the likelihood with all coefficients 0 and leaves in the
// design only columns that the data can tell apart.
func (s *design) begin(ties Ties) (*point, *likelihood) {
	l := s.likelihood(ties)
	start := l.at(make([]float64, s.q))
	columns := s.estimable(start)
	if len(columns) == s.q {
		return start, l
	}
	start = start.restricted(columns)
	s.keep(columns)
	return start, s.likelihood(ties)
}

// sameTolerance is the share of a covariate's variance among those at risk
// together that is rounding.
const sameTolerance = 1e-11

// estimable lists the columns whose part of the information, given the columns
// before, is more than rounding. A direction along which the information is 0
// at one β is one along which it is 0 at all: nobody at risk together differs.
func (s *design) estimable(p *point) []int {
	weight := 0.0
	for i := range s.moments {
		weight += s.moments[i].weight
	}
	left := mat.NewDense(max(s.q, 1), max(s.q, 1), nil)
	left.Copy(symmetric(p.information, s.q))
	var columns []int
	for j := range s.q {
		pivot, alone := left.At(j, j), p.information[triangle(j)+j]
		if !(alone > sameTolerance*weight && pivot > sameTolerance*alone) {
			continue
		}
		columns = append(columns, j)
		for a := j + 1; a < s.q; a++ {
			share := left.At(a, j) / pivot
			for b := j + 1; b < s.q; b++ {
				left.Set(a, b, left.At(a, b)-share*left.At(j, b))
			}
		}
	}
	return columns
}

// restricted is the point with those columns only.
func (p *point) restricted(columns []int) *point {
	q := len(columns)
	r := &point{beta: make([]float64, q), logLik: p.logLik, score: make([]float64, q)}
	for a, j := range columns {
		r.score[a] = p.score[j]
		for _, k := range columns[:a+1] {
			r.information = append(r.information, p.information[triangle(j)+k])
		}
	}
	return r
}

// judge sets the coefficients' states and values.
func (m *Model) judge(start *point) {
	m.LogLikNull, m.LogLik, m.Path = start.logLik, m.climb.end.logLik, m.climb.path
	m.Coefficients = make([]Coefficient, m.data.Covariates)
	for j := range m.Coefficients {
		m.Coefficients[j] = Coefficient{Redundant, math.NaN(), math.NaN(), math.NaN()}
	}
	steepest := 0.0
	for _, a := range m.climb.away {
		steepest = max(steepest, math.Abs(a))
	}
	for a, j := range m.design.columns {
		c := &m.Coefficients[j]
		if m.climb.away != nil && math.Abs(m.climb.away[a]) > 1e-3*steepest {
			c.State, c.Value = RunsOff, math.Copysign(math.Inf(1), m.climb.away[a])
			continue
		}
		c.State, c.Value = Estimated, m.climb.end.beta[a]/m.design.scale[a]
		m.free = append(m.free, a)
	}
}

// describe fills standard errors and the tests that need no clusters.
func (m *Model) describe(start *point) error {
	q := m.design.q
	m.LikelihoodRatio = newTest(2*(m.LogLik-m.LogLikNull), q)
	m.Score = newTest(math.NaN(), q)
	m.Wald, m.RobustWald, m.RobustScore = m.Score, m.Score, m.Score
	if q > 0 {
		_, chiSq, err := newtonStep(start, q)
		if err != nil {
			return fmt.Errorf("score test: %w", err)
		}
		m.Score = newTest(chiSq, q)
	}
	v, err := m.inverse()
	if err != nil {
		return err
	}
	m.Covariance = m.fullSquare(v)
	for j := range m.Coefficients {
		m.Coefficients[j].SE = math.Sqrt(m.Covariance[j][j])
	}
	if len(m.free) == q && q > 0 {
		p := m.climb.end
		beta := mat.NewVecDense(q, p.beta)
		m.Wald = newTest(mat.Inner(beta, symmetric(p.information, q), beta), q)
	}
	return nil
}

// inverse is the covariance of the free columns' coefficients, in units of the
// design.
func (m *Model) inverse() (*mat.SymDense, error) {
	if len(m.free) == 0 {
		return &mat.SymDense{}, nil
	}
	free := m.climb.end.restricted(m.free)
	var c mat.Cholesky
	v := mat.NewSymDense(len(m.free), nil)
	if !c.Factorize(symmetric(free.information, len(m.free))) {
		return nil, fmt.Errorf("%w: the information is singular", ErrNoConvergence)
	}
	if err := c.InverseTo(v); err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoConvergence, err)
	}
	return v, nil
}
