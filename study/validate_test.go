package study

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func ptr[T any](x T) *T { return &x }

// validated is anything that can say what is wrong with it.
type validated interface{ Validate() Problems }

func goodSite() Site {
	return Site{Code: "harbour", LatitudeDeg: 53.5, LongitudeDeg: 8.6, Koppen: "Cfb"}
}

func goodPatch() Patch {
	return Patch{Code: "P1", Panel: "bonnet", Orientation: Horizontal, Substrate: Film, Finish: Gloss}
}

// TestValidate breaks one thing at a time and expects the problem under the
// name of that thing's column.
func TestValidate(t *testing.T) {
	with := func(change func(*Patch)) Patch {
		p := goodPatch()
		change(&p)
		return p
	}
	site := func(change func(*Site)) Site {
		s := goodSite()
		change(&s)
		return s
	}
	nan := math.NaN()
	cases := []struct {
		name   string
		record validated
		column string // empty: nothing is wrong
	}{
		{"coating", Coating{Code: "K-1", ClaimLowMonths: ptr(12.0), ClaimHighMonths: ptr(24.0)}, ""},
		{"coating without a code", Coating{}, "code"},
		{"code with a space", Coating{Code: "K 1"}, "code"},
		{"claim below nothing", Coating{Code: "K", ClaimLowMonths: ptr(-1.0)}, "claim_low_months"},
		{"claim turned round", Coating{Code: "K", ClaimLowMonths: ptr(24.0), ClaimHighMonths: ptr(12.0)}, "claim_high_months"},
		{"claim that is no number", Coating{Code: "K", ClaimLowMonths: &nan}, "claim_low_months"},

		{"site", goodSite(), ""},
		{"latitude beyond the pole", site(func(s *Site) { s.LatitudeDeg = 90.1 }), "latitude"},
		{"longitude beyond the date line", site(func(s *Site) { s.LongitudeDeg = -180.1 }), "longitude"},
		{"no such climate", site(func(s *Site) { s.Koppen = "Xyz" }), "climate"},
		{"eleven months", site(func(s *Site) { s.MeanTempC = make([]float64, 11) }), "temp_c_monthly"},
		{"a month too hot", site(func(s *Site) { s.MeanTempC = []float64{0, 0, 0, 0, 0, 0, 61, 0, 0, 0, 0, 0} }), "temp_c_monthly"},
		{"negative rain", site(func(s *Site) { s.PrecipitationMM = []float64{0, 0, 0, 0, 0, 0, -1, 0, 0, 0, 0, 0} }), "rain_mm_monthly"},

		{"vehicle", Vehicle{Code: "V-001", Garage: Carport}, ""},
		{"no such garage", Vehicle{Code: "V-001", Garage: "cave"}, "garage"},
		{"driven too far", Vehicle{Code: "V-001", KmPerYear: ptr(1e6)}, "km_per_year"},

		{"patch", goodPatch(), ""},
		{"no panel", with(func(p *Patch) { p.Panel = "" }), "panel"},
		{"no orientation", with(func(p *Patch) { p.Orientation = "" }), "orientation"},
		{"no such substrate", with(func(p *Patch) { p.Substrate = "glass" }), "substrate"},
		{"no such finish", with(func(p *Patch) { p.Finish = "shiny" }), "finish"},
		{"no layer at all", with(func(p *Patch) { p.Job.Layers = ptr(0) }), "layers"},
		{"air on the boil", with(func(p *Patch) { p.Job.AirTempC = ptr(100.0) }), "air_temp_c"},
		{"wetter than wet", with(func(p *Patch) { p.Job.HumidityPct = ptr(101.0) }), "humidity_pct"},
		{"stronger than pure", with(func(p *Patch) { p.Job.PrepAlcoholPct = ptr(101.0) }), "prep_alcohol_pct"},

		{"reading", Reading{Stage: Decon, AnglesDeg: []float64{0, 180}}, ""},
		{"no stage", Reading{AnglesDeg: []float64{100}}, "stage"},
		{"second drop beyond flat", Reading{Stage: Decon, AnglesDeg: []float64{100, 180.1}}, "angle_2_deg"},
		{"drop that is no number", Reading{Stage: Decon, AnglesDeg: []float64{nan}}, "angle_1_deg"},
		{"too many drops", Reading{Stage: Decon, AnglesDeg: make([]float64, 21)}, "angle_1_deg"},
		{"wet share", Reading{Stage: Decon, WetSharePct: ptr(100.5)}, "wet_share_pct"},
		{"sheet time", Reading{Stage: Decon, SheetTimeS: ptr(-1.0)}, "sheet_time_s"},
		{"bead grade", Reading{Stage: Decon, BeadGrade: ptr(6)}, "bead_grade"},

		{"care", Care{Kind: Topper}, ""},
		{"no such care", Care{Kind: "magic"}, "kind"},

		{"study", Study{Code: "field", Protocol: DefaultProtocol()}, ""},
		{"no such metric", Study{Code: "field", Protocol: Protocol{Metric: "shine", Confirm: 2, Estimand: ToTopper, Claim: DefaultClaimRule()}}, "metric"},
		{"threshold out of range", Study{Code: "field", Protocol: Protocol{Metric: Angle, Threshold: 181, Confirm: 2, Estimand: ToTopper, Claim: DefaultClaimRule()}}, "threshold"},
		{"confirmed by nothing", Study{Code: "field", Protocol: Protocol{Metric: Angle, Threshold: 90, Estimand: ToTopper, Claim: DefaultClaimRule()}}, "confirm"},
		{"no such estimand", Study{Code: "field", Protocol: Protocol{Metric: Angle, Threshold: 90, Confirm: 2, Estimand: "any", Claim: DefaultClaimRule()}}, "estimand"},

		{"rule of claims", ClaimRule{LowPct: 99, HighPct: 1, ConfidencePct: 80}, ""},
		{"all must outlast the lower end", ClaimRule{LowPct: 100, HighPct: 10, ConfidencePct: 95}, "claim_low_pct"},
		{"none must outlast the higher end", ClaimRule{LowPct: 80, HighPct: 0, ConfidencePct: 95}, "claim_high_pct"},
		{"more at the higher end", ClaimRule{LowPct: 50, HighPct: 60, ConfidencePct: 95}, "claim_high_pct"},
		{"quite sure", ClaimRule{LowPct: 80, HighPct: 10, ConfidencePct: nan}, "claim_confidence_pct"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			got := c.record.Validate()
			if c.column == "" {
				assert.Empty(t, got)
				return
			}
			if assert.Len(t, got, 1) {
				assert.Equal(t, c.column, got[0].Column)
			}
		})
	}
	assert.NotEmpty(t, Reading{Stage: Decon}.Validate(), "a reading must hold something")
}

