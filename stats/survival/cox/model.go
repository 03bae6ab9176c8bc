package cox

import (
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// State says whether the data determine a coefficient.
type State int

const (
	// Estimated is a coefficient with a value.
	Estimated State = iota
	// Redundant is one of a covariate that is the same for all who are at risk
	// together whenever a life ends, or follows from the covariates before it.
	// The model is that without it.
	Redundant
	// RunsOff is one that makes the likelihood rise for ever as it goes to
	// infinity: whenever a life ended, it was one with the highest value of the
	// covariate, or of a combination of it with others, at risk.
	RunsOff
)

// Coefficient is the logarithm of the hazard ratio for one unit more of a
// covariate. Value is NaN if Redundant and ±Inf if RunsOff, standard errors are
// then NaN.
type Coefficient struct {
	State    State
	Value    float64
	SE       float64 // from the information: right for independent rows
	RobustSE float64 // by clusters; NaN without them
}

// Limits are confidence limits of the value: Value ± z SE, with the robust
// error where there is one. They are NaN where the coefficient has no value.
func (c Coefficient) Limits(level float64) (lower, upper float64) {
	if c.State != Estimated {
		return math.NaN(), math.NaN()
	}
	se := c.RobustSE
	if math.IsNaN(se) {
		se = c.SE
	}
	z := distuv.UnitNormal.Quantile((1 + level) / 2)
	return c.Value - z*se, c.Value + z*se
}

// Test is a chi-square test. Its numbers are NaN where it is not defined, and
// DF is 0 where there is nothing to test.
type Test struct {
	ChiSq float64
	DF    int
	P     float64 // of a ChiSq this large or larger, were the hypothesis true
}

func newTest(chiSq float64, df int) Test {
	if df == 0 || math.IsNaN(chiSq) {
		return Test{math.NaN(), df, math.NaN()}
	}
	chiSq = max(0, chiSq)
	return Test{chiSq, df, distuv.ChiSquared{K: float64(df)}.Survival(chiSq)}
}

// Model is a fitted model. Slices and matrices are in the order of the
// covariates, with NaN where a coefficient is not Estimated.
type Model struct {
	Ties         Ties
	N, Events    int // rows used, and those among them whose lives ended
	Coefficients []Coefficient

	Covariance       [][]float64 // of the values: the inverse of the information
	RobustCovariance [][]float64 // by clusters; nil without them
	Clusters         int         // how many; 0 without them

	LogLikNull, LogLik float64 // with all coefficients 0, and at the values
	// Path is the log-likelihood at each step of the search, from LogLikNull
	// to LogLik. It never falls by more than rounding.
	Path []float64

	// Tests of the hypothesis that all coefficients are 0. Wald's and the robust
	// ones need values and are NaN where a coefficient runs off; the robust ones
	// are NaN without clusters, or with no more of them than coefficients.
	LikelihoodRatio, Wald, Score Test
	RobustWald, RobustScore      Test

	Notes []string // what a reader must see beside the numbers

	data   Data
	design *design
	climb  *climb
	free   []int // the design's columns that have values
}

// note adds what must be said about the fit.
func (m *Model) note() {
	var redundant, away []string
	for j, c := range m.Coefficients {
		switch c.State {
		case Redundant:
			redundant = append(redundant, m.data.name(j))
		case RunsOff:
			away = append(away, m.data.name(j))
		}
	}
	if m.Events == 0 {
		m.Notes = append(m.Notes, "No life ended: nothing can be said of any covariate.")
	} else if redundant != nil {
		m.Notes = append(m.Notes, fmt.Sprintf("Left out, being the same for all at risk together or following from the covariates before: %s.",
			strings.Join(redundant, ", ")))
	}
	if away != nil {
		m.Notes = append(m.Notes, fmt.Sprintf("No finite coefficient fits best for: %s. Whenever a life ended it was one with the most extreme values at risk. "+
			"The likelihood ratio and score tests still hold; there are no limits.", strings.Join(away, ", ")))
	}
	if 0 < m.Clusters && m.Clusters < fewClusters {
		m.Notes = append(m.Notes, fmt.Sprintf("Robust errors from %d clusters are likely too small: they need about %d or more.",
			m.Clusters, fewClusters))
	}
}

// fewClusters is the number below which robust errors are not to be trusted
// (common practice, no source).
const fewClusters = 20

// fullSquare spreads a covariance of the free columns, in units of the design,
// to all covariates in theirs.
func (m *Model) fullSquare(v *mat.SymDense) [][]float64 {
	full := make([][]float64, m.data.Covariates)
	for j := range full {
		full[j] = make([]float64, m.data.Covariates)
		for k := range full[j] {
			full[j][k] = math.NaN()
		}
	}
	for a, ca := range m.free {
		for b, cb := range m.free {
			full[m.design.columns[ca]][m.design.columns[cb]] = v.At(a, b) / (m.design.scale[ca] * m.design.scale[cb])
		}
	}
	return full
}

// full spreads one number for each free column to all covariates.
func (m *Model) full(of []float64) []float64 {
	full := make([]float64, m.data.Covariates)
	for j := range full {
		full[j] = math.NaN()
	}
	for a, c := range m.free {
		full[m.design.columns[c]] = of[a]
	}
	return full
}
