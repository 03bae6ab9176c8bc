package reports

import (
	"context"
	"fmt"
	"slices"

	"beadspan/stats/decay"
	"beadspan/study"
)

// Decay is how the contact angle of one coating, read on clean panels, falls
// with time in service.
type Decay struct {
	Coating           string
	Vehicles, Patches int // with a reading
	Readings          []CleanReading

	// ThresholdDeg is the protocol's; nil when it doesn't judge the angle.
	ThresholdDeg *float64
	// ControlDeg is the mean angle of the uncoated control panels when clean;
	// nil when there are none.
	ControlDeg *float64

	// Curve falls towards ControlDeg or towards a floor of its own, whichever
	// has the lower AICc. It is nil when none could be fitted; the notes say why.
	Curve *decay.Curve
	// Mean is the fitted curve at every half month up to the last reading.
	Mean []MeanAngle
	// Crossing is when Curve comes down to the threshold; nil without either.
	Crossing *decay.Crossing
	Level    float64
	Notes    []string // on Curve

	// Population tells the patches apart; nil where that is not estimable, and
	// Unmodelled then says why.
	Population *DecayPopulation
	Unmodelled string

	members []member
	seen    *Curve // of life by checkups; nil where Population has nothing to compare with it
}

// DecayOptions says how decays are estimated.
type DecayOptions struct {
	Protocol study.Protocol
	Level    float64 // confidence level, between 0 and 1
	Seed     uint64  // the same seed gives the same limits
	// Coating is the only one to tell of; empty for all.
	Coating string
	// Vehicle is the code of one whose readings must be among those that the
	// model is fitted to, however large the fleet; empty for none.
	Vehicle string
	// Done, if not nil, is told of each coating whose model is fitted.
	Done func()
}

// NewDecays works out how the clean contact angle of each coating falls: by one
// curve through all readings, and by a model in which each patch has its own.
// life is the table of life by coating that the lives by curves are set beside;
// nil where nobody wants to know.
//
// A level outside (0, 1) is ErrOptions. Too few readings are not an error: the
// notes then say what is missing.
func NewDecays(ctx context.Context, followed []study.Followed, life *Life, o DecayOptions) (Decays, error) {
	if !(o.Level > 0 && o.Level < 1) {
		return nil, fmt.Errorf("%w: confidence level %g, expected a number between 0 and 1 such as 0.95", ErrOptions, o.Level)
	}
	if o.Coating != "" {
		followed = slices.DeleteFunc(slices.Clone(followed), func(f study.Followed) bool { return f.Coating.Code != o.Coating && !f.Coating.Control })
	}
	decays, err := newDecays(ctx, followed, o.Protocol, o.Level)
	if err != nil {
		return nil, err
	}
	for i := range decays {
		d := &decays[i]
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		if err := d.estimatePopulation(o); err != nil {
			return nil, fmt.Errorf("decay of %s: %w", d.Coating, err)
		}
		if life != nil {
			if err := d.compareLives(life); err != nil {
				return nil, fmt.Errorf("decay of %s: %w", d.Coating, err)
			}
		}
		if o.Done != nil {
			o.Done()
		}
	}
	return decays, nil
}

// CleanReading is the mean angle of a patch's drops at one reading after a
// decontamination wash.
type CleanReading struct {
	Days     float64 // in service
	AngleDeg float64
	Drops    int

	vehicle, patch int
}

// MeanAngle is a fitted mean curve at one time.
type MeanAngle struct {
	Months, AngleDeg float64
	Limits           *Limits // nil when not estimable
}

// newDecays fits one curve to each coating's clean readings.
func newDecays(ctx context.Context, followed []study.Followed, p study.Protocol, level float64) ([]Decay, error) {
	groups, members := grouped(followed, []By{ByCoating})
	control := controlAngle(followed)
	var decays []Decay
	for _, g := range groups {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		d := Decay{Coating: g.Coating, ControlDeg: control, Level: level}
		d.read(members[g], p)
		if p.Metric == study.Angle {
			d.ThresholdDeg = &p.Threshold
		}
		if err := d.fit(); err != nil {
			return nil, fmt.Errorf("decay of %s: %w", g, err)
		}
		decays = append(decays, d)
	}
	return decays, nil
}

// shown is the curve that plots and tables show: the typical patch's, or the mean
// of all where patches aren't told apart.
func (d *Decay) shown() []MeanAngle {
	if d.Population != nil {
		return d.Population.Mean
	}
	return d.Mean
}

// meanAt is the curve shown at a time in whole or half months.
func (d *Decay) meanAt(months float64) (mean MeanAngle, ok bool) {
	if i := int(2 * months); i < len(d.shown()) {
		return d.shown()[i], true
	}
	return MeanAngle{}, false
}
