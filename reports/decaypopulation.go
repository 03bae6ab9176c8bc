package reports

import (
	"fmt"
	"slices"
	"strings"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// DecayPopulation is how the clean contact angles of a coating's patches fall,
// each patch along a curve of its own,
//
//	θ(t) = θ∞ + (θ₀ − θ∞) e^(−t/τ)
//
// of which θ₀ differs from patch to patch, and log τ from vehicle to vehicle and
// from patch to patch on each. The typical patch is in the middle of either.
type DecayPopulation struct {
	Vehicles, Patches, Readings int // that the model was fitted to

	// Floor, Start and Tau are the typical patch's: degrees, degrees and days.
	// FloorKnown says that the floor is the uncoated panels' angle and was not
	// estimated; its SE is 0.
	Floor, Start, Tau Estimated
	FloorKnown        bool
	// VehicleSD and PatchSD are standard deviations of log τ, between vehicles and
	// between the patches of one; StartSD is of θ₀, and ReadingSD of a reading
	// about its patch's curve. VehicleSD is nil where too few vehicles have two
	// patches to tell the two apart: PatchSD is then of all patches.
	VehicleSD                   *float64
	PatchSD, StartSD, ReadingSD float64

	// Mean is the typical patch's curve at every half month up to the last
	// reading, and Spread between what a single reading of another patch lies, at
	// the same times.
	Mean   []MeanAngle
	Spread []Limits
	// Crossing is when the typical patch comes down to the threshold; nil without
	// one.
	Crossing *decay.Crossing
	// Life is nil without a threshold.
	Life *ImpliedLife
	// Panel are a dozen patches, from early to late; see pickPanel.
	Panel []PatchCurve
	Notes []string

	several int     // vehicles with more than one patch
	last    float64 // day of the last reading
	fit     *mixed.CurvesFit
}

// Estimated is an estimate with its standard error.
type Estimated struct{ Value, SE float64 }

// leastModelled is how many vehicles it takes to tell how patches differ, and how
// many with two patches to tell how vehicles do. Common practice, no source.
const leastModelled = 5

// estimatePopulation fits the model, or says in Unmodelled why it can't be.
func (d *Decay) estimatePopulation(o DecayOptions) error {
	if d.Vehicles < leastModelled {
		d.Unmodelled = fmt.Sprintf("How patches differ is not estimable: clean readings of %s are too few; it takes %d.", vehicles(d.Vehicles), leastModelled)
		return nil
	}
	p := &DecayPopulation{}
	readings := d.modelled(o.Vehicle)
	p.count(readings)
	reason, err := p.choose(readings, d.ControlDeg)
	if err != nil {
		return err
	}
	if reason != "" {
		d.Unmodelled = "How patches differ is not estimable: " + reason + "."
		return nil
	}
	d.Population = p
	if p.Vehicles < d.Vehicles {
		p.note("The model was fitted to %s of %s with clean readings, spread evenly over the records, so that it takes seconds; plots and counts are of all.", number(p.Vehicles), vehicles(d.Vehicles))
	}
	return d.describePopulation(o)
}

// count says what a model of readings rests on.
func (p *DecayPopulation) count(readings []mixed.Reading) {
	patches := map[int]map[int]bool{} // by vehicle
	for _, r := range readings {
		if patches[r.Outer] == nil {
			patches[r.Outer] = map[int]bool{}
		}
		patches[r.Outer][r.Inner] = true
	}
	p.Vehicles, p.Readings = len(patches), len(readings)
	for _, own := range patches {
		p.Patches += len(own)
		p.several += one(len(own) > 1)
	}
}

// choose fits the model with the uncoated panels' angle for a floor, where there
// are any, and with a floor to be estimated, and keeps the one of the lower AIC.
// Where neither can be fitted it returns a reason.
func (p *DecayPopulation) choose(readings []mixed.Reading, control *float64) (reason string, err error) {
	var bare *mixed.CurvesFit
	var bareErr error
	own, ownErr := p.curves(readings, nil)
	if control != nil {
		bare, bareErr = p.curves(readings, control)
	}
	for _, err := range []error{ownErr, bareErr} {
		if err != nil && why(err) == "" {
			return "", err
		}
	}
	switch {
	case bare == nil && own == nil:
		return why(ownErr), nil
	case own == nil || bare != nil && bare.AIC <= own.AIC:
		p.fit, p.FloorKnown = bare, true
		p.note("Each patch is taken to fall towards %s, the mean of the uncoated control panels when clean (weighted by drops); the limits take that as known.", degrees(*control))
	case bare != nil:
		p.fit = own
		p.note("Of a fall towards the uncoated panels (%s) and one towards a floor of its own, the second fits better and is shown: its AIC is lower by %.1f. That floor describes the readings up to %s months; it need not be where a panel ends.",
			degrees(*control), bare.AIC-own.AIC, months(own.Last/study.DaysPerMonth))
	default:
		p.fit = own
	}
	return "", nil
}

// curves fits the model with a known floor, or one to be estimated if it is nil.
func (p *DecayPopulation) curves(readings []mixed.Reading, floor *float64) (*mixed.CurvesFit, error) {
	start, err := mixed.ExponentialStart(readings, floor)
	if err != nil {
		return nil, err
	}
	fit, err := mixed.Curves(readings, mixed.CurveModel{
		Curve: decay.Exponential(), Start: start, Nodes: 1,
		Parameters: []mixed.Parameter{{Known: floor}, {Inner: true}, {Log: true, Outer: p.several >= leastModelled, Inner: true}},
	})
	if err != nil {
		return nil, err
	}
	if at := fit.Typical(nil).Parameters()[0].Value; at < 0 {
		return nil, errNoFloor
	}
	return fit, nil
}

// describePopulation fills in what the fit says.
func (d *Decay) describePopulation(o DecayOptions) error {
	p := d.Population
	typical := p.fit.Typical(nil)
	for i, into := range []*Estimated{&p.Floor, &p.Start, &p.Tau} {
		effect := typical.Parameters()[i]
		*into = Estimated{effect.Value, effect.SE}
	}
	p.last, p.ReadingSD = p.fit.Last, p.fit.ResidualSD
	p.VehicleSD = sdOf(p.fit.Outer, logTau)
	p.PatchSD, p.StartSD = *sdOf(p.fit.Inner, logTau), *sdOf(p.fit.Inner, "start")
	predicted, err := typical.Predict(gridDays(p.last/study.DaysPerMonth), d.Level)
	if err != nil {
		return err
	}
	for _, at := range predicted {
		p.Mean = append(p.Mean, MeanAngle{at.Time / study.DaysPerMonth, at.Value, limitsOf(at.Lower, at.Upper)})
		p.Spread = append(p.Spread, Limits{at.NewLower, at.NewUpper})
	}
	for _, note := range p.fit.Notes {
		note = strings.NewReplacer("inner groups", "patches", "outer groups", "vehicles", "groups", "vehicles").Replace(note)
		p.note("About the fit: %s", note)
	}
	if d.ThresholdDeg != nil {
		crossing, err := typical.TimeTo(*d.ThresholdDeg, d.Level)
		if err != nil {
			return err
		}
		p.Crossing = &crossing
		if p.Life, err = p.impliedLife(*d.ThresholdDeg, d.Level, o.Seed); err != nil {
			return err
		}
	}
	return d.pickPanel()
}

const logTau = "log tau"

// sdOf returns the standard deviation of a random effect; nil where the level
// has none of that name.
func sdOf(level mixed.Spread, effect string) *float64 {
	i := slices.Index(level.Effects, effect)
	if i < 0 {
		return nil
	}
	return new(level.SD(i))
}

func (p *DecayPopulation) note(format string, args ...any) {
	p.Notes = append(p.Notes, fmt.Sprintf(format, args...))
}
