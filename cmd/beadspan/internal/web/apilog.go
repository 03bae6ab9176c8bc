package web

import (
	"context"
	"errors"
	"net/http"

	"github.com/danielgtaylor/huma/v2"

	"beadspan/study"
)

// apiResult says what became of one thing that was sent.
type apiResult struct {
	ID     study.ID `json:"id" format:"uuid" doc:"As sent."`
	Result string   `json:"result" enum:"stored,known,proposed,refused" doc:"Stored just now; known, all of it having been stored before; proposed, a stored record saying otherwise, so that somebody has to decide; refused."`
	// Waiting are those of the vehicle.
	Waiting  []takenAmendment    `json:"waiting" nullable:"false" doc:"Amendments of the vehicle that wait to be decided, where any was proposed."`
	Warnings []string            `json:"warnings" nullable:"false" doc:"Where common practice would do otherwise: nothing is refused for it."`
	Problems []*huma.ErrorDetail `json:"problems" nullable:"false" doc:"Why it was refused: all that is wrong."`
}

// apiResults answers what was sent, in its order.
type apiResults struct {
	Body struct {
		Results []apiResult `json:"results" nullable:"false"`
	}
}

// apiSentVisit is a visit as programs send it.
type apiSentVisit struct {
	ID       study.ID       `json:"id" format:"uuid" doc:"A UUIDv7 made where the visit was logged: sent again, it is stored once." example:"01981b5e-8c00-7abc-8def-0123456789ab"`
	Vehicle  string         `json:"vehicle" maxLength:"100" doc:"Code of the vehicle." example:"V001"`
	Day      study.Day      `json:"day" format:"date" example:"2025-05-30"`
	Note     string         `json:"note" required:"false" maxLength:"2000"`
	Readings []apiReading   `json:"readings" required:"false" maxItems:"300"`
	Care     []apiCareGiven `json:"care" required:"false" maxItems:"100" doc:"Care given on the same day."`
}

type apiCareGiven struct {
	ID    study.ID       `json:"id" format:"uuid" doc:"A UUIDv7, as of the visit." example:"01981b5e-8c01-7abc-8def-0123456789ab"`
	Patch string         `json:"patch" required:"false" maxLength:"100" doc:"Code; left out: the whole vehicle."`
	Kind  study.CareKind `json:"kind" enum:"maintenance_wash,iron_remover,decon_wash,topper,polish,clay,polish_through,film_replaced,repaint,recoat,sold,lost" example:"maintenance_wash"`
	Note  string         `json:"note" required:"false" maxLength:"2000"`
}

// apiVisits are visits to store.
type apiVisits struct {
	apiOfStudy
	Body struct {
		Visits []apiSentVisit `json:"visits" minItems:"1" maxItems:"200" nullable:"false"`
	}
}

// apiSentJob is a coating job as programs send it.
type apiSentJob struct {
	ID        study.ID         `json:"id" format:"uuid" doc:"A UUIDv7 made where the job was logged; the vehicle's, where that is new." example:"01981b5e-9000-7abc-8def-0123456789ab"`
	Vehicle   string           `json:"vehicle" maxLength:"100" doc:"Code of a stored vehicle or, with site, of a new one." example:"V004"`
	Site      string           `json:"site" required:"false" maxLength:"100" doc:"Of a new vehicle: code of the stored site where it lives." example:"COAST"`
	Shop      string           `json:"shop" required:"false" maxLength:"100" doc:"Of a new vehicle: code of the shop that looks after it."`
	Garage    study.Garage     `json:"garage" required:"false" doc:"Of a new vehicle: indoors, carport or outdoors; left out where nobody knows." example:"carport"`
	Coating   string           `json:"coating" maxLength:"100" doc:"House code; one that isn't known is added." example:"FLEX-1"`
	CoatingID study.ID         `json:"coating_id" format:"uuid" doc:"A UUIDv7 for the coating, should it be new." example:"01981b5e-9001-7abc-8def-0123456789ab"`
	Applied   study.Day        `json:"applied" format:"date" doc:"The day of the last layer." example:"2025-05-28"`
	Substrate study.Substrate  `json:"substrate" enum:"paint,film,wrap" example:"wrap"`
	Finish    study.Finish     `json:"finish" enum:"gloss,satin,matte" example:"satin"`
	Patches   []apiSentPatch   `json:"patches" minItems:"1" maxItems:"100" nullable:"false"`
	Job       apiSentCondition `json:"job" required:"false"`
	Note      string           `json:"note" required:"false" maxLength:"2000"`
}

type apiSentPatch struct {
	ID          study.ID          `json:"id" format:"uuid" doc:"A UUIDv7." example:"01981b5e-9002-7abc-8def-0123456789ab"`
	Code        string            `json:"code" maxLength:"100" doc:"Unique on the vehicle." example:"RF"`
	Panel       string            `json:"panel" maxLength:"200" example:"roof"`
	Orientation study.Orientation `json:"orientation" enum:"horizontal,vertical" example:"horizontal"`
}

