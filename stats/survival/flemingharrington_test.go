package survival_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/stats/internal/check"
	. "beadspan/stats/survival"
)

// The hazard of ties together is compared in TestReference. By hand: three of
// five end at 2, one is censored there, the last ends at 4.
func TestFlemingHarringtonByHand(t *testing.T) {
	spans := []Span{Exact(2), Exact(2), Exact(2), RightCensored(2), Exact(4)}
	tol := check.Tolerance{Rel: 1e-14}
	for _, c := range []struct {
		ties                        Ties
		hazard, variance, last, all float64
	}{
		{TiesTogether, 3.0 / 5, 3.0 / 25, 3.0/5 + 1, 3.0/25 + 1},
		{TiesInTurn, 1.0/5 + 1.0/4 + 1.0/3, 1.0/25 + 1.0/16 + 1.0/9, 1.0/5 + 1.0/4 + 1.0/3 + 1, 1.0/25 + 1.0/16 + 1.0/9 + 1},
	} {
		curve, err := FlemingHarrington(spans, 0.95, c.ties)
		require.NoError(t, err)
		require.Len(t, curve.Steps, 2)
		h, se := curve.Steps[0].Hazard()
		check.Value(t, "H(2)", h, c.hazard, tol)
		check.Value(t, "SE", se, math.Sqrt(c.variance), tol)
		h, se = curve.Steps[1].Hazard()
		check.Value(t, "H(4)", h, c.last, tol)
		check.Value(t, "SE", se, math.Sqrt(c.all), tol)
		check.Value(t, "S(4)", curve.Steps[1].Survival, math.Exp(-c.last), tol)
	}
	_, err := FlemingHarrington(nil, 0.95, TiesTogether)
	assert.ErrorIs(t, err, ErrNoSpans)
	assert.ErrorContains(t, err, "fleming-harrington")
	_, err = FlemingHarrington(spans, 95, TiesTogether)
	assert.ErrorIs(t, err, ErrLevel)
}

// Ties in turn are what the ends would add up to had they been told apart, a
// thousandth of a day one after the other.
func TestTiesInTurnAreTiesToldApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 25, true, false)
		seen := map[float64]int{}
		apart := make([]Span, len(spans))
		for i, s := range spans {
			if s.Entry > 0 { // comes after the ends of its day
				s.Entry += 0.1
			}
			apart[i] = s
			if s.Lower == s.Upper {
				apart[i] = Exact(s.Lower + float64(seen[s.Lower])/1000).EnteredAt(s.Entry)
				seen[s.Lower]++
			} else { // outlives them
				apart[i].Lower += 0.1
			}
		}
		inTurn, err := FlemingHarrington(spans, 0.95, TiesInTurn)
		require.NoError(t, err)
		plain, err := FlemingHarrington(apart, 0.95, TiesTogether)
		require.NoError(t, err)
		for _, s := range inTurn.Steps {
			at := plain.At(s.Time + 0.1)
			if math.IsNaN(at.Survival) { // the last ended and nobody is left
				at = plain.Steps[len(plain.Steps)-1]
			}
			require.InDelta(t, at.Survival, s.Survival, 1e-12)
			require.InDelta(t, at.SE, s.SE, 1e-12)
		}
	})
}

// Ŝ by Nelson and Aalen is never below Kaplan and Meier's, since exp(−x) > 1 − x;
// in turn lies between.
func TestFlemingHarringtonLiesAbove(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spans := drawn(t, 30, true, false)
		km, err := KaplanMeier(spans, 0.95)
		require.NoError(t, err)
		together, err := FlemingHarrington(spans, 0.95, TiesTogether)
		require.NoError(t, err)
		inTurn, err := FlemingHarrington(spans, 0.95, TiesInTurn)
		require.NoError(t, err)
		for i, s := range km.Steps {
			require.GreaterOrEqual(t, inTurn.Steps[i].Survival, s.Survival-1e-12)
			require.GreaterOrEqual(t, together.Steps[i].Survival, inTurn.Steps[i].Survival-1e-12)
		}
	})
}
