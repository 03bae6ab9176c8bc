package reports

import (
	"math"

	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// LetterOutlook is when the next of a vehicle's holding panels with one coating
// may be spent.
type LetterOutlook struct {
	Panel string
	On    study.Day // the letter's
	// Early, Likely and Late are the days by which the chance that it is spent
	// has grown to 1, 5 and 9 in 10; nil where that is not by Followed. The letter's
	// day or an earlier one means that it has by now.
	Early, Likely, Late *study.Day
	// Followed is the last day that anything is said of: beyond it no such panel
	// was followed. HoldsThen is the chance that this one still holds then.
	Followed  study.Day
	HoldsThen float64
	// ByReadings says that it rests on this panel's own angles and others'; else
	// on how long others lasted.
	ByReadings bool
	OwnCount   int // clean readings of its own
}

// letterStepDays is how finely days ahead are tried: letters name months.
const letterStepDays = 15

// lookOut tells of the panel that may be spent first. It returns nil where none
// holds, where each that holds has been topped, which hides the coating, or
// where too little is known.
func (l *Letters) lookOut(coat []study.Followed, fall *letterFall, curve *Curve) (*LetterOutlook, error) {
	var first *LetterOutlook
	for _, f := range coat {
		if f.Span.Standing != study.Holding || f.Span.Ended != "" || !f.Span.Known {
			continue
		}
		outlook, err := l.outlookOf(f, fall, curve)
		if err != nil {
			return nil, err
		}
		if outlook != nil && (first == nil || outlook.before(first)) {
			first = outlook
		}
	}
	return first, nil
}

// before reports whether one outlook is the more pressing.
func (o *LetterOutlook) before(other *LetterOutlook) bool {
	switch {
	case o.Likely != nil && other.Likely != nil:
		return *o.Likely < *other.Likely
	case o.Likely == nil && other.Likely == nil:
		return o.HoldsThen < other.HoldsThen
	}
	return o.Likely != nil
}

func (l *Letters) outlookOf(f study.Followed, fall *letterFall, curve *Curve) (*LetterOutlook, error) {
	if fall.drawn != nil && fall.decay.ThresholdDeg != nil {
		outlook, err := l.outlookByReadings(f, fall)
		if outlook != nil || err != nil {
			return outlook, err
		}
	}
	if curve == nil {
		return nil, nil
	}
	return outlookByLives(f, curve, l.options.On), nil
}

// outlookByReadings goes by the panel's own angles and those of all others. It
// returns nil where they tell nothing, or nothing of the time to come.
func (l *Letters) outlookByReadings(f study.Followed, fall *letterFall) (*LetterOutlook, error) {
	begin := f.Patch.InService()
	var times []float64
	for day := math.Max(f.Span.LowerDays, float64(l.options.On-begin)); day <= fall.decay.Population.last; day += letterStepDays {
		times = append(times, day)
	}
	if len(times) == 0 {
		return nil, nil
	}
	ask := mixed.OutlookOptions{
		Times: times, Threshold: *fall.decay.ThresholdDeg, Level: l.options.Level, Curves: letterCurves, Seed: l.options.Seed,
	}
	told, err := fall.outlook(f, ask)
	if err != nil || len(told.Points) == 0 {
		return nil, err
	}
	outlook := newLetterOutlook(f, l.options.On, begin+study.Day(times[len(times)-1]))
	outlook.ByReadings, outlook.OwnCount = true, told.Own
	for _, at := range told.Points {
		outlook.reach(begin+study.Day(at.Time), at.Below)
	}
	return outlook, nil
}

// outlookByLives goes by how long others lasted, given that the panel held at
// its last proof. It returns nil where none was followed longer.
func outlookByLives(f study.Followed, curve *Curve, on study.Day) *LetterOutlook {
	begin := f.Patch.InService()
	held := f.Span.LowerDays / study.DaysPerMonth
	then := 0.0 // the share that held at the panel's last proof
	var outlook *LetterOutlook
	for _, p := range curve.Points {
		switch {
		case p.Months <= held || then == 0:
			then = p.Share
		default:
			day := begin + study.Day(math.Round(p.Months*study.DaysPerMonth))
			if outlook == nil {
				outlook = newLetterOutlook(f, on, day)
			}
			outlook.Followed = day
			outlook.reach(day, 1-p.Share/then)
		}
	}
	return outlook
}

func newLetterOutlook(f study.Followed, on, followed study.Day) *LetterOutlook {
	return &LetterOutlook{Panel: panelName(f.Patch), On: on, Followed: followed}
}

// reach notes the chance of being spent by a day; days come in order.
func (o *LetterOutlook) reach(day study.Day, spent float64) {
	for _, mark := range []struct {
		chance float64
		into   **study.Day
	}{{0.1, &o.Early}, {0.5, &o.Likely}, {0.9, &o.Late}} {
		if *mark.into == nil && spent >= mark.chance {
			*mark.into = &day
		}
	}
	o.HoldsThen = 1 - spent
}
