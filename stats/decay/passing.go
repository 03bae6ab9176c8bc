package decay

import "math"

// passing is the model of the curves of the shape that pass a threshold c at a
// time T, with parameters "rate" or "below", how far below the threshold the
// floor is, and the pace:
//
//	m(t) = c + δ (q(t)/q(T) − 1)
//
// That δ is a parameter, and not the floor, keeps curves apart that come down
// to the threshold only just.
func (c *Curve) passing(time, threshold float64) Model {
	if c.Shape == LinearShape {
		return Model{
			Parameters: []string{"rate"},
			Eval: func(β []float64, t float64, gradient []float64) float64 {
				gradient[0] = time - t
				return threshold + β[0]*(time-t)
			},
		}
	}
	base, start := c.Shape.Model(), c.startAt()
	n := len(base.Parameters)
	// A fall from 1 to 0 is the share that is left.
	unit, here, there := make([]float64, n), make([]float64, n), make([]float64, n)
	unit[start] = 1
	return Model{
		Parameters: append([]string{"below"}, base.Parameters[start+1:]...),
		Eval: func(β []float64, t float64, gradient []float64) float64 {
			copy(unit[start+1:], β[1:])
			q, end := base.Eval(unit, t, here), base.Eval(unit, time, there)
			ratio := q / end
			gradient[0] = ratio - 1
			for j := 1; j < len(β); j++ {
				gradient[j] = β[0] * (here[start+j] - ratio*there[start+j]) / end
			}
			return threshold + β[0]*(ratio-1)
		},
	}
}

// passingValues are those of the fitted curve.
func (c *Curve) passingValues(threshold float64) []float64 {
	values := c.Solution.values()
	if c.Shape == LinearShape {
		return values[rateAt:]
	}
	return append([]float64{threshold - c.Floor.Value}, values[c.startAt()+1:]...)
}

// passingBounds are those that the curve was fitted within.
func (c *Curve) passingBounds(threshold float64) Settings {
	low, high := c.Solution.bounds()
	var settings Settings
	if c.Shape == LinearShape {
		settings.Lower, settings.Upper = low[rateAt:], high[rateAt:]
		return settings
	}
	at := c.startAt() + 1
	settings.Lower = append([]float64{threshold - min(high[floorAt], threshold)}, low[at:]...)
	settings.Upper = append([]float64{threshold - low[floorAt]}, high[at:]...)
	if c.Floor.State != Fixed {
		settings.Lower[0] = math.SmallestNonzeroFloat64
	}
	return settings
}
