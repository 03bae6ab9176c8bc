package calc

import (
	"errors"
	"math"

	"beadspan/stats/decay"
)

// optimum is what a curve's search ended at: lists with an element for each
// parameter.
type optimum struct {
	Names      []string      `json:"names"`
	Parameters Numbers       `json:"parameters"`
	SD         Numbers       `json:"sd"`
	States     []decay.State `json:"state"`
	Limits     limits        `json:"ci"`
	Profile    *limits       `json:"profile"`
	RSS        Number        `json:"rss"`
	ResidualSD Number        `json:"residual_sd"`
	DF         int           `json:"df"`
	Variance   []Numbers     `json:"vcov"`
}

func newOptimum(s *decay.Solution, level float64) (optimum, error) {
	found := optimum{RSS: Number(s.RSS), ResidualSD: Number(s.ResidualSD), DF: s.DF, Variance: unknownMatrix(len(s.Parameters))}
	for i, p := range s.Parameters {
		lower, upper, err := p.Limits(level)
		if errors.Is(err, decay.ErrNotEstimable) {
			lower, upper = math.NaN(), math.NaN()
		} else if err != nil {
			return optimum{}, err
		}
		found.Names = append(found.Names, p.Name)
		found.States = append(found.States, p.State)
		found.Limits.Lower, found.Limits.Upper = append(found.Limits.Lower, Number(lower)), append(found.Limits.Upper, Number(upper))
		if s.Covariance != nil {
			for j := range s.Parameters {
				found.Variance[i][j] = Number(s.Covariance.At(i, j))
			}
		}
	}
	found.Parameters = numbers(s.Parameters, func(p decay.Parameter) float64 { return p.Value })
	found.SD = numbers(s.Parameters, func(p decay.Parameter) float64 { return p.SE })
	return found, nil
}

// unknownOptimum is one that the readings do not tell.
func unknownOptimum(names []string) optimum {
	n, nan := len(names), Number(math.NaN())
	found := optimum{Names: names, Parameters: unknown(n), SD: unknown(n), States: make([]decay.State, n),
		Limits: limits{unknown(n), unknown(n)}, RSS: nan, ResidualSD: nan, Variance: unknownMatrix(n)}
	for j := range found.States {
		found.States[j] = decay.Undetermined
	}
	return found
}
