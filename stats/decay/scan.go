package decay

import "math"

// pace is what the course of a fall depends on: a scale of time, τ or a
// logistic's width, and for some shapes a bend, the power or the middle.
type pace struct{ scale, bend float64 }

// scan looks through the paces of a shape for the best curve.
type scan struct {
	ends      *ends
	left      func(pace pace, t float64) float64 // the share of the fall still to come
	low, high float64                            // of the scale
	perDecade float64                            // steps of the scale
	squares   bool                               // see form
	course    []float64

	// steady is the candidate to which half of the points are closest. It is
	// looked for only if the scan is judged.
	judged    bool
	steady    candidate
	scale     float64 // of the residuals of steady
	residuals []float64
}

func newScan(e *ends, f form, low, high float64, judged bool) *scan {
	s := &scan{
		ends: e, left: f.left, low: low, high: high, perDecade: f.perDecade, squares: f.squares,
		course: make([]float64, len(e.points)), judged: judged, scale: math.Inf(1),
	}
	if judged {
		s.residuals = make([]float64, len(e.points))
	}
	return s
}

// valley is what a scan along the scale found for one bend.
type valley struct {
	best             candidate
	fastest, slowest candidate // the ends of the grid
}

// lowest returns the best curve of a bend.
func (s *scan) lowest(bend float64) valley {
	grid := s.along(bend)
	return valley{best: s.refine(grid), fastest: grid[0], slowest: grid[len(grid)-1]}
}

// sudden reports whether a pace leaves nothing between before and after the
// fall at any point.
func (s *scan) sudden(pace pace) bool {
	for _, p := range s.ends.points {
		if left := s.left(pace, p.Time); left > 1e-9 && left < 1-1e-9 {
			return false
		}
	}
	return true
}

// along returns the best curves over a grid of scales, for one bend.
func (s *scan) along(bend float64) []candidate {
	if s.squares && !s.judged && s.high > s.low {
		return s.halving(bend)
	}
	stretch := math.Log(s.high / s.low)
	steps := int(math.Ceil(s.perDecade * stretch / math.Ln10))
	grid := make([]candidate, steps+1)
	for i := range grid {
		grid[i] = s.at(min(s.low*math.Exp(float64(i)/float64(steps)*stretch), s.high), bend)
	}
	return grid
}

// halving does what along does with few exponentials: from one scale to its half,
// the course is squared.
func (s *scan) halving(bend float64) []candidate {
	perOctave := math.Ceil(s.perDecade * math.Log10(2))
	steps := int(math.Ceil(perOctave * math.Log2(s.high/s.low)))
	grid := make([]candidate, steps+1)
	grid[0] = s.at(s.low, bend)
	for first := range min(steps, int(perOctave)) { // of the slowest octave
		grid[steps-first] = s.at(s.high*math.Exp2(-float64(first)/perOctave), bend)
		for i := first + int(perOctave); i < steps; i += int(perOctave) {
			for j, left := range s.course {
				s.course[j] = left * left
			}
			scale := max(s.low, s.high*math.Exp2(-float64(i)/perOctave))
			grid[steps-i] = s.of(pace{scale, bend})
		}
	}
	return grid
}

// at returns the best curve of a pace.
func (s *scan) at(scale, bend float64) candidate {
	pace := pace{scale, bend}
	for i, p := range s.ends.points {
		s.course[i] = s.left(pace, p.Time)
	}
	return s.of(pace)
}

// of returns the best curve of the pace whose course is in s.course.
func (s *scan) of(pace pace) candidate {
	c := s.ends.best(s.course, pace)
	if s.judged {
		s.judge(c)
	}
	return c
}

// alike is the difference of two sums of squares that counts for nothing.
func (s *scan) alike() float64 { return 1e-9 * s.ends.total }

// refine returns the best curve there is around a grid, with each valley of
// the sum narrowed down: two may be almost equally deep. Where the sum is flat
// there is nothing to look for.
func (s *scan) refine(grid []candidate) candidate {
	best := grid[0]
	for i, here := range grid {
		left, right := grid[max(i-1, 0)], grid[min(i+1, len(grid)-1)]
		if here.rss > left.rss || here.rss > right.rss {
			continue
		}
		if max(left.rss, right.rss)-here.rss > s.alike() {
			here = s.narrow(left, here, right)
		}
		if here.rss < best.rss {
			best = here
		}
	}
	return best
}

// narrow returns the bottom of the valley between left and right by golden
// section on the logarithm of the scale, to a thousandth. Within the bounds,
// which the search that follows knows only one by one, this leaves it no way
// to go astray.
func (s *scan) narrow(left, best, right candidate) candidate {
	const golden = 0.6180339887498949
	low, high := math.Log(left.pace.scale), math.Log(right.pace.scale)
	at := func(log float64) candidate {
		c := s.at(math.Exp(log), best.pace.bend)
		if c.rss < best.rss {
			best = c
		}
		return c
	}
	x, y := high-golden*(high-low), low+golden*(high-low)
	a, b := at(x), at(y)
	for high-low > 1e-3 {
		if a.rss <= b.rss {
			high, y, b = y, x, a
			x = high - golden*(high-low)
			a = at(x)
		} else {
			low, x, a = x, y, b
			y = low + golden*(high-low)
			b = at(y)
		}
	}
	return best
}
