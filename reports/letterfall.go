package reports

import (
	"context"
	"slices"

	"beadspan/stats/decay/mixed"
	"beadspan/study"
)

// letterFall is how one coating's clean angles fall, as all letters need it.
type letterFall struct {
	decay *Decay
	drawn *mixed.Populations // nil where patches aren't told apart

	readings map[int][]mixed.Reading // by vehicle
	patches  map[study.ID]int        // among the decay's members
}

// How many populations letters draw, and curves of a patch in each: fewer than a
// report's, since a letter names months and tenths.
const (
	letterPopulations = 100
	letterCurves      = 15
)

// fallOf works out how a coating's angles fall, once.
func (l *Letters) fallOf(ctx context.Context, coating string) (*letterFall, error) {
	if fall, known := l.falls[coating]; known {
		return fall, nil
	}
	o := l.options
	alike := slices.DeleteFunc(slices.Clone(l.followed), func(f study.Followed) bool { return f.Coating.Code != coating && !f.Coating.Control })
	decays, err := NewDecays(ctx, alike, nil, DecayOptions{Protocol: o.Study.Protocol, Level: o.Level, Seed: o.Seed})
	if err != nil {
		return nil, err
	}
	fall := &letterFall{}
	for i := range decays {
		if d := &decays[i]; d.Coating == coating {
			fall.decay = d
			if d.Population != nil {
				fall.drawn = d.Population.fit.Draw(letterPopulations, o.Seed)
				fall.index()
			}
		}
	}
	l.falls[coating] = fall
	return fall, nil
}

// index finds the readings of each vehicle, and the number of each patch.
func (f *letterFall) index() {
	f.readings, f.patches = map[int][]mixed.Reading{}, map[study.ID]int{}
	for _, r := range f.decay.Readings {
		f.readings[r.vehicle] = append(f.readings[r.vehicle], mixed.Reading{Time: r.Days, Value: r.AngleDeg, Weight: 1, Outer: r.vehicle, Inner: r.patch})
	}
	for i, m := range f.decay.members {
		f.patches[m.Patch.ID] = i
	}
}

// outlook is that of one patch, by the readings of its vehicle, whether or not
// those were among the ones that the model was fitted to.
func (f *letterFall) outlook(of study.Followed, ask mixed.OutlookOptions) (*mixed.Outlook, error) {
	patch := f.patches[of.Patch.ID]
	return f.drawn.OutlookOf(f.readings[f.decay.members[patch].vehicle], patch, nil, ask)
}
