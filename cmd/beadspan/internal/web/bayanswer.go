package web

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"time"

	"beadspan/study"
	"beadspan/study/store"
)

// bayFault is what a phone is told when something wasn't taken.
type bayFault struct {
	Message  string       `json:"message"`
	Problems []bayProblem `json:"problems,omitempty"`
}

// bayProblem is one thing wrong with what was sent.
type bayProblem struct {
	Field string `json:"field"`
	Got   string `json:"got"`
	Want  string `json:"want"`
}

// asJSON turns the errors of a handler that phones ask into JSON. Whoever isn't
// signed in is told so before, by the status alone.
func asJSON(do handler) handler {
	return func(w http.ResponseWriter, r *http.Request, v *viewer) error {
		err := do(w, r, v)
		var f fault
		var problems study.Problems
		var tooLarge *http.MaxBytesError
		switch {
		case err == nil:
			return nil
		case errors.As(err, &problems):
			return answerJSON(w, http.StatusUnprocessableEntity, newBayFault(v.say.text("bay.refused"), problems))
		case errors.As(err, &tooLarge):
			return answerJSON(w, http.StatusRequestEntityTooLarge, bayFault{Message: v.say.text("fault.too_large")})
		case errors.Is(err, study.ErrNotFound):
			return answerJSON(w, http.StatusNotFound, bayFault{Message: v.say.text("fault.not_found")})
		case errors.As(err, &f):
			return answerJSON(w, f.status, bayFault{Message: v.say.text(f.message)})
		case store.Full(err):
			noteOf(r.Context()).trouble = err
			return answerJSON(w, errDiskFull.status, bayFault{Message: v.say.text(errDiskFull.message)})
		}
		return err
	}
}

func newBayFault(message string, problems study.Problems) bayFault {
	f := bayFault{Message: message}
	for _, p := range problems {
		field := p.Column
		if p.File != "" {
			field = p.File + " " + p.Column
		}
		f.Problems = append(f.Problems, bayProblem{field, p.Got, p.Want})
	}
	return f
}

// answerJSON sends an answer whole.
func answerJSON(w http.ResponseWriter, status int, answer any) error {
	body, err := json.Marshal(answer)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, err = w.Write(body)
	if err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}

// readJSON reads what a phone sends. A field that nobody knows is a problem:
// something that it logged would be lost in silence.
func readJSON(r *http.Request, into any) error {
	decoder := json.NewDecoder(r.Body)
	decoder.DisallowUnknownFields()
	err := decoder.Decode(into)
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return err
	}
	if err == nil && decoder.More() {
		err = errors.New("there is more after it")
	}
	if err != nil {
		return study.Problems{{Want: fmt.Sprintf("expected one JSON object: %v", err)}}
	}
	return nil
}

// notAhead refuses a day that is yet to come wherever the phone may be: its
// clock is wrong.
func (s *Server) notAhead(column string, day study.Day) study.Problems {
	if day > s.today()+1 {
		return study.Problems{{Column: column, Got: day.String(), Want: "this day is yet to come: set the phone's clock, then log it again"}}
	}
	return nil
}

// since2000 refuses a day that a phone with an empty battery made up.
func since2000(column string, day study.Day) study.Problems {
	if day < study.DayOf(2000, time.January, 1) {
		return study.Problems{{Column: column, Got: day.String(), Want: "expected a day since 2000: set the phone's clock, then log it again"}}
	}
	return nil
}
