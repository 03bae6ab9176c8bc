package calc

import (
	"errors"
	"slices"

	"beadspan/stats/survival"
)

// BandOptions say what simultaneous band is wanted.
type BandOptions struct {
	Kind     string // one of BandNames; "none": no band
	From, To float64
}

// BandNames are the names of the kinds of simultaneous bands.
func BandNames() []string { return []string{"none", "equal-precision", "hall-wellner"} }

// band holds all of S between two times at once: lists with an element for
// each time at which the curve changes.
type band struct {
	Kind     string  `json:"kind"`
	From     Number  `json:"from"`
	To       Number  `json:"to"`
	Critical Number  `json:"critical_value"`
	Time     Numbers `json:"time"`
	Survival Numbers `json:"survival"`
	// Limits are on each scale that was asked for.
	Limits map[string]limits `json:"ci"`
}

// addBand adds the band; where there can be none a note says so.
func (c *KaplanMeierCurve) addBand(d *Data, curve *survival.Curve, o CurveOptions) error {
	if o.Band.Kind == BandNames()[0] {
		return nil
	}
	kind := []survival.BandKind{survival.EqualPrecision, survival.HallWellner}[slices.Index(BandNames(), o.Band.Kind)-1]
	for _, name := range o.Scales {
		found, err := curve.WithScale(scale(name)).Band(kind, o.Band.From, o.Band.To)
		if errors.Is(err, survival.ErrBand) {
			d.note("%s: no band: %v", orAll(c.Group), survival.ErrBand)
			return nil
		}
		if err != nil {
			return err
		}
		pick := func(of func(survival.Step) float64) Numbers { return numbers(found.Steps, of) }
		if c.Band == nil {
			c.Band = &band{
				o.Band.Kind, Number(found.From), Number(found.To), Number(found.Critical),
				pick(func(s survival.Step) float64 { return s.Time }),
				pick(func(s survival.Step) float64 { return s.Survival }),
				map[string]limits{},
			}
		}
		c.Band.Limits[scaleKey(name)] = limits{
			pick(func(s survival.Step) float64 { return s.Lower }),
			pick(func(s survival.Step) float64 { return s.Upper }),
		}
	}
	return nil
}

// write prints the band on one scale.
func (b *band) write(p *page, key string) {
	p.line("All at once from %s to %s, %s band:", short(b.From), short(b.To), b.Kind)
	var rows [][]string
	for i, time := range b.Time {
		if i > 0 && b.Survival[i] == b.Survival[i-1] {
			continue // only a censoring
		}
		rows = append(rows, []string{short(time), short(b.Survival[i]), short(b.Limits[key].Lower[i]), short(b.Limits[key].Upper[i])})
	}
	p.table(0, []string{"Time", "S", "lower", "upper"}, rows)
}
