package web

import (
	"math"

	"beadspan/study"
)

// apiVehicle is a vehicle as programs read it.
type apiVehicle struct {
	Code      string       `json:"code"`
	Site      string       `json:"site" doc:"Code of where it lives."`
	Shop      string       `json:"shop" doc:"Code of the shop that looks after it; empty for none."`
	Enrolled  study.Day    `json:"enrolled" format:"date" doc:"The day from which it is followed."`
	Garage    study.Garage `json:"garage" doc:"How it is kept: indoors, carport or outdoors; empty where nobody knows."`
	KmPerYear *float64     `json:"km_per_year"`
	Note      string       `json:"note"`
	Patches   []apiPatch   `json:"patches" nullable:"false"`
	Checkups  []apiCheckup `json:"checkups" nullable:"false" doc:"In order of day."`
	Care      []apiCare    `json:"care" nullable:"false" doc:"In order of day."`
}

type apiPatch struct {
	ID          study.ID          `json:"id" format:"uuid"`
	Code        string            `json:"code"`
	Panel       string            `json:"panel"`
	Orientation study.Orientation `json:"orientation" enum:"horizontal,vertical"`
	Substrate   study.Substrate   `json:"substrate" enum:"paint,film,wrap"`
	Finish      study.Finish      `json:"finish" enum:"gloss,satin,matte"`
	Coating     string            `json:"coating" doc:"House code."`
	Control     bool              `json:"control" doc:"A bare panel, with which coatings are compared."`
	Applied     study.Day         `json:"applied" format:"date"`
	InService   study.Day         `json:"in_service" format:"date" doc:"The day from which its life counts."`
	Job         apiJobConditions  `json:"job"`
	Note        string            `json:"note"`
	Standing    study.Standing    `json:"standing" enum:"holding,doubtful,spent,ended,unread"`
	Span        *apiSpan          `json:"span" doc:"What is known of its life; null while nothing is."`
	Reviews     []apiReview       `json:"reviews" nullable:"false" doc:"What somebody should look at."`
}

// apiSpan is a life as the data know it.
type apiSpan struct {
	EntryDays float64        `json:"entry_days" doc:"Where following began."`
	LowerDays float64        `json:"lower_days" doc:"The last proof that it held."`
	UpperDays *float64       `json:"upper_days" doc:"The first counted fail; null while there is none."`
	Ended     study.CareKind `json:"ended" doc:"The care that ended the following; empty where none did."`
	EndedOn   *study.Day     `json:"ended_on"`
}

type apiReview struct {
	Day  study.Day        `json:"day" format:"date"`
	What study.ReviewKind `json:"what" enum:"cancelled_fail,pass_after_spent,contrary_pair"`
}

// apiJobConditions are how a patch was coated.
type apiJobConditions struct {
	Layers          *int     `json:"layers" required:"false"`
	LayerIntervalH  *float64 `json:"layer_interval_h" required:"false" doc:"Hours between layers."`
	FlashS          *float64 `json:"flash_s" required:"false" doc:"Seconds from spreading to levelling."`
	AirTempC        *float64 `json:"air_temp_c" required:"false"`
	HumidityPct     *float64 `json:"humidity_pct" required:"false"`
	PrepAlcoholPct  *float64 `json:"prep_alcohol_pct" required:"false" doc:"Isopropyl alcohol in the prep wipe."`
	KeepDryH        *float64 `json:"keep_dry_h" required:"false" doc:"Hours kept dry after the last layer."`
	DaysToFirstWash *float64 `json:"days_to_first_wash" required:"false"`
}

type apiCheckup struct {
	ID       study.ID     `json:"id" format:"uuid"`
	Day      study.Day    `json:"day" format:"date"`
	Operator string       `json:"operator" doc:"Code; empty where nobody wrote it down."`
	Note     string       `json:"note"`
	Readings []apiReading `json:"readings" nullable:"false"`
}

type apiCare struct {
	ID       study.ID       `json:"id" format:"uuid"`
	Day      study.Day      `json:"day" format:"date"`
	Patch    string         `json:"patch" doc:"Code; empty: the whole vehicle."`
	Kind     study.CareKind `json:"kind"`
	Operator string         `json:"operator" doc:"Code; empty where nobody wrote it down."`
	Note     string         `json:"note"`
}

// newAPIVehicle is the one vehicle of a fleet, judged under the protocol.
func newAPIVehicle(fleet study.Fleet, p study.Protocol) apiVehicle {
	v := fleet.Vehicles[0]
	out := apiVehicle{Code: v.Code, Enrolled: v.Enrolled, Garage: v.Garage, KmPerYear: v.KmPerYear, Note: v.Note,
		Patches: []apiPatch{}, Checkups: []apiCheckup{}, Care: []apiCare{}}
	for _, s := range fleet.Sites {
		out.Site = s.Code
	}
	for _, s := range fleet.Shops {
		out.Shop = s.Code
	}
	people, patches := map[study.ID]string{}, map[study.ID]string{}
	for _, person := range fleet.People {
		people[person.ID] = person.Code
	}
	for _, f := range fleet.Follow(p) {
		patches[f.Patch.ID] = f.Patch.Code
		out.Patches = append(out.Patches, newAPIPatch(f))
	}
	for _, c := range v.Checkups {
		checkup := apiCheckup{ID: c.ID, Day: c.Day, Operator: codeOf(people, c.OperatorID), Note: c.Note, Readings: []apiReading{}}
		for _, r := range c.Readings {
			checkup.Readings = append(checkup.Readings, apiReading{patches[r.PatchID], r.Stage,
				append([]float64{}, r.AnglesDeg...), r.SheetTimeS, r.WetSharePct, r.BeadGrade, r.Note})
		}
		out.Checkups = append(out.Checkups, checkup)
	}
	for _, c := range v.Care {
		out.Care = append(out.Care, apiCare{c.ID, c.Day, codeOf(patches, c.PatchID), c.Kind, codeOf(people, c.OperatorID), c.Note})
	}
	return out
}

// codeOf is the code of a record that may be none.
func codeOf(codes map[study.ID]string, id *study.ID) string {
	if id == nil {
		return ""
	}
	return codes[*id]
}

func newAPIPatch(f study.Followed) apiPatch {
	p := f.Patch
	out := apiPatch{ID: p.ID, Code: p.Code, Panel: p.Panel, Orientation: p.Orientation, Substrate: p.Substrate, Finish: p.Finish,
		Coating: f.Coating.Code, Control: f.Coating.Control, Applied: p.Applied, InService: p.InService(),
		Job: apiJobConditions(p.Job), Note: p.Note, Standing: f.Span.Standing, Reviews: []apiReview{}}
	for _, r := range f.Span.Reviews {
		out.Reviews = append(out.Reviews, apiReview{r.Day, r.What})
	}
	if !f.Span.Known {
		return out
	}
	out.Span = &apiSpan{EntryDays: f.Span.EntryDays, LowerDays: f.Span.LowerDays, Ended: f.Span.Ended}
	if !math.IsInf(f.Span.UpperDays, 1) {
		out.Span.UpperDays = &f.Span.UpperDays
	}
	if f.Span.Ended != "" {
		out.Span.EndedOn = &f.Span.EndedOn
	}
	return out
}
