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
			}
		}
	}
	l.falls[coating] = fall
	return fall, nil
}

// place is a patch's number and its vehicle's in the fall's readings.
func (f *letterFall) place(of study.Followed) (vehicle, patch int) {
	patch = slices.IndexFunc(f.decay.members, func(m member) bool { return m.Patch.ID == of.Patch.ID })
	return f.decay.members[patch].vehicle, patch
}
