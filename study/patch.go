package study

import "math"

// Patch is one coating on one panel of one vehicle: the unit that lives and
// dies.
type Patch struct {
	ID          ID
	Code        string // unique on its vehicle
	CoatingID   ID
	Panel       string // "bonnet", "roof", "left door"
	Orientation Orientation
	Substrate   Substrate
	Finish      Finish
	Applied     Day // the day on which the last layer was laid
	Job         Job
	Note        string
}

// Job is the conditions under which a patch was coated; nil where nobody wrote
// it down.
type Job struct {
	Layers         *int
	LayerIntervalH *float64 // hours between layers
	FlashS         *float64 // seconds from spreading to levelling
	AirTempC       *float64
	HumidityPct    *float64 // relative humidity
	// PrepAlcoholPct is the share of isopropyl alcohol in the prep wipe.
	PrepAlcoholPct  *float64
	KeepDryH        *float64 // hours kept dry after the last layer
	DaysToFirstWash *float64
}

// Orientation says which way a panel faces, which decides sun and dirt.
type Orientation string

// The orientations.
const (
	Horizontal Orientation = "horizontal"
	Vertical   Orientation = "vertical"
)

// Orientations lists the orientations.
func Orientations() []Orientation { return []Orientation{Horizontal, Vertical} }

// Substrate is what lies under the coating.
type Substrate string

// The substrates.
const (
	Paint Substrate = "paint"
	Film  Substrate = "film" // clear protective film
	Wrap  Substrate = "wrap" // coloured vinyl
)

// Substrates lists the substrates.
func Substrates() []Substrate { return []Substrate{Paint, Film, Wrap} }

// Finish is the sheen of the substrate.
type Finish string

// The finishes.
const (
	Gloss Finish = "gloss"
	Satin Finish = "satin"
	Matte Finish = "matte"
)

// Finishes lists the finishes.
func Finishes() []Finish { return []Finish{Gloss, Satin, Matte} }

// Validate says what is wrong with p.
func (p Patch) Validate() Problems {
	var ps Problems
	ps.code("code", p.Code)
	if p.Panel == "" {
		ps.add("panel", "", "expected the panel, such as bonnet or left door")
	}
	oneOf(&ps, "orientation", p.Orientation, Orientations())
	oneOf(&ps, "substrate", p.Substrate, Substrates())
	oneOf(&ps, "finish", p.Finish, Finishes())
	if p.Job.Layers != nil && (*p.Job.Layers < 1 || *p.Job.Layers > 10) {
		ps.add("layers", number(float64(*p.Job.Layers)), "expected 1 to 10 layers")
	}
	ps.within("layer_interval_h", p.Job.LayerIntervalH, 0, 240, "hours")
	ps.within("flash_s", p.Job.FlashS, 0, 3600, "seconds")
	ps.within("air_temp_c", p.Job.AirTempC, -20, 60, "°C")
	ps.within("humidity_pct", p.Job.HumidityPct, 0, 100, "%")
	ps.within("prep_alcohol_pct", p.Job.PrepAlcoholPct, 0, 100, "%")
	ps.within("keep_dry_h", p.Job.KeepDryH, 0, 336, "hours")
	ps.within("days_to_first_wash", p.Job.DaysToFirstWash, 0, 365, "days")
	return ps
}

// InService returns the day on which the patch's service begins: the day on
// which the keep-dry time after the last layer has ended, the last layer being
// laid at the end of a working day. Where nobody wrote the keep-dry time down
// it counts as 24 hours (common practice, no source).
func (p Patch) InService() Day {
	hours := 24.0
	if p.Job.KeepDryH != nil {
		hours = *p.Job.KeepDryH
	}
	return p.Applied + Day(math.Ceil(hours/24))
}
