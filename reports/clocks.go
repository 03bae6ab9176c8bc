package reports

import (
	"context"
	"fmt"

	"beadspan/stats/survival/aft"
	"beadspan/study"
	"beadspan/study/exposure"
)

// Clocks tells lives in other measures than months, and which measure makes the
// lives of different patches most alike: the clock that coatings age by, as far
// as the study can tell.
//
// The same spans are put on each clock by each patch's own load: still holding
// after so many washes, spent by so many. On each clock one accelerated failure
// time model is fitted, with the coating as its only covariate. All ends lie
// within intervals, so the likelihoods are those of the same events, and what
// makes them likelier fits better.
type Clocks struct {
	Level float64
	// Law is the distribution that fits best over all clocks.
	Law string
	// Vehicles, Patches and Spent are compared, the same on every clock. LeftOut
	// patches are of known life but not known on every clock, or of coatings with
	// too few spent.
	Vehicles, Patches, Spent, LeftOut int
	// Climates are the Köppen-Geiger classes compared within each clock.
	Climates []string
	// Rows has a row for each clock, the best first and those that aren't
	// compared last.
	Rows  []ClockRow
	Notes []string
}

// ClockRow is one clock.
type ClockRow struct {
	Clock exposure.Clock
	// Why says why the clock isn't compared; the rest is then empty.
	Why string

	LogLik float64
	// Behind is how much likelier the best clock makes the same spans, in
	// log-likelihood, and P the chance of so large a difference if both fitted
	// equally well, adjusted for all comparisons; 0 and 1 for the best itself.
	Behind, P float64
	// AsGood is true of the best clock and of those that can't be told from it.
	AsGood bool
	// Still is how many spent patches met next to no load of the clock between
	// their last proof and their fail, as when no wash came between.
	Still int
	// Climate is what the climate explains beside the clock; nil when there is
	// too little to tell.
	Climate *ClimateWithin
	Lives   []ClockLife
}

// ClimateWithin tells how far the lives of climates lie apart on a clock. A
// clock that was all that climate does to a coating would leave a Ratio of 1.
type ClimateWithin struct {
	Longest, Shortest string
	Ratio             float64 // of their lives
	ChiSquare         float64 // likelihood ratio of the climate; patches count as independent
	DF                int
	P                 float64 // Wald test, robust to vehicles
}

// ClockLife is how long half of a coating's patches last on a clock.
type ClockLife struct {
	Coating                  string
	Vehicles, Patches, Spent int
	Median                   float64 // in the clock's unit
	Limits                   Limits
	Longest                  float64 // that any patch was followed for
}

// Extrapolated reports whether the median lies beyond what was followed.
func (l ClockLife) Extrapolated() bool { return l.Median > l.Longest }

// ClockOptions says how clocks are compared.
type ClockOptions struct {
	Level   float64          // confidence level, between 0 and 1
	Shelter exposure.Shelter // shares of ultraviolet by garage
}

// DefaultClockOptions asks for 95 % limits.
func DefaultClockOptions() ClockOptions {
	return ClockOptions{Level: 0.95, Shelter: exposure.DefaultShelter()}
}

// clockChoice are the clocks that a study's lives are put on.
func clockChoice() []exposure.Clock {
	return []exposure.Clock{exposure.Months, exposure.UV, exposure.Washes, exposure.FreezeThaw, exposure.Heat, exposure.Km}
}

// NewClocks puts the lives of a study's coated patches on each clock and
// compares them. sites holds the weather where its vehicles live.
//
// A clock that is known for less than two thirds of the patches isn't compared,
// and of the others only patches that are known on each count: an uneven choice
// would compare patches, not clocks. So do coatings with 5 spent patches on 3
// vehicles or more. A level outside (0, 1) is ErrOptions.
//
// A clock is called worse than the best when Vuong's test by vehicles says so
// at 1 − Level, adjusted by Holm's method, and the difference is 2 or more in
// log-likelihood. Else the data can't tell.
func NewClocks(ctx context.Context, followed []study.Followed, sites exposure.Sites, o ClockOptions) (*Clocks, error) {
	if !(o.Level > 0 && o.Level < 1) {
		return nil, fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, o.Level)
	}
	c := &Clocks{Level: o.Level}
	s := newClockSample(followed, sites, o.Shelter)
	all := s.count()
	c.Vehicles, c.Patches, c.Spent, c.LeftOut = all.Vehicles, all.Patches, all.Spent, s.leftOut
	var compared, others []ClockRow
	for _, clock := range clockChoice() {
		if why := s.why[clock]; why != "" {
			others = append(others, ClockRow{Clock: clock, Why: why})
		} else {
			compared = append(compared, ClockRow{Clock: clock})
		}
	}
	if len(s.patches) > 0 {
		f := &clockFits{sample: s, level: o.Level}
		var err error
		if compared, err = f.compare(ctx, compared); err != nil {
			return nil, fmt.Errorf("compare clocks: %w", err)
		}
		c.Law, c.Climates = f.law.String(), f.climates
	}
	c.Rows = append(compared, others...)
	c.note()
	return c, nil
}

// note adds what a reader must know beside the rows.
func (c *Clocks) note() {
	if c.Patches == 0 {
		c.say("No coating has %d spent patches on %d vehicles yet: there is nothing to compare clocks by.", leastSpent, leastSpentVehicles)
		return
	}
	c.say("Compared on %s of %s, %s spent; the same on each clock. One %s model each with coatings apart, so as many parameters; a clock is called worse at p < %.3g, adjusted for the number of clocks, and a difference of %d in log-likelihood or more (Vuong’s test, by vehicles).",
		patches(c.Patches), vehicles(c.Vehicles), number(c.Spent), lawWords(c.Law), 1-c.Level, leastUnits)
	if c.LeftOut > 0 {
		c.say("%s of known life left out: not known on each of these clocks, or of coatings with too few spent. Washes before a late enrolment aren’t known.", patches(c.LeftOut))
	}
	for _, row := range c.Rows {
		if row.Why == "" && row.Still > 0 {
			c.say("%s were spent between two checkups with next to no %s between them. So that such ends are unlikely and not impossible, each clock is let run by %g %% with the calendar.",
				patches(row.Still), row.Clock.Unit(), 100*idlePace)
		}
	}
	c.say("Loads are those of a usual year at each site, not of the very days; ultraviolet is shared out by how a vehicle is kept (an assumption, no source), and washes are those on record.")
}

func (c *Clocks) say(format string, args ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, args...))
}

// lawWords names a distribution as statisticians do.
func lawWords(law string) string {
	switch law {
	case aft.LogNormal.String():
		return "log-normal"
	case aft.LogLogistic.String():
		return "log-logistic"
	case aft.Weibull.String():
		return "Weibull"
	}
	return law
}
