package calc

import (
	"errors"
	"math"

	"beadspan/stats/decay"
)

// profileParameters adds the limits of parameters that follow the bend of the
// sum of squares. What cannot be estimated has none, and a note says why.
func (c *DecayCurve) profileParameters(s *decay.Solution, level float64) error {
	c.Optimum.Profile = &limits{}
	for _, p := range s.Parameters {
		lower, upper := math.NaN(), math.NaN()
		if p.State != decay.Fixed {
			var err error
			lower, upper, err = s.ProfileLimits(p.Name, level)
			if err := c.unlessOpen(err); err != nil {
				return err
			}
		}
		c.Optimum.Profile.Lower = append(c.Optimum.Profile.Lower, Number(lower))
		c.Optimum.Profile.Upper = append(c.Optimum.Profile.Upper, Number(upper))
	}
	return nil
}

// profileCrossing does the same for the time of a crossing; nil if there is
// none.
func (c *DecayCurve) profileCrossing(curve *decay.Curve, x decay.Crossing, level float64) (*limitsPair, error) {
	if x.Outcome != decay.Crosses {
		return nil, nil
	}
	profiled, err := curve.ProfileTimeTo(x.Threshold, level)
	if errors.Is(err, decay.ErrNotEstimable) {
		profiled.Lower, profiled.Upper = math.NaN(), math.NaN()
	}
	if err := c.unlessOpen(err); err != nil {
		return nil, err
	}
	return &limitsPair{Number(profiled.Lower), Number(profiled.Upper)}, nil
}

// unlessOpen turns what the readings do not tell into a note.
func (c *DecayCurve) unlessOpen(err error) error {
	if errors.Is(err, decay.ErrNotEstimable) {
		c.Notes = append(c.Notes, err.Error())
		return nil
	}
	return err
}
