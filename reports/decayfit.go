package reports

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"gonum.org/v1/gonum/stat"

	"beadspan/stats/decay"
	"beadspan/study"
)

// fit finds the mean curve: of one that falls towards the uncoated panels and
// one with a floor of its own, the better by Akaike's criterion corrected for
// few readings (AICc). What the readings don't allow becomes a note.
func (d *Decay) fit() error {
	own, ownErr := d.curve(nil)
	var bare *decay.Curve
	var bareErr error
	if d.ControlDeg != nil {
		bare, bareErr = d.curve(d.ControlDeg)
	}
	switch {
	case bare != nil && (own == nil || bare.Solution.AICc <= own.Solution.AICc):
		d.Curve = bare
		if bare.Falls {
			d.note("The curve is taken to fall towards %s, the mean of the uncoated control panels when clean (weighted by drops); the limits take that as known.",
				degrees(*d.ControlDeg))
		}
	case own != nil:
		d.Curve = own
		d.noteOwnFloor(bare, bareErr)
	default:
		return d.noteNoCurve(ownErr)
	}
	return d.describe()
}

// curve fits a curve that falls towards floor, or towards a floor of its own
// when that is nil.
func (d *Decay) curve(floor *float64) (*decay.Curve, error) {
	points := make([]decay.Point, len(d.Readings))
	for i, r := range d.Readings {
		points[i] = decay.Point{Time: r.Days, Value: r.AngleDeg, Weight: 1, Cluster: r.vehicle}
	}
	return decay.Fit(points, decay.Options{Floor: floor, Clustered: true})
}

// noteOwnFloor says why the curve doesn't fall towards the uncoated panels.
func (d *Decay) noteOwnFloor(bare *decay.Curve, bareErr error) {
	switch {
	case bare != nil:
		d.note("Of a curve that falls towards the uncoated panels (%s) and one with a floor of its own (%s), the second fits better and is shown: "+
			"its AICc, which takes readings as independent, is lower by %.0f. That floor describes the readings up to %s months; it need not be where a panel ends.",
			degrees(*d.ControlDeg), degrees(d.Curve.Floor.Value), bare.Solution.AICc-d.Curve.Solution.AICc, months(d.Curve.Last/study.DaysPerMonth))
	case errors.Is(bareErr, decay.ErrFloor):
		d.note("The coating’s readings don’t lie above those of the uncoated panels (%s), so the floor is estimated instead.", degrees(*d.ControlDeg))
	}
}

// noteNoCurve says why there is no curve, unless err is a fault.
func (d *Decay) noteNoCurve(err error) error {
	if !errors.Is(err, decay.ErrTooFew) {
		return err
	}
	d.note("There are too few clean readings, or too few different times or vehicles, for a curve.")
	return nil
}

func (d *Decay) describe() error {
	predicted, err := d.Curve.Predict(gridDays(d.Curve.Last/study.DaysPerMonth), d.Level)
	if err != nil {
		return err
	}
	for _, at := range predicted {
		d.Mean = append(d.Mean, MeanAngle{at.Time / study.DaysPerMonth, at.Value, limitsOf(at.Lower, at.Upper)})
	}
	if d.ThresholdDeg != nil {
		crossing, err := d.Curve.TimeTo(*d.ThresholdDeg, d.Level)
		if err != nil {
			return err
		}
		d.Crossing = &crossing
	}
	if err := d.noteMisfit(); err != nil {
		return err
	}
	for _, note := range d.Curve.Notes {
		note = strings.ReplaceAll(note, "clusters", "vehicles") // that is what clusters are here
		d.note("About the fit, times in days: %s.", note)
	}
	return nil
}

// A curve that misses the readings of the first weeks by more than a degree on
// average is called a misfit: early readings are many, and every coating has
// them. House rule: judgement, no source.
const (
	misfitDays = 60
	misfitDeg  = 1
)

// noteMisfit says by how much the curve misses the early readings.
func (d *Decay) noteMisfit() error {
	var days, angles []float64
	for _, r := range d.Readings {
		if r.Days <= misfitDays {
			days = append(days, r.Days)
			angles = append(angles, r.AngleDeg)
		}
	}
	if len(days) == 0 {
		return nil
	}
	predicted, err := d.Curve.Predict(days, d.Level)
	if err != nil {
		return err
	}
	for i, at := range predicted {
		angles[i] -= at.Value
	}
	off := stat.Mean(angles, nil)
	if math.Abs(off) <= misfitDeg {
		return nil
	}
	side := "above"
	if off < 0 {
		side = "below"
	}
	d.note("The curve does not fit well at the start: the %s of the first %d days lie %s %s it on average. Its shape is too simple for these readings.",
		count(len(days), "reading", "readings"), misfitDays, tenths(math.Abs(off)), side)
	return nil
}

func (d *Decay) note(format string, args ...any) {
	d.Notes = append(d.Notes, fmt.Sprintf(format, args...))
}
