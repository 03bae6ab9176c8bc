package study

// Metric is what a study's protocol looks at to tell whether water is still
// repelled.
type Metric string

// The metrics.
const (
	Angle     Metric = "angle"      // mean contact angle of the drops, degrees
	SheetTime Metric = "sheet_time" // seconds until the panel is clear
	WetShare  Metric = "wet_share"  // % of the panel still wet after a minute
	BeadGrade Metric = "bead_grade" // 1 to 5
)

// metricRule says how one metric is taken from a reading and judged. A new
// metric is a new row of metricRules.
type metricRule struct {
	unit         string
	low, high    float64 // what a threshold may be
	higherIsGood bool
	value        func(Reading) (value float64, measured bool)
}

var metricRules = map[Metric]metricRule{
	Angle:     {"degrees", 0, 180, true, Reading.MeanAngleDeg},
	SheetTime: {"seconds", 0, 3600, false, func(r Reading) (float64, bool) { return given(r.SheetTimeS) }},
	WetShare:  {"%", 0, 100, false, func(r Reading) (float64, bool) { return given(r.WetSharePct) }},
	BeadGrade: {"grade", 1, 5, true, func(r Reading) (float64, bool) {
		if r.BeadGrade == nil {
			return 0, false
		}
		return float64(*r.BeadGrade), true
	}},
}

// Metrics lists the metrics.
func Metrics() []Metric { return []Metric{Angle, SheetTime, WetShare, BeadGrade} }

// Unit names the unit of the metric's values.
func (m Metric) Unit() string { return metricRules[m].unit }

// HigherIsGood reports whether a high value means that water is repelled.
func (m Metric) HigherIsGood() bool { return metricRules[m].higherIsGood }

// Value takes the metric from a reading; measured is false when the reading
// doesn't have it.
func (m Metric) Value(r Reading) (value float64, measured bool) {
	return metricRules[m].value(r)
}

// MeanAngleDeg is the mean of the drops' angles; measured is false when there
// are none.
func (r Reading) MeanAngleDeg() (mean float64, measured bool) {
	if len(r.AnglesDeg) == 0 {
		return 0, false
	}
	for _, a := range r.AnglesDeg {
		mean += a
	}
	return mean / float64(len(r.AnglesDeg)), true
}

func given(x *float64) (float64, bool) {
	if x == nil {
		return 0, false
	}
	return *x, true
}
