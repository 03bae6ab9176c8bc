package cox

import (
	"errors"
	"fmt"

	"beadspan/stats/survival"
)

// ErrNoPrediction is returned for what the model cannot predict.
var ErrNoPrediction = errors.New("the model does not say")

// Asked is whose survival Predict is to tell, and how.
type Asked struct {
	X       []float64 // p covariates, the same at all times
	Stratum int
	Times   []float64 // in any order; nil: each time at which a life of the stratum ended, first to last
	Level   float64   // of confidence limits
	Scale   survival.Scale
}

// Predicted is survival to a time. All but Time is NaN past the last follow-up
// of the stratum.
type Predicted struct {
	Time                 float64
	Hazard, HazardSE     float64 // cumulative hazard
	Survival, SurvivalSE float64
	Lower, Upper         float64 // limits of Survival
}

// Predict estimates the cumulative hazard and survival of a life with
// covariates x:
//
//	Λ̂(t | x) = exp(xᵀβ̂) ∑ over tᵢ ≤ t of ∑ turns (W/d)/S₀,   Ŝ = exp(−Λ̂)
//
// turns and S₀ as in the likelihood, so that tied ends are treated alike. The
// standard error counts what is not known of Λ₀ and of β:
//
//	SE² = exp(2xᵀβ̂) ( ∑ (W/d)/S₀² + aᵀ V a ),   a = ∑ (W/d)(x̄ − x)/S₀
//
// With clusters it is instead the infinitesimal jackknife's, the root of the
// sum of squares of what each cluster adds to Λ̂.
//
// Values of redundant covariates are passed over: that they follow from the
// others is taken to hold for x too. ErrNoPrediction for a number of covariates
// that is not the model's, one that is no number, a stratum without rows, or a
// coefficient that runs off; ErrNotExact for ties treated exactly;
// survival.ErrLevel for a level outside (0, 1).
//
// Source: Breslow, Biometrics 30 (1974) 89–99; Tsiatis, Ann. Stat. 9 (1981)
// 93–108; Therneau and Grambsch (2000), section 10.2, also for ties.
func (m *Model) Predict(a Asked) ([]Predicted, error) {
	p, err := m.newPredictor(a)
	if err != nil {
		return nil, fmt.Errorf("predict survival: %w", err)
	}
	times := a.Times
	if times == nil {
		times = p.ends()
	}
	predicted := make([]Predicted, len(times))
	for i, t := range times {
		if predicted[i], err = p.at(t, a); err != nil {
			return nil, fmt.Errorf("predict survival: %w", err)
		}
	}
	return predicted, nil
}
