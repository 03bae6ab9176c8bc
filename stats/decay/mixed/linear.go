package mixed

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Criterion is what the variances of a linear mixed model maximise.
type Criterion string

// REML estimates variances free of the bias that ML has from estimating the
// fixed effects too; only ML likelihoods compare models of different fixed
// effects.
const (
	REML Criterion = "REML"
	ML   Criterion = "ML"
)

// Level is a level of grouping with its random effects.
type Level struct {
	// Effects names the random columns of the level.
	Effects []string

	// Correlated lets the effects of one group correlate; otherwise they are
	// independent.
	Correlated bool
}

// LinearModel says what is to be fitted to rows.
type LinearModel struct {
	Fixed     []string // names of the fixed columns
	Levels    []Level  // one, or two: outer and inner
	Criterion Criterion
}

// Effect is an estimated coefficient.
type Effect struct {
	Name      string
	Value, SE float64
}

// Spread is the estimated distribution of the random effects of a level.
type Spread struct {
	Effects    []string
	Covariance *mat.SymDense // in the order of Effects
	Groups     int           // how many there were to estimate it from

	factor []float64 // Λ of this level, row by row: Covariance = σ² Λ Λᵀ
}

// SD returns the standard deviation of an effect by its place.
func (s Spread) SD(effect int) float64 { return math.Sqrt(s.Covariance.At(effect, effect)) }

// Fitness is how well a model fits and how it was found.
type Fitness struct {
	N          int     // rows
	LogLik     float64 // with all constants; restricted if the criterion is REML
	AIC, BIC   float64 // counting fixed effects, variances, covariances and σ; BIC with N
	ResidualSD float64 // σ, of an observation of weight 1

	// Singular is set if the best covariance of random effects is on the
	// border: a variance of 0 or a correlation of ±1.
	Singular bool

	Iterations int
	Notes      []string // what a reader must know beside the numbers
}

// LinearFit is a fitted linear mixed model.
type LinearFit struct {
	Fitness
	Fixed      []Effect
	Covariance *mat.SymDense // of the fixed effects
	Levels     []Spread      // in the order of the model's
	Groups     []Group       // by Outer, then Inner
}

// Linear fits the linear mixed model
//
//	y = Xβ + Z₁b + Z₂c + ε,  b ~ N(0, σ²Λ₁Λ₁ᵀ), c ~ N(0, σ²Λ₂Λ₂ᵀ), ε ~ N(0, σ²W⁻¹)
//
// with one b for each outer group and one c for each inner group within it.
// Given Λ, all else has a closed form, which leaves the profiled deviance
// −2 log L(Λ), or its restricted form, to be minimised: by Newton's method with
// exact derivatives, from up to three starts, until both the slope and, on the
// border, the sign of what lies behind it show a minimum. V is the covariance
// of y over σ², r² the weighted sum of squares (y − Xβ̂)ᵀV⁻¹(y − Xβ̂):
//
//	ML:    log|V| + n log(2πr²/n) + n
//	REML:  log|V| + log|XᵀV⁻¹X| + (n−p) log(2πr²/(n−p)) + n − p
//
// Random effects are the best linear unbiased predictions (empirical Bayes).
// The order of rows matters only to rounding. Time and memory grow with the
// number of rows, not its square. rows are not modified.
//
// An unusable row is a *RowError. Too few rows or groups are ErrTooFew; fixed
// columns that depend on each other, or levels with the same groups, are
// ErrNotIdentified; so are values without any error about the fitted lines. A
// search that does not settle is a *NotConvergedError. It panics if the length
// of a row's columns is not the model's, or if the model has no fixed column,
// no level or more than two.
//
// Source of the profiled deviance: Bates, Mächler, Bolker and Walker, J. Stat.
// Softw. 67 (2015) 1–48.
func Linear(rows []Row, model LinearModel) (*LinearFit, error) {
	fit, err := fitLinear(rows, model)
	if err != nil {
		return nil, fmt.Errorf("fit linear mixed model: %w", err)
	}
	return fit, nil
}

func fitLinear(rows []Row, model LinearModel) (*LinearFit, error) {
	n, err := arrange(rows, model)
	if err != nil {
		return nil, err
	}
	if err := n.reduce(model.Fixed); err != nil {
		return nil, err
	}
	form := n.form(model.Levels)
	best, err := n.estimate(form, model.Criterion, form.starts())
	if err != nil {
		return nil, err
	}
	fit := &LinearFit{
		Fitness:    n.fitness(form, model.Criterion, best),
		Fixed:      n.fixedEffects(model.Fixed),
		Covariance: n.fixedCovariance(model.Criterion),
		Levels:     n.spreads(form, model, best.at),
		Groups:     n.groups(),
	}
	for j := range fit.Fixed {
		fit.Fixed[j].SE = math.Sqrt(fit.Covariance.At(j, j))
	}
	return fit, nil
}

// arrange checks rows and sorts them into groups.
func arrange(rows []Row, model LinearModel) (*nested, error) {
	p, q := len(model.Fixed), [2]int{}
	if p == 0 || len(model.Levels) == 0 || len(model.Levels) > 2 {
		panic(fmt.Sprintf("mixed: %d fixed columns and %d levels; need at least 1, and 1 or 2", p, len(model.Levels)))
	}
	for l, level := range model.Levels {
		q[l] = len(level.Effects)
	}
	for i, r := range rows {
		if len(r.Fixed) != p || len(r.OuterRandom) != q[0] || q[1] > 0 && len(r.InnerRandom) != q[1] {
			panic(fmt.Sprintf("mixed: row %d has %d, %d and %d columns for a model of %d, %d and %d",
				i, len(r.Fixed), len(r.OuterRandom), len(r.InnerRandom), p, q[0], q[1]))
		}
		if err := r.check(i, model); err != nil {
			return nil, err
		}
	}
	g := groupRows(len(rows), func(i int) label {
		if q[1] == 0 {
			return label{outer: rows[i].Outer}
		}
		return label{rows[i].Outer, rows[i].Inner}
	})
	if err := g.checkSize(p, q[0], q[1]); err != nil {
		return nil, err
	}
	n := newNested(g, p, q[0], q[1])
	for at, i := range g.order {
		r := rows[i]
		root := math.Sqrt(r.Weight)
		n.logWeights += math.Log(r.Weight)
		row := n.row(at)
		if q[1] > 0 {
			scaled(row, r.InnerRandom, root)
		}
		scaled(row[q[1]:], r.OuterRandom, root)
		scaled(row[q[1]+q[0]:], r.Fixed, root)
		row[n.columns()-1] = root * r.Value
	}
	return n, nil
}

func scaled(to, from []float64, by float64) {
	for j, x := range from {
		to[j] = by * x
	}
}
