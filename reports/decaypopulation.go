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
//	θ(t) = θ∞ + (θ₀ − θ∞) e^(−t/τ)       exponential
//	θ(t) = θ∞ + (θ₀ − θ∞) e^(−(t/τ)^k)   stretched
//
// of which θ∞ and θ₀ differ from patch to patch, and log τ from vehicle to vehicle
// and from patch to patch on each. The typical patch is in the middle of all.
type DecayPopulation struct {
	Vehicles, Patches, Readings int // that the model was fitted to

	// Shape is the exponential unless the stretched is clearly better; see
	// mixed.ChooseFall.
	Shape decay.Shape
	// Rival is the best fall of the other shape; nil where that was not fitted.
	Rival *RivalFall

	// Floor, Start and Tau are the typical patch's: degrees, degrees and days.
	// FloorKnown says that the floor is the uncoated panels' angle and was not
	// estimated; its SE is 0. Power is k, and nil of an exponential.
	Floor, Start, Tau Estimated
	FloorKnown        bool
	Power             *Estimated
	// VehicleSD and PatchSD are standard deviations of log τ, between vehicles and
	// between the patches of one; StartSD is of θ₀, FloorSD of θ∞, and ReadingSD of a
	// reading about its patch's curve. VehicleSD is nil where too few vehicles have
	// two patches to tell the two apart: PatchSD is then of all patches. FloorSD is
	// nil where no curves settled with it.
	VehicleSD, FloorSD          *float64
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
	choice, err := mixed.ChooseFall(readings, mixed.FallModel{Floor: d.ControlDeg, Outer: p.several >= leastModelled})
	if err != nil {
		if reason := why(err); reason != "" {
			d.Unmodelled = "How patches differ is not estimable: " + reason + "."
			return nil
		}
		return err
	}
	d.Population = p
	if err := d.take(choice); err != nil {
		return err
	}
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

// describePopulation fills in what the fit says.
func (d *Decay) describePopulation(o DecayOptions) error {
	p := d.Population
	typical := p.fit.Typical(nil)
	into := []*Estimated{&p.Floor, &p.Start, &p.Tau, nil}
	if p.Shape == decay.StretchedShape {
		p.Power = new(Estimated)
		into[3] = p.Power
	}
	for i, effect := range typical.Parameters() {
		*into[i] = Estimated{effect.Value, effect.SE}
	}
	p.last, p.ReadingSD = p.fit.Last, p.fit.ResidualSD
	p.VehicleSD, p.FloorSD = sdOf(p.fit.Outer, logTau), sdOf(p.fit.Inner, "floor")
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
		if note == mixed.NoSpread {
			note = p.alikeWords()
		}
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
