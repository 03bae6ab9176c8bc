package study

import "slices"

// Checkup is one visit of a vehicle on one day, by one operator.
type Checkup struct {
	ID         ID
	Day        Day
	OperatorID *ID // nil when nobody wrote it down
	Note       string
	Readings   []Reading
}

// Reading is one patch at one checkup at one stage. Whatever was not measured
// is missing: no angles, or nil.
type Reading struct {
	PatchID ID
	Stage   Stage
	// AnglesDeg holds the water contact angle of each drop, in degrees.
	// Whoever needs the mean takes it.
	AnglesDeg []float64
	// SheetTimeS is the time from stopping the hose until nine tenths of the
	// panel is clear, in seconds.
	SheetTimeS *float64
	// WetSharePct is the share of the panel still wet after a minute, in %.
	WetSharePct *float64
	// BeadGrade runs from 1, a closed sheet of water, to 5, round drops.
	BeadGrade *int
	Note      string
}

// Stage is when in the visit a reading was taken.
type Stage string

// The stages of a visit, in the order in which they are reached.
const (
	Arrival Stage = "arrival" // as driven in
	Washed  Stage = "washed"  // after the maintenance wash
	Decon   Stage = "decon"   // after a decontamination wash, which takes traffic film off
)

// Stages lists the stages in the order in which a visit reaches them.
func Stages() []Stage { return []Stage{Arrival, Washed, Decon} }

func (s Stage) order() int { return slices.Index(Stages(), s) }

// MostDrops is how many drops a reading may have.
const MostDrops = 20

// Validate says what is wrong with r.
func (r Reading) Validate() Problems {
	var ps Problems
	oneOf(&ps, "stage", r.Stage, Stages())
	if len(r.AnglesDeg) > MostDrops {
		ps.add("angle_1_deg", number(float64(len(r.AnglesDeg)))+" drops", "expected 20 drops or fewer")
	}
	for i := range r.AnglesDeg {
		ps.within(AngleColumn(i), &r.AnglesDeg[i], 0, 180, "degrees")
	}
	ps.within("sheet_time_s", r.SheetTimeS, 0, 3600, "seconds")
	ps.within("wet_share_pct", r.WetSharePct, 0, 100, "%")
	if r.BeadGrade != nil && (*r.BeadGrade < 1 || *r.BeadGrade > 5) {
		ps.add("bead_grade", number(float64(*r.BeadGrade)), "expected a grade from 1 (closed sheet) to 5 (round drops)")
	}
	if len(r.AnglesDeg) == 0 && r.SheetTimeS == nil && r.WetSharePct == nil && r.BeadGrade == nil {
		ps.add("", "", "nothing was measured: expected a drop angle, a sheet time, a wet share or a bead grade")
	}
	return ps
}

// AngleColumn names the column of the i-th drop's angle, counted from 0.
func AngleColumn(i int) string {
	return "angle_" + number(float64(i+1)) + "_deg"
}
