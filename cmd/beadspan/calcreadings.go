package main

import (
	"fmt"
	"math"
)

// readingFlags name the columns of readings.
type readingFlags struct {
	Time   string `required:"" placeholder:"COLUMN" help:"Column of the time of a reading."`
	Value  string `required:"" placeholder:"COLUMN" help:"Column of what was read, such as a contact angle."`
	Weight string `aliases:"weights" placeholder:"COLUMN" help:"Column that says of how many readings the value is the mean."`
}

// curveFlags say what is known of a curve and what is wanted of it.
type curveFlags struct {
	Floor     *float64           `placeholder:"VALUE" help:"Hold the floor at this value, such as that of an uncoated control."`
	Hold      map[string]float64 `mapsep:"," placeholder:"PARAMETER=VALUE,..." help:"Hold these parameters too."`
	Start     map[string]float64 `mapsep:"," placeholder:"PARAMETER=VALUE,..." help:"Search from here, where the program finds no start of its own."`
	At        []float64          `placeholder:"TIME" help:"Times at which the curve's value is wanted."`
	Threshold []float64          `placeholder:"VALUE" help:"Values: when does the curve come down to them?"`
}

// held are the parameters that are known.
func (f curveFlags) held() (map[string]float64, error) {
	held := map[string]float64{}
	for name, value := range f.Hold {
		held[name] = value
	}
	if f.Floor != nil {
		if _, twice := held["floor"]; twice {
			return nil, usageError("calc: the floor is held by --floor and by --hold")
		}
		held["floor"] = *f.Floor
	}
	return held, nil
}

// check refuses values that no curve can take or come down to, and times
// before the start.
func (f curveFlags) check() error {
	for _, value := range f.Threshold {
		if math.IsNaN(value) || math.IsInf(value, 0) {
			return usageError(fmt.Sprintf("calc: --threshold %v: expected a finite number", value))
		}
	}
	for option, values := range map[string]map[string]float64{"--hold": f.Hold, "--start": f.Start} {
		for name, value := range values {
			if math.IsNaN(value) || math.IsInf(value, 0) {
				return usageError(fmt.Sprintf("calc: %s %s=%v: expected a finite number", option, name, value))
			}
		}
	}
	return checkWanted(nil, f.At)
}
