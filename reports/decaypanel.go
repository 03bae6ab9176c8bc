package reports

import (
	"cmp"
	"math"
	"slices"

	"beadspan/stats/decay"
	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// PatchCurve is one patch with its own curve: what its own readings and those of
// all others tell of it.
type PatchCurve struct {
	Vehicle, Patch string // codes
	Readings       []CleanReading
	Mean           []MeanAngle // up to the coating's last reading
	// Crossing is nil without a threshold.
	Crossing *decay.Crossing

	tau   float64
	curve *mixed.Curve
}

// The panel shows panelPatches patches of at least panelReadings readings each,
// fewer of which say more of the others than of the patch. House rule.
const (
	panelPatches  = 12
	panelReadings = 3
)

// pickPanel picks the patches of the panel, from those with enough readings, put
// in the order in which their own curves come down to the threshold, or of τ
// without one: the middle one of each of a dozen equal parts. So early, typical
// and late ones are shown, and nobody chose them.
func (d *Decay) pickPanel() error {
	ranked, err := d.patchCurves()
	if err != nil {
		return err
	}
	slices.SortFunc(ranked, PatchCurve.compare)
	p := d.Population
	n := min(panelPatches, len(ranked))
	for i := range n {
		shown := ranked[(2*i+1)*len(ranked)/(2*n)]
		predicted, err := shown.curve.Predict(gridDays(p.last/study.DaysPerMonth), d.Level)
		if err != nil {
			return err
		}
		for _, at := range predicted {
			shown.Mean = append(shown.Mean, MeanAngle{at.Time / study.DaysPerMonth, at.Value, limitsOf(at.Lower, at.Upper)})
		}
		p.Panel = append(p.Panel, shown)
	}
	return nil
}

// patchCurves are the curves of all patches that the model was fitted to and
// that have enough readings.
func (d *Decay) patchCurves() ([]PatchCurve, error) {
	readings := map[int][]CleanReading{}
	for _, r := range d.Readings {
		readings[r.patch] = append(readings[r.patch], r)
	}
	var curves []PatchCurve
	for _, g := range d.Population.fit.Groups {
		if len(readings[g.Inner]) < panelReadings {
			continue
		}
		curve, err := d.Population.fit.Of(g.Outer, g.Inner, nil)
		if err != nil {
			return nil, err
		}
		m := d.members[g.Inner]
		one := PatchCurve{Vehicle: m.Vehicle.Code, Patch: m.Patch.Code, Readings: readings[g.Inner], tau: curve.Parameters()[2].Value, curve: curve}
		if d.ThresholdDeg != nil {
			crossing, err := curve.TimeTo(*d.ThresholdDeg, d.Level)
			if err != nil {
				return nil, err
			}
			one.Crossing = &crossing
		}
		curves = append(curves, one)
	}
	return curves, nil
}

func (c PatchCurve) compare(other PatchCurve) int {
	byCode := cmp.Or(cmp.Compare(c.Vehicle, other.Vehicle), cmp.Compare(c.Patch, other.Patch))
	if c.Crossing == nil {
		return cmp.Or(cmp.Compare(c.tau, other.tau), byCode)
	}
	return cmp.Or(cmp.Compare(c.Crossing.Time, other.Crossing.Time), cmp.Compare(c.tau, other.tau), byCode)
}

// monthsBy is when the patch's own curve comes down to the threshold; ok is false
// where that is not by the month last.
func (c PatchCurve) monthsBy(last float64) (months float64, ok bool) {
	if c.Crossing == nil || c.Crossing.Outcome == decay.NotReached {
		return math.Inf(1), false
	}
	months = c.Crossing.Time / study.DaysPerMonth
	return months, months <= last
}
