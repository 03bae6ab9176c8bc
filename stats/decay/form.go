package decay

import "math"

// form is what Fit must know, beside its model, of a shape that falls from a
// start to a floor.
type form struct {
	model              Model
	start, scale, bend int     // places of these parameters; bend is −1 if there is none
	lowBend, highBend  float64 // its bounds

	// perDecade is how fine a grid of scales must be for no valley of the sum
	// of squares to hide between two steps of it.
	perDecade float64

	// squares says that at half the scale what is left is squared.
	squares bool

	// left is the share of the fall still to come at a time, when the time at
	// which that share is left, and speed how fast it goes then.
	left        func(p pace, t float64) float64
	when, speed func(p pace, left float64) float64
}

// The scale of time is looked for between these multiples of the last
// reading's time. Beyond the upper, the angle falls by less than 0.2° while it
// is watched.
const (
	shortestScale = 1e-4
	longestScale  = 1e3
	littleFall    = 0.2
)

// latestMid bounds the middle of a logistic fall, in the same multiples.
const latestMid = 10

// form returns the form of a shape other than the line, for readings up to a
// last time.
func (s Shape) form(last float64) form {
	switch s {
	case StretchedShape:
		return stretchedForm()
	case LogisticShape:
		return logisticForm(last)
	}
	return exponentialForm()
}

func exponentialForm() form {
	return form{
		model: Exponential(), start: startAt, scale: tauAt, bend: -1, perDecade: 8, squares: true,
		left:  func(p pace, t float64) float64 { return math.Exp(-t / p.scale) },
		when:  func(p pace, left float64) float64 { return -p.scale * math.Log(left) },
		speed: func(p pace, left float64) float64 { return left / p.scale },
	}
}

func stretchedForm() form {
	return form{
		model: Stretched(), start: startAt, scale: tauAt, bend: powerAt, lowBend: 0.1, highBend: 10, perDecade: 4,
		left: func(p pace, t float64) float64 { return math.Exp(-math.Pow(t/p.scale, p.bend)) },
		when: func(p pace, left float64) float64 { return p.scale * math.Pow(-math.Log(left), 1/p.bend) },
		speed: func(p pace, left float64) float64 {
			u := -math.Log(left)
			return left * p.bend * math.Pow(u, 1-1/p.bend) / p.scale
		},
	}
}

func logisticForm(last float64) form {
	return form{
		model: Logistic(), start: topAt, scale: widthAt, bend: midAt, highBend: latestMid * last, perDecade: 4,
		left:  func(p pace, t float64) float64 { return 1 / (1 + math.Exp((t-p.bend)/p.scale)) },
		when:  func(p pace, left float64) float64 { return p.bend + p.scale*math.Log((1-left)/left) },
		speed: func(p pace, left float64) float64 { return left * (1 - left) / p.scale },
	}
}

// bends lists where to begin looking for the bend of a fall over some times.
func (f form) bends(times []float64) []float64 {
	switch f.bend {
	case powerAt:
		return []float64{0.2, 0.35, 0.6, 1, 1.6, 2.5, 4, 6.5}
	case midAt:
		// Into some gaps between readings: a steep fall may hide in any.
		last := times[len(times)-1]
		mids := []float64{0, 1.3 * last, 2 * last, 4 * last}
		for i := 1; i < len(times); i += 1 + len(times)/20 {
			mids = append(mids, (times[i-1]+times[i])/2)
		}
		return mids
	}
	return []float64{0}
}

// bounds returns those of all parameters.
func (f form) bounds(floor *float64, last float64) (lower, upper []float64) {
	lower, upper = make([]float64, len(f.model.Parameters)), make([]float64, len(f.model.Parameters))
	upper[floorAt], upper[f.start] = maxAngle, maxAngle
	lower[f.scale], upper[f.scale] = last*shortestScale, last*longestScale
	if f.bend >= 0 {
		lower[f.bend], upper[f.bend] = f.lowBend, f.highBend
	}
	if floor != nil {
		lower[floorAt], upper[floorAt] = *floor, *floor
		lower[f.start] = *floor
	}
	return lower, upper
}

// parameters returns those of a candidate.
func (f form) parameters(c candidate) []float64 {
	β := make([]float64, len(f.model.Parameters))
	β[floorAt], β[f.start], β[f.scale] = c.floor, c.start, c.pace.scale
	if f.bend >= 0 {
		β[f.bend] = c.pace.bend
	}
	return β
}

// pace returns that of a solution.
func (f form) pace(parameters []Parameter) pace {
	p := pace{scale: parameters[f.scale].Value}
	if f.bend >= 0 {
		p.bend = parameters[f.bend].Value
	}
	return p
}
