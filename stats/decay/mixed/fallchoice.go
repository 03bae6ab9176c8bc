package mixed

import (
	"errors"
	"math"

	"beadspan/stats/decay"
)

// Fall is one of the falls that were weighed.
type Fall struct {
	Shape      decay.Shape
	FloorKnown bool
	Fit        *CurvesFit // nil where there is none
	Err        error      // why it can't be chosen; nil if it can
}

// FallChoice is the fall that was chosen, and all that it was weighed against.
type FallChoice struct {
	Fall
	Weighed []Fall // those that were fitted or tried, the chosen one too
}

// Why a fall that was tried is not among those to choose from.
var (
	// ErrNoSign means that a fall of fewer parameters is as good, by the score test.
	ErrNoSign = errors.New("no sign that the readings need it")
	// ErrNoFloor means a floor below 0°, which no angle has.
	ErrNoFloor = errors.New("the floor came out below 0°")
	// ErrFloorUnseen means that the readings end before two thirds of the fall, so
	// that they don't tell a lower floor from a longer tail.
	ErrFloorUnseen = errors.New("the readings don’t tell its floor from its tail")
)

// The stretched exponential is taken only if its AICc is lower by more than
// clearlyBetter. Within 2 two models are about as good (Burnham and Anderson,
// Model Selection and Multimodel Inference, 2nd ed. (2002) section 2.6), and then
// the simpler one is shown.
const clearlyBetter = 2

// ChooseFall fits exponentials and stretched exponentials, each with a known
// floor, if there is one, and with one that the readings tell, by Laplace's
// method, and chooses:
//
//   - of the floors, the one of the lower AIC;
//   - of the shapes, the exponential, unless the AICc of the stretched one is lower
//     by more than 2. AICc is AIC + 2k(k + 1)/(n − k − 1) with k parameters and n
//     outer groups, which are what is independent: of few groups, and always of
//     n ≤ k + 1, which is 9 or 10, it is the exponential.
//
// A model with one parameter more is fitted only if the score test foretells that
// its AIC is the lower one. Refused are floors below 0° (ErrNoFloor), and a
// stretched fall to a floor that is not known whose τ is later than the last
// reading (ErrFloorUnseen). Where no exponential can be fitted, stretched ones
// are tried by themselves. The logistic is none of the candidates: its search
// does not settle on falls that begin at once, and falls that set in slowly are
// what a power above 1 is for.
//
// Where nothing can be fitted, the error is that of the exponential whose floor the
// readings have to tell.
func ChooseFall(readings []Reading, model FallModel) (*FallChoice, error) {
	w := &weighing{readings: readings, model: model}
	w.exponentials()
	for _, f := range w.falls {
		w.stretch(f)
	}
	exponential, stretched := w.best(decay.ExponentialShape), w.best(decay.StretchedShape)
	choice := &FallChoice{Weighed: w.falls}
	switch {
	case exponential == nil && (stretched == nil || math.IsInf(stretched.Fit.aicc(), 1)):
		return nil, w.reason()
	case exponential == nil, stretched != nil && stretched.Fit.aicc() < exponential.Fit.aicc()-clearlyBetter:
		choice.Fall = *stretched
	default:
		choice.Fall = *exponential
	}
	return choice, nil
}

// Against returns the best fall of the other shape, nil if there is none.
func (c *FallChoice) Against() *Fall {
	return lowest(c.Weighed, func(f Fall) bool { return f.Shape != c.Shape })
}

// AgainstFloor returns the best fall of the same shape to the other kind of
// floor, nil if there is none.
func (c *FallChoice) AgainstFloor() *Fall {
	return lowest(c.Weighed, func(f Fall) bool { return f.Shape == c.Shape && f.FloorKnown != c.FloorKnown })
}

// Lead is by how much the AIC of the choice is lower than that of another fall.
func (c *FallChoice) Lead(over *Fall) float64 { return over.Fit.AIC - c.Fit.AIC }

// lowest returns the fitted fall of the lowest AIC of those that are asked for.
func lowest(falls []Fall, asked func(Fall) bool) *Fall {
	var best *Fall
	for i := range falls {
		f := &falls[i]
		if f.Err == nil && asked(*f) && (best == nil || f.Fit.AIC < best.Fit.AIC) {
			best = f
		}
	}
	return best
}

// aicc is the AIC corrected for few outer groups.
func (f *CurvesFit) aicc() float64 {
	k, n := f.AIC/2+f.LogLik, float64(len(f.fleet.outer))
	if n <= k+1 {
		return math.Inf(1)
	}
	return f.AIC + 2*k*(k+1)/(n-k-1)
}
