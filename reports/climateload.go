package reports

import (
	"errors"
	"strings"

	"beadspan/stats/survival/pooled"
	"beadspan/study/exposure"
)

// LoadRow is how a load of the weather bears on life, from a comparison
// between the climates of the study.
type LoadRow struct {
	Clock exposure.Clock
	Step  float64 // of a year's load, that Ratio is for
	Unit  string  // of the step
	// Why says why nothing can be told; empty where Ratio is.
	Why string
	// Ratio is by what lives are multiplied where a year brings Step more.
	Ratio     float64
	Limits    Limits
	P         float64
	Climates  int
	Low, High float64 // the year's loads over the climates
}

// weatherClocks are the loads that differ between climates.
func weatherClocks() []exposure.Clock {
	return []exposure.Clock{exposure.UV, exposure.Heat, exposure.FreezeThaw, exposure.Salt}
}

// loadStep is a round amount of a year's load.
func loadStep(c exposure.Clock) (step float64, unit string) {
	switch c {
	case exposure.UV:
		return 50, "MJ/m² of ultraviolet on its panel"
	case exposure.Heat:
		return 100, "heat days (as days at 25 °C)"
	case exposure.FreezeThaw:
		return 30, "freeze-thaw days"
	}
	return 30, "days of salt season"
}

// addLoads estimates the effect of each load by itself: as many climates as a
// study has can't tell several apart.
func (c *ClimateLife) addLoads() error {
	for _, clock := range weatherClocks() {
		row := LoadRow{Clock: clock}
		row.Step, row.Unit = loadStep(clock)
		effect, err := c.result.OnLoad(string(clock), c.loads(clock))
		switch {
		case errors.Is(err, pooled.ErrLoad):
			row.Why = strings.TrimPrefix(err.Error(), pooled.ErrLoad.Error()+": ")
		case err != nil:
			return err
		default:
			row.Climates, row.Low, row.High, row.P = effect.Places, effect.Low, effect.High, effect.P
			f := effect.For(row.Step)
			row.Ratio, row.Limits = f.Value, Limits{f.Lower, f.Upper}
		}
		c.Loads = append(c.Loads, row)
	}
	return nil
}

// loads are a year's load in each climate where it is known.
func (c *ClimateLife) loads(clock exposure.Clock) map[string]float64 {
	loads := map[string]float64{}
	for _, climate := range c.Climates {
		if load, known := climate.Loads[clock]; known {
			loads[climate.Class] = load
		}
	}
	return loads
}
