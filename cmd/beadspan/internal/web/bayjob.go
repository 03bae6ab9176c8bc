package web

import (
	"context"
	"errors"
	"net/http"

	"beadspan/study"
)

// sentJob is a coating job as a phone sends it: one or more patches of one
// vehicle, which may be a new one.
type sentJob struct {
	ID      study.ID `json:"id"` // of a vehicle that is new
	Vehicle string   `json:"vehicle"`
	// Of a new vehicle: codes, and how it is kept.
	Site   string       `json:"site"`
	Shop   string       `json:"shop"`
	Garage study.Garage `json:"garage"`

	Coating   string          `json:"coating"`    // code
	CoatingID study.ID        `json:"coating_id"` // of a coating that is new
	Applied   study.Day       `json:"applied"`
	Substrate study.Substrate `json:"substrate"`
	Finish    study.Finish    `json:"finish"`
	Patches   []sentPatch     `json:"patches"`
	Job       sentConditions  `json:"job"`
	Note      string          `json:"note"`
}

type sentPatch struct {
	ID          study.ID          `json:"id"`
	Code        string            `json:"code"`
	Panel       string            `json:"panel"`
	Orientation study.Orientation `json:"orientation"`
}

// sentConditions are those of study.Job that are known on the day of coating.
type sentConditions struct {
	Layers         *int     `json:"layers"`
	LayerIntervalH *float64 `json:"layer_interval_h"`
	FlashS         *float64 `json:"flash_s"`
	AirTempC       *float64 `json:"air_temp_c"`
	HumidityPct    *float64 `json:"humidity_pct"`
	PrepAlcoholPct *float64 `json:"prep_alcohol_pct"`
	KeepDryH       *float64 `json:"keep_dry_h"`
}

// takeJob stores a coating job that a phone has logged.
func (s *Server) takeJob(w http.ResponseWriter, r *http.Request, v *viewer) error {
	var sent sentJob
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	answer, err := s.logJob(r.Context(), v, sent)
	if err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, answer)
}

// logJob stores a coating job that somebody has sent.
func (s *Server) logJob(ctx context.Context, v *viewer, sent sentJob) (taken, error) {
	problems := append(s.notAhead("applied", sent.Applied), since2000("applied", sent.Applied)...)
	if len(sent.Patches) == 0 {
		problems = append(problems, study.Problem{Column: "patches", Want: "expected at least one panel"})
	}
	if err := problems.OrNil(); err != nil {
		return taken{}, err
	}
	vehicle, err := sent.vehicle(ctx, v.records)
	if err != nil {
		return taken{}, err
	}
	for _, p := range sent.Patches {
		vehicle.Patches = append(vehicle.Patches, study.Patch{ID: p.ID, Code: p.Code, CoatingID: sent.CoatingID, Panel: p.Panel,
			Orientation: p.Orientation, Substrate: sent.Substrate, Finish: sent.Finish, Applied: sent.Applied, Job: sent.Job.conditions(), Note: sent.Note})
	}
	// The coating of a known code is the stored one, by the rules of a load.
	coating := study.Coating{ID: sent.CoatingID, Code: sent.Coating}
	return v.records.log(ctx, study.Fleet{Coatings: []study.Coating{coating}, Vehicles: []study.Vehicle{vehicle}})
}

// vehicle is the job's vehicle as it is to be added, unless it is stored.
func (sent sentJob) vehicle(ctx context.Context, x *records) (study.Vehicle, error) {
	vehicle := study.Vehicle{ID: sent.ID, Code: sent.Vehicle, Enrolled: sent.Applied, Garage: sent.Garage}
	if sent.Site == "" {
		return vehicle, nil
	}
	site, err := x.store.SiteByCode(ctx, sent.Site)
	if err != nil && !errors.Is(err, study.ErrNotFound) {
		return vehicle, err
	}
	if err != nil {
		return vehicle, study.Problems{{Column: "site", Got: sent.Site, Want: "expected the code of a stored site"}}
	}
	vehicle.SiteID = site.ID
	if sent.Shop == "" {
		return vehicle, nil
	}
	shops, err := x.myShops(ctx)
	for _, shop := range shops {
		if shop.Code == sent.Shop {
			vehicle.ShopID = &shop.ID
			return vehicle, err
		}
	}
	return vehicle, study.Problems{{Column: "shop", Got: sent.Shop, Want: "expected the code of a shop of yours"}}
}

func (c sentConditions) conditions() study.Job {
	return study.Job{Layers: c.Layers, LayerIntervalH: c.LayerIntervalH, FlashS: c.FlashS, AirTempC: c.AirTempC,
		HumidityPct: c.HumidityPct, PrepAlcoholPct: c.PrepAlcoholPct, KeepDryH: c.KeepDryH}
}
