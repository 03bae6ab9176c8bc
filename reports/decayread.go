package reports

import (
	"gonum.org/v1/gonum/stat"

	"beadspan/study"
)

// controlAngle is the mean angle of the uncoated control panels when clean,
// each reading weighted by its drops; nil when there is none.
func controlAngle(followed []study.Followed) *float64 {
	var angles, drops []float64
	for _, f := range followed {
		if f.Coating.Control {
			for _, r := range cleanReadings(f) {
				angles = append(angles, r.AngleDeg)
				drops = append(drops, float64(r.Drops))
			}
		}
	}
	if len(angles) == 0 {
		return nil
	}
	mean := stat.Mean(angles, drops)
	return &mean
}

// read gathers the readings that tell of the bare coating: those of patches
// whose life is known, until something covered or took off the coating.
func (d *Decay) read(members []member, p study.Protocol) {
	d.members = members
	vehicles := map[int]bool{}
	for i, m := range members {
		if !m.Span.Known {
			continue
		}
		last, cut := p.LeavesOn(*m.Vehicle, *m.Patch)
		before := len(d.Readings)
		for _, r := range cleanReadings(m.Followed) {
			if cut && m.Patch.InService()+study.Day(r.Days) > last {
				continue
			}
			r.vehicle, r.patch = m.vehicle, i
			d.Readings = append(d.Readings, r)
		}
		if len(d.Readings) > before {
			vehicles[m.vehicle] = true
			d.Patches++
		}
	}
	d.Vehicles = len(vehicles)
}

// cleanReadings lists a patch's angles after decontamination washes.
func cleanReadings(f study.Followed) []CleanReading {
	var readings []CleanReading
	for _, c := range f.Vehicle.Checkups {
		for _, r := range c.Readings {
			angle, measured := r.MeanAngleDeg()
			if r.PatchID != f.Patch.ID || r.Stage != study.Decon || !measured {
				continue
			}
			days := max(0, float64(c.Day-f.Patch.InService()))
			readings = append(readings, CleanReading{Days: days, AngleDeg: angle, Drops: len(r.AnglesDeg)})
		}
	}
	return readings
}
