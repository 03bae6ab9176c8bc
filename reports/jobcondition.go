package reports

import (
	"fmt"

	"beadspan/study"
)

// jobCondition is a condition of a coating job with what it is looked at for.
type jobCondition struct {
	name      string
	value     func(study.Job) *float64
	contrasts []jobContrast
	// applies is false of a job that has no such condition, as one layer has no
	// time between layers; nil means that all have it.
	applies func(study.Job) bool
}

// jobContrast is a column of the model.
type jobContrast struct {
	what, against string
	// with reports which side a value is on; nil for a slope.
	with func(x float64) bool
	unit float64 // of a slope
}

// column names the contrast in the design.
func (c jobContrast) column(condition string) string { return condition + ": " + c.what }

// conditions lists what of a job is looked at.
func (l JobLimits) conditions() []jobCondition {
	few, usual, many := fmt.Sprintf("%d or fewer", l.Layers-1), fmt.Sprint(l.Layers), fmt.Sprintf("%d or more", l.Layers+1)
	if l.Layers == 2 {
		few = "1"
	}
	return []jobCondition{
		{name: "air temperature", value: func(j study.Job) *float64 { return j.AirTempC }, contrasts: []jobContrast{
			{what: fmt.Sprintf("below %g °C", l.ColdC), against: fmt.Sprintf("%g to %g °C", l.ColdC, l.HotC), with: func(x float64) bool { return x < l.ColdC }},
			{what: fmt.Sprintf("above %g °C", l.HotC), against: fmt.Sprintf("%g to %g °C", l.ColdC, l.HotC), with: func(x float64) bool { return x > l.HotC }},
		}},
		{name: "humidity", value: func(j study.Job) *float64 { return j.HumidityPct }, contrasts: []jobContrast{
			{what: fmt.Sprintf("above %g %%", l.DampPct), against: fmt.Sprintf("up to %g %%", l.DampPct), with: func(x float64) bool { return x > l.DampPct }},
		}},
		{name: "layers", value: func(j study.Job) *float64 { return float(j.Layers) }, contrasts: []jobContrast{
			{what: few, against: usual, with: func(x float64) bool { return x < float64(l.Layers) }},
			{what: many, against: usual, with: func(x float64) bool { return x > float64(l.Layers) }},
		}},
		{name: "time between layers", value: func(j study.Job) *float64 { return j.LayerIntervalH },
			contrasts: []jobContrast{{what: "for each hour more", unit: 1}},
			applies:   func(j study.Job) bool { return j.Layers == nil || *j.Layers > 1 }},
		{name: "keep-dry time", value: func(j study.Job) *float64 { return j.KeepDryH }, contrasts: []jobContrast{
			{what: fmt.Sprintf("below %g h", l.KeepDryH), against: fmt.Sprintf("%g h or more", l.KeepDryH), with: func(x float64) bool { return x < l.KeepDryH }},
		}},
		{name: "first wash", value: func(j study.Job) *float64 { return j.DaysToFirstWash }, contrasts: []jobContrast{
			{what: fmt.Sprintf("before %g days", l.WashFreeDays), against: fmt.Sprintf("%g days or later", l.WashFreeDays), with: func(x float64) bool { return x < l.WashFreeDays }},
		}},
		{name: "alcohol in the prep wipe", value: func(j study.Job) *float64 { return j.PrepAlcoholPct },
			contrasts: []jobContrast{{what: "for each 10 % more", unit: 10}}},
	}
}

func float(n *int) *float64 {
	if n == nil {
		return nil
	}
	return new(float64(*n))
}

// of returns the value of a job's condition, and whether it has one on record
// or needs none.
func (c jobCondition) of(j study.Job) (value *float64, recorded bool) {
	if c.applies != nil && !c.applies(j) {
		return nil, true
	}
	value = c.value(j)
	return value, value != nil
}
