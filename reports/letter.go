package reports

import (
	"errors"
	"slices"

	"beadspan/study"
)

// ErrNoLetter is returned for a vehicle of which there is nothing to tell.
var ErrNoLetter = errors.New("the vehicle has no coated panel")

// Letter is what one customer is told of their vehicle: facts, not yet words.
// WritePDF and WriteHTML say them in a language.
type Letter struct {
	Study   string // code
	Vehicle string // code
	On      study.Day
	Version string
	Class   string // climate; empty where nobody said
	Garage  study.Garage
	// ThresholdDeg is below which contact angle a panel counts as spent; nil when
	// the study judges by another metric.
	ThresholdDeg *float64
	// Level is the confidence level of all limits.
	Level float64

	Panels []LetterPanel // those that need a decision first
	Coats  []LetterCoat  // those that may hold first, then the one with most panels

	// MaskedVisits is how often a panel failed before a decontamination wash and
	// passed after it, MaskedPanels the codes of those that did.
	MaskedVisits int
	MaskedPanels []string
	// Reviewed is how many panels have readings that contradict each other.
	Reviewed int
	// Toppers are the days on which something was laid on top.
	Toppers []study.Day

	// Due is what is to be done, the first first, within LetterAhead days.
	Due []study.Due
	// NextCheckup is the day that the plan asks for one; nil where it doesn't.
	NextCheckup *study.Day
	// SaltedRoads says that roads are salted where the vehicle lives.
	SaltedRoads bool
	// SoftGround says that a coating lies on film or wrap.
	SoftGround bool
	// NotLogged names what nobody wrote down of the coating job, by log column.
	NotLogged []string
	// Unwashed says that no panel was ever read after a decontamination wash.
	Unwashed bool

	ruler *ruler // of all letters
}

// LetterAhead is how many days a letter looks ahead for what falls due.
const LetterAhead = 200

// LetterPanel is one coated panel as it stands.
type LetterPanel struct {
	Code, Panel string
	Coating     string // its name, or its code where it has none
	Substrate   study.Substrate
	Layers      *int
	Applied     study.Day
	Standing    study.Standing
	Ended       study.CareKind // what ended it or lies on it; empty where nothing does
	// LastRead is the day of the last reading, and CleanDeg the mean contact angle
	// of the last after a decontamination wash, read on CleanOn; nil without one.
	LastRead, CleanOn *study.Day
	CleanDeg          *float64
}

func newLetter(v study.Vehicle, own []study.Followed, o LetterOptions) *Letter {
	l := &Letter{Study: o.Study.Code, Vehicle: v.Code, On: o.On, Version: o.Version, Class: own[0].Site.Koppen, Garage: v.Garage, Level: o.Level, Unwashed: true}
	if o.Study.Protocol.Metric == study.Angle {
		l.ThresholdDeg = &o.Study.Protocol.Threshold
	}
	for _, f := range own {
		l.take(f)
	}
	slices.SortStableFunc(l.Panels, func(a, b LetterPanel) int { return urgencyOf(a.Standing) - urgencyOf(b.Standing) })
	for _, c := range v.Care {
		if c.Kind == study.Topper && !slices.Contains(l.Toppers, c.Day) {
			l.Toppers = append(l.Toppers, c.Day)
		}
	}
	slices.Sort(l.Toppers)
	l.lookAhead(v, own, o)
	return l
}

// take adds one patch.
func (l *Letter) take(f study.Followed) {
	panel := LetterPanel{
		Code: f.Patch.Code, Panel: panelName(f.Patch), Coating: coatingName(f.Coating), Substrate: f.Patch.Substrate,
		Layers: f.Patch.Job.Layers, Applied: f.Patch.Applied, Standing: f.Span.Standing, Ended: f.Span.Ended,
	}
	for _, c := range f.Vehicle.Checkups { // in order of day
		for _, r := range c.Readings {
			if r.PatchID != f.Patch.ID {
				continue
			}
			panel.LastRead = new(c.Day)
			if mean, measured := r.MeanAngleDeg(); r.Stage == study.Decon {
				l.Unwashed = false
				if measured {
					panel.CleanOn, panel.CleanDeg = new(c.Day), &mean
				}
			}
		}
	}
	l.Panels = append(l.Panels, panel)
	if n := f.Span.Decided.Masked; n > 0 {
		l.MaskedVisits += n
		l.MaskedPanels = append(l.MaskedPanels, panel.Panel)
	}
	l.Reviewed += one(len(f.Span.Reviews) > 0)
	l.SoftGround = l.SoftGround || f.Patch.Substrate == study.Film || f.Patch.Substrate == study.Wrap
	for column, missing := range map[string]bool{
		"layers": f.Patch.Job.Layers == nil, "keep_dry_h": f.Patch.Job.KeepDryH == nil,
		"air_temp_c": f.Patch.Job.AirTempC == nil, "humidity_pct": f.Patch.Job.HumidityPct == nil,
	} {
		if missing && !slices.Contains(l.NotLogged, column) {
			l.NotLogged = append(l.NotLogged, column)
		}
	}
	slices.Sort(l.NotLogged)
}

// urgencyOf puts first what asks for a decision.
func urgencyOf(s study.Standing) int {
	return slices.Index([]study.Standing{study.Doubtful, study.Spent, study.Holding, study.Unread, study.Ended}, s)
}

// panelName is what a patch's panel is called.
func panelName(p *study.Patch) string {
	if p.Panel == "" {
		return p.Code
	}
	return p.Panel
}

func coatingName(c study.Coating) string {
	if c.Name == "" {
		return OrUnknown(c.Code)
	}
	return c.Name
}

// lookAhead finds what falls due.
func (l *Letter) lookAhead(v study.Vehicle, own []study.Followed, o LetterOptions) {
	site := own[0].Site
	for _, salted := range o.Salt(site) {
		l.SaltedRoads = l.SaltedRoads || salted
	}
	alone := study.Fleet{Sites: []study.Site{site}, Vehicles: []study.Vehicle{v}}
	for _, f := range own {
		alone.Coatings = append(alone.Coatings, f.Coating)
	}
	for _, due := range alone.DueIn(o.Study, o.Salt, study.Horizon{On: o.On, Ahead: LetterAhead}) {
		l.Due, l.NextCheckup = slices.Clone(due.Due), due.NextCheckup
	}
	slices.SortStableFunc(l.Due, func(a, b study.Due) int { return int(max(a.Since, o.On) - max(b.Since, o.On)) })
}
