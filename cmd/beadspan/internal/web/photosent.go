package web

import (
	"context"
	"errors"
	"io"
	"net/http"

	"github.com/google/uuid"

	"beadspan/ingest"
	"beadspan/study"
)

// takePhoto stores a photo that a phone sends: the picture is the body, and what
// it is of stands in the address. Its id was made on the phone.
func (s *Server) takePhoto(w http.ResponseWriter, r *http.Request, v *viewer) error {
	query := r.URL.Query()
	var problems study.Problems
	p := study.Photo{Stage: study.Stage(query.Get("stage")), AccountID: &v.account.ID}
	var err error
	if p.ID, err = uuid.Parse(query.Get("id")); err != nil {
		problems = append(problems, study.Problem{Column: "id", Got: study.Shortened(query.Get("id")), Want: "expected a UUID that the phone has made"})
	}
	if p.Day, err = study.ParseDay(query.Get("day")); err != nil {
		problems = append(problems, study.Problem{Column: "day", Got: study.Shortened(query.Get("day")), Want: "expected a day, such as 2026-04-30"})
	} else {
		problems = append(append(problems, s.notAhead("day", p.Day)...), since2000("day", p.Day)...)
	}
	if err := problems.OrNil(); err != nil {
		return err
	}
	sent, err := io.ReadAll(r.Body)
	if err != nil {
		return cutOff(err)
	}
	if p.Picture, err = s.readPhoto(r.Context(), sent); err != nil {
		return err
	}
	fresh, err := v.records.addPhoto(r.Context(), query.Get("vehicle"), query.Get("patch"), p)
	if err != nil {
		return err
	}
	answer := taken{Result: "known"}
	if fresh {
		answer.Result = "stored"
	}
	return answerJSON(w, http.StatusOK, answer)
}

// cutOff says that a body broke off on the way, unless it was too large.
func cutOff(err error) error {
	var tooLarge *http.MaxBytesError
	if errors.As(err, &tooLarge) {
		return err
	}
	return fault{http.StatusBadRequest, "fault.cut_off"}
}

// readPhoto looks at pictures one at a time: each takes memory.
func (s *Server) readPhoto(ctx context.Context, sent []byte) (study.Picture, error) {
	select {
	case s.looking <- struct{}{}:
		defer func() { <-s.looking }()
	case <-ctx.Done():
		return study.Picture{}, ctx.Err()
	}
	return ingest.ReadPhoto(sent)
}

// addPhoto stores a photo of a vehicle's patch.
func (x *records) addPhoto(ctx context.Context, vehicle, patch string, p study.Photo) (fresh bool, err error) {
	if !x.role.MayLog() {
		return false, errRole
	}
	return x.store.AddPhoto(ctx, x.scope, vehicle, patch, p)
}