// apiSentCondition are the conditions that are known on the day of coating.
type apiSentCondition struct {
	Layers         *int     `json:"layers" required:"false" example:"2"`
	LayerIntervalH *float64 `json:"layer_interval_h" required:"false" doc:"Hours between layers."`
	FlashS         *float64 `json:"flash_s" required:"false" doc:"Seconds from spreading to levelling."`
	AirTempC       *float64 `json:"air_temp_c" required:"false" example:"19.5"`
	HumidityPct    *float64 `json:"humidity_pct" required:"false" example:"55"`
	PrepAlcoholPct *float64 `json:"prep_alcohol_pct" required:"false" doc:"Isopropyl alcohol in the prep wipe."`
	KeepDryH       *float64 `json:"keep_dry_h" required:"false" doc:"Hours kept dry after the last layer." example:"24"`
}

// apiJobs are coating jobs to store.
type apiJobs struct {
	apiOfStudy
	Body struct {
		Jobs []apiSentJob `json:"jobs" minItems:"1" maxItems:"200" nullable:"false"`
	}
}

func (a *api) registerLog() {
	const again = " Each is stored whole or not at all, and its result says which. Whoever gets no answer sends the same again: " +
		"what is stored is then known, and never stored twice. What differs from a stored record is kept as a proposed amendment."
	offer(a, logging, huma.Operation{
		OperationID: "log-visits", Method: http.MethodPost, Path: "/studies/{study}/visits", Tags: []string{"log"},
		Summary: "Log visits", Description: "A visit is what was read at one vehicle on one day, and the care of that day." + again,
	}, a.logVisits)
	offer(a, logging, huma.Operation{
		OperationID: "log-jobs", Method: http.MethodPost, Path: "/studies/{study}/jobs", Tags: []string{"log"},
		Summary: "Log coating jobs", Description: "A job is one coating on one or more panels of one vehicle, which may be new." + again,
	}, a.logJobs)
}

func (a *api) logVisits(ctx context.Context, c *caller, in *apiVisits) (*apiResults, error) {
	return logAll(in.Body.Visits, func(sent apiSentVisit) (study.ID, taken, error) {
		answer, err := a.logVisit(ctx, c.viewer, sent.visit())
		return sent.ID, answer, err
	})
}

func (a *api) logJobs(ctx context.Context, c *caller, in *apiJobs) (*apiResults, error) {
	return logAll(in.Body.Jobs, func(sent apiSentJob) (study.ID, taken, error) {
		answer, err := a.logJob(ctx, c.viewer, sent.job())
		return sent.ID, answer, err
	})
}

// logAll logs one after another. What can't be right is refused, and the rest
// goes on; where nothing can be stored at present the whole call fails.
func logAll[T any](list []T, log func(T) (study.ID, taken, error)) (*apiResults, error) {
	out := &apiResults{}
	for _, sent := range list {
		id, answer, err := log(sent)
		result := apiResult{ID: id, Result: answer.Result, Waiting: append([]takenAmendment{}, answer.Waiting...),
			Warnings: append([]string{}, answer.Warnings...), Problems: []*huma.ErrorDetail{}}
		var problems study.Problems
		switch {
		case errors.As(err, &problems):
		case errors.Is(err, study.ErrNotFound):
			problems = study.Problems{{Column: "vehicle", Want: "there is no vehicle of this code that you may see"}}
		case err != nil:
			return nil, err
		}
		if err != nil {
			result.Result, result.Problems = "refused", errorDetails(problems)
		}
		out.Body.Results = append(out.Body.Results, result)
	}
	return out, nil
}

// visit is what a phone in the bay sends.
func (sent apiSentVisit) visit() sentVisit {
	v := sentVisit{ID: sent.ID, Vehicle: sent.Vehicle, Day: sent.Day, Note: sent.Note}
	for _, r := range sent.Readings {
		v.Readings = append(v.Readings, sentReading(r))
	}
	for _, c := range sent.Care {
		v.Care = append(v.Care, sentCare(c))
	}
	return v
}

// job is what a phone in the bay sends.
func (sent apiSentJob) job() sentJob {
	j := sentJob{ID: sent.ID, Vehicle: sent.Vehicle, Site: sent.Site, Shop: sent.Shop, Garage: sent.Garage,
		Coating: sent.Coating, CoatingID: sent.CoatingID, Applied: sent.Applied, Substrate: sent.Substrate, Finish: sent.Finish,
		Job: sentConditions(sent.Job), Note: sent.Note}
	for _, p := range sent.Patches {
		j.Patches = append(j.Patches, sentPatch(p))
	}
	return j
}
