package mixed

import (
	"errors"
	"fmt"
	"math"
)

// Seen is what an estimate from the ends of lives that were seen, such as
// Turnbull's, says of the share S that is longer than Time.
type Seen struct {
	Time float64

	// Least and Most are the bounds between which that estimate leaves S, the
	// same where it leaves nothing open.
	Least, Most float64

	// Lower and Upper are its confidence limits; NaN if there are none.
	Lower, Upper float64
}

// Agreement says how far an implied Life and an estimate from the ends seen of
// the same groups' lives are apart, from the first to the last of the times of
// the latter.
type Agreement struct {
	From, To float64

	// Gap is the largest vertical distance of the implied S from what the
	// other estimate allows, at time GapAt: above 0 where the implied S is the
	// higher one.
	Gap, GapAt float64

	// LeastLonger and MostLonger are bounds of how much longer the implied life
	// is between From and To, on average (∫S dt): as far apart as the other
	// estimate leaves it open.
	LeastLonger, MostLonger float64

	// Within is the share of the time from From to To in which the implied S
	// lies within the other's confidence limits, NaN without limits. Outside
	// lists where it does not.
	Within  float64
	Outside []Stretch
}

// Stretch is a stretch of time.
type Stretch struct{ From, To float64 }

// ErrNoOverlap means that a Life does not reach over the times at which lives
// were seen.
var ErrNoOverlap = errors.New("no common times")

// Agree compares the implied life with an estimate from ends seen, at the times
// of the latter; in between, both are taken to be straight. It measures how
// far apart two pictures of the same groups are and is not a test: both rest on
// the same groups, so that two right pictures are closer than their limits
// suggest, and a gap can come from either (the curve's shape is wrong, the
// readings and the sightings of ends have different errors, or lives ended
// that the curves know nothing of). The points should cover the time for which
// groups were followed, and no more, closely enough that S falls little between
// two of them.
//
// Fewer than two points, times that do not ascend, and bounds out of order are
// errors; times outside those of the life are ErrNoOverlap.
func (l *Life) Agree(seen []Seen) (Agreement, error) {
	if err := checkSeen(seen); err != nil {
		return Agreement{}, fmt.Errorf("agreement: %w", err)
	}
	a := Agreement{From: seen[0].Time, To: seen[len(seen)-1].Time}
	if a.From < l.Points[0].Time || a.To > l.Points[len(l.Points)-1].Time {
		return Agreement{}, fmt.Errorf("agreement from %g to %g: implied life from %g to %g: %w",
			a.From, a.To, l.Points[0].Time, l.Points[len(l.Points)-1].Time, ErrNoOverlap)
	}
	var before Seen
	var was float64
	for i, s := range seen {
		is := l.at(s.Time)
		if gap := distance(is, s.Least, s.Most); math.Abs(gap) > math.Abs(a.Gap) || i == 0 {
			a.Gap, a.GapAt = gap, s.Time
		}
		if i > 0 {
			width := s.Time - before.Time
			area := width * (was + is) / 2
			a.LeastLonger += area - width*(before.Most+s.Most)/2
			a.MostLonger += area - width*(before.Least+s.Least)/2
			a.step(before, s, distance(was, before.Lower, before.Upper), distance(is, s.Lower, s.Upper))
		}
		before, was = s, is
	}
	a.Within /= a.To - a.From
	return a, nil
}

func checkSeen(seen []Seen) error {
	if len(seen) < 2 {
		return fmt.Errorf("%d points are not enough", len(seen))
	}
	for i, s := range seen {
		switch {
		case !finite(s.Time) || i > 0 && s.Time <= seen[i-1].Time:
			return fmt.Errorf("times are not finite and ascending at point %d", i)
		case !(0 <= s.Least && s.Least <= s.Most && s.Most <= 1):
			return fmt.Errorf("bounds %g and %g at point %d are not shares in order", s.Least, s.Most, i)
		}
	}
	return nil
}

// at is the implied S between its points.
func (l *Life) at(time float64) float64 {
	for i, p := range l.Points {
		switch {
		case p.Time == time || i == 0 && p.Time > time:
			return p.Above
		case p.Time > time:
			before := l.Points[i-1]
			return before.Above + (p.Above-before.Above)*(time-before.Time)/(p.Time-before.Time)
		}
	}
	return l.Points[len(l.Points)-1].Above
}

// distance of x from the nearest of lower to upper; 0 in between, NaN for NaN.
func distance(x, lower, upper float64) float64 {
	switch {
	case math.IsNaN(lower + upper):
		return math.NaN()
	case x > upper:
		return x - upper
	case x < lower:
		return x - lower
	}
	return 0
}

// step counts the time between two points as within the limits by the ends that
// are: all, half or none of it.
func (a *Agreement) step(from, to Seen, offFrom, offTo float64) {
	width := to.Time - from.Time
	if math.IsNaN(offFrom + offTo) {
		a.Within = math.NaN()
		return
	}
	for _, off := range []float64{offFrom, offTo} {
		if off == 0 {
			a.Within += width / 2
		}
	}
	if offFrom == 0 && offTo == 0 {
		return
	}
	if n := len(a.Outside); n > 0 && a.Outside[n-1].To == from.Time {
		a.Outside[n-1].To = to.Time
		return
	}
	a.Outside = append(a.Outside, Stretch{from.Time, to.Time})
}
