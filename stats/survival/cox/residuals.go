package cox

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Martingale returns for each row of the data how many ends it had beyond what
// the model expects of it:
//
//	Mᵢ = δᵢ − ∫ exp(xᵢᵀβ̂) dΛ̂₀(t) over (Startᵢ, Stopᵢ]
//
// between −∞ and 1, with weighted sum 0 in each stratum. Rows passed over have
// 0. ErrNotExact for ties treated exactly.
//
// Source: Barlow and Prentice, Biometrika 75 (1988) 65–74; Therneau and
// Grambsch (2000), chapter 4, also for ties.
func (m *Model) Martingale() ([]float64, error) {
	if m.Ties == Exact {
		return nil, fmt.Errorf("martingale residuals: %w", ErrNotExact)
	}
	s := m.design
	h := s.hazards(m.climb.end.beta, m.Ties)
	residuals := make([]float64, len(m.data.Stop))
	for k, i := range s.row {
		rate, _ := h.whole(s, k, nil)
		residuals[i] = -h.risk[k] / s.weight[k] * rate
		if s.ended(k) {
			residuals[i]++
		}
	}
	return residuals, nil
}

// ScoreResiduals returns for each row of the data its part of the score, the
// derivative of the log-likelihood, for each covariate:
//
//	Uᵢ = ∫ (xᵢ − x̄(t)) dMᵢ(t)
//
// x̄(t) is the mean of those at risk weighted with their hazards. Uᵢ is in units
// of the covariates, for one unit of weight; NaN for coefficients without a
// value, 0 for rows passed over. ErrNotExact for ties treated exactly.
//
// Source: Therneau, Grambsch and Fleming, Biometrika 77 (1990) 147–160.
func (m *Model) ScoreResiduals() ([][]float64, error) {
	if m.Ties == Exact {
		return nil, fmt.Errorf("score residuals: %w", ErrNotExact)
	}
	s := m.design
	score := s.scoreResiduals(m.climb.end.beta, m.Ties)
	return m.byRow(func(k int, into []float64) {
		for a, j := range m.free {
			into[a] = score[k*s.q+j] * s.scale[j]
		}
	}), nil
}

// DFBeta returns for each row of the data about how much each coefficient would
// fall if the row were left out: the covariance times the weighted score
// residual. NaN for coefficients without a value, 0 for rows passed over.
// ErrNotExact for ties treated exactly.
//
// Source: Cain and Lange, Biometrics 40 (1984) 493–499.
func (m *Model) DFBeta() ([][]float64, error) {
	if m.Ties == Exact {
		return nil, fmt.Errorf("dfbeta: %w", ErrNotExact)
	}
	v, err := m.inverse()
	if err != nil {
		return nil, fmt.Errorf("dfbeta: %w", err)
	}
	changes := m.changes(v)
	f := len(m.free)
	return m.byRow(func(k int, into []float64) {
		for a, j := range m.free {
			into[a] = changes[k*f+a] / m.design.scale[j]
		}
	}), nil
}

// changes are DFBeta in units of the design, rows in its order, free columns.
func (m *Model) changes(v *mat.SymDense) []float64 {
	s, f := m.design, len(m.free)
	score := s.scoreResiduals(m.climb.end.beta, m.Ties)
	changes := make([]float64, len(s.row)*f)
	for k := range s.row {
		for a := range f {
			for b, j := range m.free {
				changes[k*f+a] += v.At(a, b) * score[k*s.q+j] * s.weight[k]
			}
		}
	}
	return changes
}

// byRow lets fill write the free columns of each row of the design and returns
// them for all covariates and all rows of the data.
func (m *Model) byRow(fill func(k int, into []float64)) [][]float64 {
	rows := make([][]float64, len(m.data.Stop))
	into := make([]float64, len(m.free))
	for i := range rows {
		rows[i] = m.full(into) // 0 and NaN
	}
	for k, i := range m.design.row {
		fill(k, into)
		rows[i] = m.full(into)
	}
	return rows
}

// scoreResiduals returns rows × q score residuals in the design's order and
// units.
func (s *design) scoreResiduals(beta []float64, ties Ties) []float64 {
	h := s.hazards(beta, ties)
	residuals := make([]float64, len(s.row)*s.q)
	mean := make([]float64, s.q)
	for k := range s.row {
		rate, _ := h.whole(s, k, mean)
		z, into := s.zOf(k), residuals[k*s.q:(k+1)*s.q]
		risk := h.risk[k] / s.weight[k]
		for j := range into {
			into[j] = -risk * (z[j]*rate - mean[j])
		}
		if s.ended(k) {
			average := h.average[int(s.entered[k])*s.q:]
			for j := range into {
				into[j] += z[j] - average[j]
			}
		}
	}
	return residuals
}

// SchoenfeldResidual is one ended life's covariates less their mean, weighted
// with the hazards, among those at risk.
type SchoenfeldResidual struct {
	Row     int // in the data
	Stratum int
	Time    float64
	Raw     []float64 // in units of the covariates
	// Scaled is β̂ + D V Raw, D ends in all and V the covariance: about where the
	// coefficient was at that time, were it to change.
	Scaled []float64
}

// Schoenfeld returns the residuals of all lives that ended, stratum by stratum
// and from the last end to the first; NaN for coefficients without a value.
// Weights count in means, not by repetition. ErrNotExact for ties treated
// exactly.
//
// Source: Schoenfeld, Biometrika 69 (1982) 239–241; Grambsch and Therneau,
// Biometrika 81 (1994) 515–526, for the scaled ones.
func (m *Model) Schoenfeld() ([]SchoenfeldResidual, error) {
	if m.Ties == Exact {
		return nil, fmt.Errorf("schoenfeld residuals: %w", ErrNotExact)
	}
	s := m.design
	h := s.hazards(m.climb.end.beta, m.Ties)
	residuals := make([]SchoenfeldResidual, 0, m.Events)
	raw := make([]float64, len(m.free))
	for i, at := range s.moments {
		for k := at.from; k < at.from+at.deaths; k++ {
			for a, j := range m.free {
				raw[a] = (s.z[k*s.q+j] - h.average[i*s.q+j]) * s.scale[j]
			}
			r := SchoenfeldResidual{Row: s.row[k], Stratum: s.strata[at.stratum].label, Time: at.time, Raw: m.full(raw)}
			r.Scaled = m.scaled(r.Raw)
			residuals = append(residuals, r)
		}
	}
	return residuals, nil
}

func (m *Model) scaled(raw []float64) []float64 {
	scaled := make([]float64, len(raw))
	for j, c := range m.Coefficients {
		scaled[j] = math.NaN()
		if c.State != Estimated {
			continue
		}
		scaled[j] = c.Value
		for _, b := range m.free {
			k := m.design.columns[b]
			scaled[j] += float64(m.Events) * m.Covariance[j][k] * raw[k]
		}
	}
	return scaled
}
