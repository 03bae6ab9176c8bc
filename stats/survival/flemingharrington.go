package survival

import (
	"fmt"
	"math"
)

// Ties says how ends at one time share in the hazard. Below, d lives end at the
// time out of the n at risk.
type Ties int

const (
	// TiesTogether lets them end at one blow: the hazard is d/n, its variance
	// d/n². This is the Nelson–Aalen estimate as usually printed.
	TiesTogether Ties = iota
	// TiesInTurn lets them end one after the other, as if their order had only
	// been lost in rounding: 1/n + 1/(n − 1) + … + 1/(n − d + 1), its variance
	// the sum of the squares. It comes closer to the Kaplan–Meier estimate.
	// Ends of different weights each count with their mean weight.
	TiesInTurn
)

// FlemingHarrington estimates S(t) = P(life > t) from spans that are exact or
// right-censored by way of the cumulative hazard:
//
//	Ĥ(t) = ∑ dᵢ/nᵢ  over times tᵢ ≤ t,  Ŝ(t) = exp(−Ĥ(t))
//
// dᵢ and nᵢ, entries, weights, ties of times and limits are as in KaplanMeier;
// TiesInTurn refines dᵢ/nᵢ. The standard error is
//
//	SE = Ŝ √(∑ dᵢ/nᵢ²)
//
// Ĥ, the Nelson–Aalen estimate, and its error are each Step's Hazard. Ŝ lies
// above the Kaplan–Meier estimate, hardly so where many are at risk, and never
// reaches 0: it also outlives a risk set that died out under delayed entry.
//
// Errors are those of KaplanMeier.
//
// Source: Nelson, J. Qual. Technol. 1 (1969) 27–52; Aalen, Ann. Stat. 6 (1978)
// 701–726; Fleming and Harrington, Commun. Stat. Theory Methods 13 (1984)
// 2469–2486, also for the ties (from memory).
func FlemingHarrington(spans []Span, level float64, ties Ties) (*Curve, error) {
	c, of, err := counted(spans, level)
	if err != nil {
		return nil, fmt.Errorf("fleming-harrington: %w", err)
	}
	hazard, variance := 0.0, 0.0
	for i := range c.Steps {
		s := &c.Steps[i]
		if s.Events > 0 {
			blows := 1
			if ties == TiesInTurn && of == nil {
				blows = int(s.Events)
			} else if ties == TiesInTurn {
				blows = of[i].ended
			}
			h, v := s.blows(blows)
			hazard += h
			variance += v
		}
		s.Survival = math.Exp(-hazard)
		s.SE = s.Survival * math.Sqrt(variance)
	}
	c.limit(c.Steps)
	return c, nil
}

// blows returns the hazard at the step and its variance where its ends come in
// a number of equal blows.
func (s *Step) blows(number int) (hazard, variance float64) {
	each := s.Events / float64(number)
	for k := range number {
		left := s.AtRisk - float64(k)*each
		hazard += each / left
		variance += each / (left * left)
	}
	return hazard, variance
}
