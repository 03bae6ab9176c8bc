package web

import (
	"context"
	"net/http"

	"beadspan/study"
	"beadspan/study/store"
)

// sentVisit is a checkup and the care of the same day, as a phone sends them.
// The ids were made on the phone, so that sending it again stores it once.
type sentVisit struct {
	ID       study.ID      `json:"id"`
	Vehicle  string        `json:"vehicle"` // code
	Day      study.Day     `json:"day"`
	Note     string        `json:"note"`
	Readings []sentReading `json:"readings"`
	Care     []sentCare    `json:"care"`
}

type sentReading struct {
	Patch       string      `json:"patch"` // code
	Stage       study.Stage `json:"stage"`
	AnglesDeg   []float64   `json:"angles_deg"`
	SheetTimeS  *float64    `json:"sheet_time_s"`
	WetSharePct *float64    `json:"wet_share_pct"`
	BeadGrade   *int        `json:"bead_grade"`
	Note        string      `json:"note"`
}

type sentCare struct {
	ID    study.ID       `json:"id"`
	Patch string         `json:"patch"` // code; empty: the whole vehicle
	Kind  study.CareKind `json:"kind"`
	Note  string         `json:"note"`
}

// taken says what became of something that a phone sent.
type taken struct {
	// Result is stored; known, when all of it had been sent before; or
	// proposed, when a stored record says otherwise and somebody has to decide.
	Result   string           `json:"result"`
	Waiting  []takenAmendment `json:"waiting,omitempty"`
	Warnings []string         `json:"warnings,omitempty"`
}

// takenAmendment is a difference from a stored record.
type takenAmendment struct {
	Record  string         `json:"record"`
	Changes []study.Change `json:"changes"`
}

// takeVisit stores what a phone has logged at one vehicle.
func (s *Server) takeVisit(w http.ResponseWriter, r *http.Request, v *viewer) error {
	var sent sentVisit
	if err := readJSON(r, &sent); err != nil {
		return err
	}
	answer, err := s.logVisit(r.Context(), v, sent)
	if err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, answer)
}

// logVisit stores a visit that somebody has sent.
func (s *Server) logVisit(ctx context.Context, v *viewer, sent sentVisit) (taken, error) {
	problems := append(s.notAhead("day", sent.Day), since2000("day", sent.Day)...)
	if len(sent.Readings)+len(sent.Care) == 0 && sent.Note == "" {
		problems = append(problems, study.Problem{Want: "nothing was logged: expected a reading, care or a note"})
	}
	if err := problems.OrNil(); err != nil {
		return taken{}, err
	}
	known, err := v.records.vehicle(ctx, sent.Vehicle)
	if err != nil {
		return taken{}, err
	}
	logged, err := sent.asLogged(known.Vehicles[0], v.account.OperatorID)
	if err != nil {
		return taken{}, err
	}
	return v.records.log(ctx, study.Fleet{Vehicles: []study.Vehicle{logged}})
}

// asLogged is the visit as a part of the stored vehicle.
func (sent sentVisit) asLogged(known study.Vehicle, operator *study.ID) (study.Vehicle, error) {
	var problems study.Problems
	patches := map[string]study.ID{}
	for _, p := range known.Patches {
		patches[p.Code] = p.ID
	}
	patch := func(code string) study.ID {
		id, has := patches[code]
		if !has {
			problems = append(problems, study.Problem{Column: "patch", Got: code, Want: "this vehicle has no such patch"})
		}
		return id
	}
	logged := study.Vehicle{Code: known.Code}
	checkup := study.Checkup{ID: sent.ID, Day: sent.Day, OperatorID: operator, Note: sent.Note}
	for _, x := range sent.Readings {
		checkup.Readings = append(checkup.Readings, study.Reading{PatchID: patch(x.Patch), Stage: x.Stage, AnglesDeg: x.AnglesDeg,
			SheetTimeS: x.SheetTimeS, WetSharePct: x.WetSharePct, BeadGrade: x.BeadGrade, Note: x.Note})
	}
	if len(sent.Readings) > 0 || sent.Note != "" {
		logged.Checkups = []study.Checkup{checkup}
	}
	for _, x := range sent.Care {
		c := study.Care{ID: x.ID, Day: sent.Day, Kind: x.Kind, OperatorID: operator, Note: x.Note}
		if x.Patch != "" {
			id := patch(x.Patch)
			c.PatchID = &id
		}
		logged.Care = append(logged.Care, c)
	}
	return logged, problems.OrNil()
}

// log stores what was logged at a vehicle, and tells what became of it.
func (x *records) log(ctx context.Context, f study.Fleet) (taken, error) {
	if !x.role.MayLog() {
		return taken{}, errRole
	}
	logged, err := x.store.Log(ctx, x.scope, f)
	if err != nil {
		return taken{}, err
	}
	return newTaken(logged), nil
}

func newTaken(logged store.Logged) taken {
	answer := taken{Result: "known"}
	switch {
	case logged.Proposed+logged.ProposedBefore > 0:
		answer.Result = "proposed"
		for _, a := range logged.Waiting {
			answer.Waiting = append(answer.Waiting, takenAmendment{a.Record, a.Changes})
		}
	case logged.Added != study.Size{}:
		answer.Result = "stored"
	}
	return answer
}
