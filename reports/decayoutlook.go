package reports

import (
	"context"
	"fmt"
	"math"
	"slices"

	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// VehicleOutlook tells how the clean contact angle of a vehicle's patches may go
// on for twelve months from a day.
type VehicleOutlook struct {
	Vehicle      string
	On           study.Day
	Level        float64
	ThresholdDeg float64
	Patches      []PatchOutlook
}

// PatchOutlook is that of one patch.
type PatchOutlook struct {
	Patch, Coating string
	Standing       study.Standing
	Readings       int // clean ones of the bare coating
	// Why says why there is no outlook; empty where there are Points.
	Why    string
	Points []AngleOutlook // the day itself, and twelve more, a month apart
	Notes  []string
}

// AngleOutlook is what may be expected on one day.
type AngleOutlook struct {
	Day             study.Day
	MonthsInService float64
	AngleDeg        float64 // of the patch's curve
	Limits          Limits
	ReadingLimits   Limits  // for one reading of it
	Below           float64 // the probability that the curve has come down to the threshold
	// Extrapolated is set after the last reading of any patch of the coating.
	Extrapolated bool
}

// outlookMonths is how far an outlook reaches.
const outlookMonths = 12

// outlookCurves is how many curves are drawn of each population.
const outlookCurves = 20

// NewVehicleOutlook works out the outlook of the coated patches of a vehicle,
// from its own clean readings and those of all others of the same coatings. Spent
// and ended patches, and those of coatings whose patches can't be told apart, get
// a reason instead.
//
// A vehicle that isn't among followed is study.ErrNotFound. A level outside (0, 1)
// is ErrOptions, and so is a protocol that doesn't judge the contact angle.
func NewVehicleOutlook(ctx context.Context, followed []study.Followed, vehicle string, on study.Day, o DecayOptions) (*VehicleOutlook, error) {
	if o.Protocol.Metric != study.Angle {
		return nil, fmt.Errorf("%w: outlooks are of contact angles, and the study judges by %s", ErrOptions, o.Protocol.Metric)
	}
	own := map[string]bool{}
	for _, f := range followed {
		if f.Vehicle.Code == vehicle {
			own[f.Coating.Code] = true
		}
	}
	if len(own) == 0 {
		return nil, fmt.Errorf("outlook of vehicle %q: %w", vehicle, study.ErrNotFound)
	}
	o.Vehicle = vehicle
	decays, err := NewDecays(ctx, slices.DeleteFunc(slices.Clone(followed), func(f study.Followed) bool {
		return !own[f.Coating.Code] && !f.Coating.Control
	}), nil, o)
	if err != nil {
		return nil, err
	}
	v := &VehicleOutlook{Vehicle: vehicle, On: on, Level: o.Level, ThresholdDeg: o.Protocol.Threshold}
	for _, d := range decays {
		var drawn *mixed.Populations
		if d.Population != nil {
			drawn = d.Population.fit.Draw(drawnPopulations, o.Seed)
		}
		for i, m := range d.members {
			if m.Vehicle.Code != vehicle {
				continue
			}
			p := PatchOutlook{Patch: m.Patch.Code, Coating: d.Coating, Standing: m.Span.Standing, Readings: d.readingsOf(i)}
			if p.Why = d.noOutlook(m); p.Why == "" {
				if err := p.look(&d, drawn, i, on, o.Seed); err != nil {
					return nil, fmt.Errorf("outlook of patch %s of vehicle %q: %w", p.Patch, vehicle, err)
				}
			}
			v.Patches = append(v.Patches, p)
		}
	}
	return v, nil
}

func (d *Decay) readingsOf(patch int) int {
	n := 0
	for _, r := range d.Readings {
		n += one(r.patch == patch)
	}
	return n
}

// noOutlook says why a patch has none; empty where it may have one.
func (d *Decay) noOutlook(m member) string {
	switch {
	case m.Span.Spent():
		return fmt.Sprintf("It was spent by %s.", m.Patch.InService()+study.Day(m.Span.UpperDays))
	case m.Span.Standing == study.Ended:
		return "Its coating was taken off or covered, or the vehicle is gone."
	case d.Population == nil:
		return d.Unmodelled
	}
	return ""
}

// look fills in the outlook of patch i of d.
func (p *PatchOutlook) look(d *Decay, drawn *mixed.Populations, i int, on study.Day, seed uint64) error {
	m := d.members[i]
	began := m.Patch.InService()
	ask := mixed.OutlookOptions{Threshold: *d.ThresholdDeg, Level: d.Level, Curves: outlookCurves, Seed: seed}
	var days []study.Day
	for month := range outlookMonths + 1 {
		day := on + study.Day(math.Round(float64(month)*study.DaysPerMonth))
		if day < began {
			continue
		}
		days, ask.Times = append(days, day), append(ask.Times, float64(day-began))
	}
	if len(days) == 0 {
		p.Why = fmt.Sprintf("Its service begins on %s.", began)
		return nil
	}
	// That it was seen holding is not taken for sure here: a reading that passed
	// has an error, and the fit counts it already.
	outlook, err := drawn.Outlook(m.vehicle, i, nil, ask)
	if err != nil {
		return err
	}
	for j, at := range outlook.Points {
		p.Points = append(p.Points, AngleOutlook{
			Day: days[j], MonthsInService: at.Time / study.DaysPerMonth, AngleDeg: at.Value, Limits: Limits{at.Lower, at.Upper},
			ReadingLimits: Limits{at.NewLower, at.NewUpper}, Below: at.Below, Extrapolated: at.Extrapolated,
		})
	}
	p.explain(m, outlook)
	return nil
}
