package decay

import "math"

// nearEnough is how many times as large as that of the scan's steadiest curve
// the scale of a fit may be without another being looked for. The scan takes
// the curve of the smallest scale, a fit does not, and one in the wrong valley
// has a scale many times as large.
const nearEnough = 1.5

// steadiest returns the best falling curve under a loss other than squares, or
// nil: of what follows from a search by squares, if that found one, and of what
// follows from the curve of the scan that half of the readings are closest to,
// the one with the smaller scale. Odd readings can lead squares into a valley
// that the loss does not lead out of.
func (f *fitting) steadiest(a *attempt) (*attempt, error) {
	if a != nil {
		for j, p := range a.solution.Parameters {
			a.start[j] = p.Value
		}
		a.settings.Loss = f.loss
		if err := f.run(a); err != nil {
			return nil, err
		}
	}
	if f.shape == LinearShape || f.seen(f.steady) < littleFall {
		return a, nil
	}
	if a != nil && f.falls(a.solution) && a.solution.ResidualSD <= nearEnough*f.steadyScale {
		return a, nil
	}
	form := f.shape.form(f.last())
	settings := f.bounds
	settings.Loss, settings.straight = f.loss, true
	b, err := f.attempt(form.model, form.parameters(f.steady), settings)
	if err != nil {
		return nil, err
	}
	parameters := b.solution.Parameters
	end := candidate{floor: parameters[floorAt].Value, start: parameters[form.start].Value, pace: form.pace(parameters)}
	switch {
	case f.seen(end) < littleFall:
		return a, nil
	case a == nil, !f.falls(a.solution), b.settled && b.solution.ResidualSD < a.solution.ResidualSD:
		return b, nil
	}
	return a, nil
}

// judge keeps a candidate whose course is in s.course if its residuals have the
// smallest median yet.
func (s *scan) judge(c candidate) {
	for i, share := range s.course {
		p := &s.ends.points[i]
		s.residuals[i] = math.Sqrt(p.Weight) * (p.Value - c.floor - (c.start-c.floor)*share)
	}
	if scale := medianScale(s.residuals); scale < s.scale {
		s.steady, s.scale = c, scale
	}
}
