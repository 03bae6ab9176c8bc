package mixed

import (
	"math"
	"slices"

	"beadspan/stats/decay"
	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// demoModel is that of a coating's clean readings: patches differ in where they
// start and end and in how fast they fall, vehicles in how fast they fall.
func demoModel(start []float64) CurveModel {
	return CurveModel{
		Curve: decay.Exponential(), Start: start, Nodes: 1,
		Covariates: []string{"Dfb", "BWh", "Cfa", "horizontal", "indoors", "outdoors"},
		Parameters: []Parameter{{Inner: true}, {Inner: true}, {Log: true, Covariates: []int{0, 1, 2, 3, 4, 5}, Outer: true, Inner: true}},
	}
}

// stretchedDemoModel is the same for stretched exponentials.
func stretchedDemoModel(start []float64) CurveModel {
	return stretchedModel(demoModel(start), append(slices.Clone(start), 1))
}

// demoCovariates are those of demoModel; a vertical panel of a vehicle that is
// kept in a carport in a Cfb climate has none.
func demoCovariates(f study.Followed) []float64 {
	is := func(yes bool) float64 {
		if yes {
			return 1
		}
		return 0
	}
	return []float64{
		is(f.Site.Koppen == "Dfb"), is(f.Site.Koppen == "BWh"), is(f.Site.Koppen == "Cfa"),
		is(f.Patch.Orientation == study.Horizontal), is(f.Vehicle.Garage == study.Indoors), is(f.Vehicle.Garage == study.Outdoors),
	}
}

// demoPatch is a patch with what was read of it when clean.
type demoPatch struct {
	study.Followed
	outer, inner int
	readings     []Reading
}

// demoPatches lists the patches of a coating as a report reads them: those of
// known life, with the angles after decontamination washes until something took
// the patch out of the study.
func demoPatches(fleet study.Fleet, coating string) []demoPatch {
	p := study.DefaultProtocol()
	var list []demoPatch
	vehicles, patches := map[study.ID]int{}, map[int]int{}
	for _, f := range fleet.Follow(p) {
		if f.Coating.Code != coating || !f.Span.Known {
			continue
		}
		outer, seen := vehicles[f.Vehicle.ID]
		if !seen {
			outer = len(vehicles)
		}
		patch := demoPatch{Followed: f, outer: outer, inner: patches[outer]}
		last, cut := p.LeavesOn(*f.Vehicle, *f.Patch)
		x := demoCovariates(f)
		for _, c := range f.Vehicle.Checkups {
			for _, r := range c.Readings {
				angle, measured := r.MeanAngleDeg()
				if r.PatchID == f.Patch.ID && r.Stage == study.Decon && measured && !(cut && c.Day > last) {
					patch.readings = append(patch.readings, Reading{
						Time: math.Max(0, float64(c.Day-f.Patch.InService())), Value: angle, Weight: 1,
						Outer: outer, Inner: patch.inner, Covariates: x,
					})
				}
			}
		}
		if len(patch.readings) > 0 {
			vehicles[f.Vehicle.ID] = outer
			patches[outer]++
			slices.SortFunc(patch.readings, func(a, b Reading) int { return int(a.Time - b.Time) })
			list = append(list, patch)
		}
	}
	return list
}

func readingsOf(patches []demoPatch) []Reading {
	var list []Reading
	for _, p := range patches {
		list = append(list, p.readings...)
	}
	return list
}

// cleanOffset is by how many degrees clean readings of a climate's shop differ,
// on average, from the latent angle: the trace of film that no wash takes off,
// twice as much in the months of salted roads, and the operators' eyes. The
// figures are the simulator's.
var cleanOffset = map[string]float64{
	"Cfb": -0.5*(1+3./12) + (1.2-1.4)/2,
	"Dfb": -0.5*(1+5./12) + (-1.1+1.6)/2,
	"BWh": -0.5 + (1.8-1.5)/2,
	"Cfa": -0.5 + (-1.3+1.1)/2,
}

// demoTruth is a patch's curve as clean readings show it, on average.
type demoTruth struct {
	simulate.Latent
	offset float64
}

func (d demoTruth) at(day float64) float64 { return d.AngleDeg(day) + d.offset }

// life is when the curve comes down to a threshold.
func (d demoTruth) life(threshold float64) float64 {
	return d.TauDays * math.Log((d.StartDeg-d.FloorDeg)/(threshold-d.offset-d.FloorDeg))
}

// fitting fits a model to the readings of a fleet.
type fitting func(readings []Reading) (*CurvesFit, error)

// explained fits a model of covariates.
func explained(model func(start []float64) CurveModel) fitting {
	return func(readings []Reading) (*CurvesFit, error) {
		start, err := ExponentialStart(readings, nil)
		if err != nil {
			return nil, err
		}
		return Curves(readings, model(start))
	}
}

// chosenFall fits what a report does: the fall that is chosen, without covariates,
// and with τ differing between vehicles if some have several patches.
func chosenFall(patches []demoPatch, control *float64) fitting {
	on, several := map[int]int{}, 0
	for _, p := range patches {
		if on[p.outer]++; on[p.outer] == 2 {
			several++
		}
	}
	return func(readings []Reading) (*CurvesFit, error) {
		choice, err := ChooseFall(readings, FallModel{Floor: control, Outer: several >= 5})
		if err != nil {
			return nil, err
		}
		return choice.Fit, nil
	}
}

// bare are patches without what covariates tell.
func bare(patches []demoPatch) []demoPatch {
	list := slices.Clone(patches)
	for i, p := range list {
		list[i].readings = slices.Clone(p.readings)
		for j := range list[i].readings {
			list[i].readings[j].Covariates = nil
		}
	}
	return list
}

// demoControl is the mean angle of the uncoated controls when clean, by drops.
func demoControl(fleet study.Fleet) *float64 {
	sum, drops := 0.0, 0.0
	for _, f := range fleet.Follow(study.DefaultProtocol()) {
		for _, c := range f.Vehicle.Checkups {
			for _, r := range c.Readings {
				angle, measured := r.MeanAngleDeg()
				if f.Coating.Control && measured && r.PatchID == f.Patch.ID && r.Stage == study.Decon {
					sum, drops = sum+angle*float64(len(r.AnglesDeg)), drops+float64(len(r.AnglesDeg))
				}
			}
		}
	}
	return new(sum / drops)
}
