package simulate

import (
	"math"

	"beadspan/study"
)

// The noise of a reading, in degrees.
const (
	dropSD  = 2.6 // between the drops of a reading
	panelSD = 0.7 // between places on a panel: shared by the drops of a reading
)

// How much of a reading people write down.
const (
	angleTaken     = 0.92
	sheetTaken     = 0.60
	wetShareTaken  = 0.35
	beadGradeTaken = 0.70
)

// drops is how many an operator sets: a conclusive reading gets more.
func drops(stage study.Stage) []weighted[int] {
	if stage == study.Decon {
		return []weighted[int]{{0.80, 5}, {0.12, 4}, {0.08, 3}}
	}
	return []weighted[int]{{0.82, 3}, {0.10, 2}, {0.08, 4}}
}

// reading draws what an operator writes down of a surface that repels like
// surfaceDeg, its angle without noise. At least one thing is written down.
func (c chance) reading(patch study.Patch, stage study.Stage, surfaceDeg float64, by operator) study.Reading {
	r := study.Reading{PatchID: patch.ID, Stage: stage}
	if stage == study.Decon || c.happens(angleTaken) {
		r.AnglesDeg = c.angles(draw(c, drops(stage)), surfaceDeg+by.offsetDeg)
	}
	if c.happens(sheetTaken) {
		r.SheetTimeS = new(c.sheetTimeS(surfaceDeg, patch.Orientation))
	}
	if c.happens(wetShareTaken) {
		r.WetSharePct = new(c.wetSharePct(surfaceDeg))
	}
	if c.happens(beadGradeTaken) || len(r.AnglesDeg) == 0 {
		r.BeadGrade = new(c.beadGrade(surfaceDeg))
	}
	return r
}

// angles draws the angles of n drops on a surface.
func (c chance) angles(n int, surfaceDeg float64) []float64 {
	here := c.normal(surfaceDeg, panelSD)
	angles := make([]float64, n)
	for i := range angles {
		angles[i] = rounded(math.Min(125, math.Max(20, c.normal(here, dropSD))), 0.1)
	}
	return angles
}

// sheetTimeS draws the seconds until nine tenths of the panel are clear: short
// while water runs off, long once it lies flat, longer on a level panel.
func (c chance) sheetTimeS(surfaceDeg float64, o study.Orientation) float64 {
	seconds := 6 + 80*flat(surfaceDeg)
	if o == study.Horizontal {
		seconds *= 1.5
	}
	return rounded(math.Min(300, seconds*math.Exp(c.normal(0, 0.2))), 1)
}

func (c chance) wetSharePct(surfaceDeg float64) float64 {
	return rounded(math.Min(100, math.Max(0, c.normal(2+80*flat(surfaceDeg), 4))), 1)
}

func (c chance) beadGrade(surfaceDeg float64) int {
	seen := c.normal(surfaceDeg, 3)
	grade := 1
	for _, limit := range []float64{70, 82, 92, 102} {
		if seen >= limit {
			grade++
		}
	}
	return grade
}

// flat is the share of the way from running off to lying flat.
func flat(surfaceDeg float64) float64 {
	return 1 / (1 + math.Exp((surfaceDeg-84)/6))
}