// The classes that Köppen and Geiger's letters can form, as counted by Beck et
// al., Scientific Data 10 (2023) 724: thirty.
func TestKoppenClasses(t *testing.T) {
	assert.Len(t, KoppenClasses(), 30)
}

func TestProblemText(t *testing.T) {
	p := Problem{File: "checkups.csv", Row: 17, Column: "angle_1_deg", Got: "190", Want: "expected 0 to 180 degrees"}
	assert.Equal(t, `checkups.csv, row 17, angle_1_deg: "190": expected 0 to 180 degrees`, p.String())
	assert.Equal(t, "nothing was measured", Problem{Want: "nothing was measured"}.String())
	assert.NoError(t, Problems(nil).OrNil())
	assert.EqualError(t, Problems{p, {Want: "more"}}, p.String()+"\nmore")
}

func TestFollowBringsCoatingAndSite(t *testing.T) {
	coating, site := Coating{ID: NewID(), Code: "K"}, Site{ID: NewID(), Code: "harbour"}
	v, patch := history(t, "30 washed 95", "60 decon 85", "90 decon 84")
	v.SiteID, v.Patches[0].CoatingID = site.ID, coating.ID
	fleet := Fleet{Coatings: []Coating{coating}, Sites: []Site{site}, Vehicles: []Vehicle{v}}

	got := fleet.Follow(DefaultProtocol())
	if assert.Len(t, got, 1) {
		assert.Equal(t, "K", got[0].Coating.Code)
		assert.Equal(t, "harbour", got[0].Site.Code)
		assert.Equal(t, patch.ID, got[0].Patch.ID)
		assert.Equal(t, 60.0, got[0].Span.UpperDays)
	}
	assert.Equal(t, Size{Coatings: 1, Sites: 1, Vehicles: 1, Patches: 1, Checkups: 3, Readings: 3}, fleet.Size())

	var sum Decided
	sum.Add(got[0].Span.Decided)
	sum.Add(got[0].Span.Decided)
	assert.Equal(t, Decided{Patches: 2, Visits: 6, Spent: 2}, sum)
}
