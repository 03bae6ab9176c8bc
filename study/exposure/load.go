package exposure

import "beadspan/study"

// Load is what a patch has met in some time. What isn't known is nil.
type Load struct {
	Days           float64  `json:"days"`
	UVMJm2         *float64 `json:"uv_mj_m2"`
	FreezeThawDays *float64 `json:"freeze_thaw_days"`
	SaltDays       *float64 `json:"salt_days"`
	HeatDays       *float64 `json:"heat_days"`
	Washes         *float64 `json:"washes"`
	Km             *float64 `json:"km"`
}

// Of returns what the load comes to on a clock; known is false where it isn't
// known.
func (l Load) Of(c Clock) (amount float64, known bool) {
	if c == Months {
		return l.Days / study.DaysPerMonth, true
	}
	if at := l.field(c); *at != nil {
		return **at, true
	}
	return 0, false
}

// field is where the load of a clock other than the calendar's is kept.
func (l *Load) field(c Clock) **float64 {
	switch c {
	case UV:
		return &l.UVMJm2
	case FreezeThaw:
		return &l.FreezeThawDays
	case Salt:
		return &l.SaltDays
	case Heat:
		return &l.HeatDays
	case Washes:
		return &l.Washes
	case Km:
		return &l.Km
	}
	panic("exposure: there is no clock " + string(c))
}
