package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"runtime/debug"
	"sync"
	"time"

	"github.com/google/uuid"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

// letterRun makes letters to many customers in the background. Each is kept as
// soon as it is made, so that nothing is lost when it is cut short; made again
// on the same day, the same letters are found.
type letterRun struct {
	ID      study.ID
	Account study.ID // whose it is
	Study   study.ID
	Day     study.Day

	// What it works with, which is let go when it is over: a desk holds a fleet.
	to      []store.VehicleRef
	desk    *lettersDesk
	looks   *letterLooks
	records *records

	mu       sync.Mutex
	progress letterProgress
}

// letterProgress is how far a run has come.
type letterProgress struct {
	Kept    []runLetter
	Without []string // codes of vehicles of which there is nothing to tell
	Total   int
	Failed  bool // it stopped before the end
	Over    bool
}

// runLetter is a letter that a run has made.
type runLetter struct {
	Code            string
	Vehicle, Letter study.ID
}

// Done is how many vehicles were seen to.
func (p letterProgress) Done() int { return len(p.Kept) + len(p.Without) }

// soFar is how far the run has come.
func (run *letterRun) soFar() letterProgress {
	run.mu.Lock()
	defer run.mu.Unlock()
	return run.progress
}

// note changes what is known of the progress.
func (run *letterRun) note(change func(*letterProgress)) {
	run.mu.Lock()
	defer run.mu.Unlock()
	change(&run.progress)
}

// do makes the letters, one at a time, and lets other figures take their turn
// between two.
func (run *letterRun) do(ctx context.Context, turn chan struct{}) (err error) {
	defer func() {
		if p := recover(); p != nil { // a mistake in one letter doesn't end the server
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
		run.to, run.desk, run.looks, run.records = nil, nil, nil, nil
		run.note(func(p *letterProgress) { p.Over, p.Failed = true, err != nil })
	}()
	for _, to := range run.to {
		select {
		case turn <- struct{}{}:
		case <-ctx.Done():
			return ctx.Err()
		}
		err := run.write(ctx, to)
		<-turn
		if err != nil {
			return err
		}
	}
	return nil
}

// write makes one letter.
func (run *letterRun) write(ctx context.Context, to store.VehicleRef) error {
	letter, err := run.desk.letterOf(ctx, to.Code)
	if errors.Is(err, reports.ErrNoLetter) {
		run.note(func(p *letterProgress) { p.Without = append(p.Without, to.Code) })
		return nil
	}
	if err != nil {
		return err
	}
	look, err := run.looks.of(to.ShopID)
	if err != nil {
		return err
	}
	id, err := run.records.keep(ctx, letter, to.ID, look, run.Account)
	if err != nil {
		return err
	}
	run.note(func(p *letterProgress) { p.Kept = append(p.Kept, runLetter{to.Code, to.ID, id}) })
	return nil
}

// letterRuns are those of late.
type letterRuns struct {
	mu   sync.Mutex
	late map[study.ID]*letterRun
}

// keepRunFor is how long a run is known after it began; its letters are kept for
// good.
const keepRunFor = 24 * time.Hour

func newLetterRuns() *letterRuns { return &letterRuns{late: map[study.ID]*letterRun{}} }

// startRun starts a run, unless one of the same account in that study is under way:
// that is returned in its place.
func (s *Server) startRun(run *letterRun) *letterRun {
	s.runs.mu.Lock()
	defer s.runs.mu.Unlock()
	for _, other := range s.runs.late {
		if other.Account == run.Account && other.Study == run.Study && !other.soFar().Over {
			return other
		}
	}
	if s.figures.ctx.Err() != nil {
		return run // the server is about to end
	}
	s.runs.late[run.ID] = run
	time.AfterFunc(keepRunFor, func() { s.runs.forget(run.ID) })
	s.figures.jobs.Go(func() {
		began := time.Now()
		err := run.do(s.figures.ctx, s.figures.turn)
		if err != nil && !errors.Is(err, context.Canceled) {
			s.log.Error("writing letters stopped", "study_id", run.Study, "error", err)
		}
		s.log.Info("letters written", "study_id", run.Study, "letters", len(run.soFar().Kept), "took_ms", time.Since(began).Milliseconds())
	})
	return run
}

func (r *letterRuns) forget(id study.ID) {
	r.mu.Lock()
	defer r.mu.Unlock()
	delete(r.late, id)
}

// runNamed finds the viewer's run that the address names.
func (s *Server) runNamed(r *http.Request, v *viewer) (*letterRun, error) {
	id, err := uuid.Parse(r.PathValue("run"))
	if err != nil {
		return nil, study.ErrNotFound
	}
	s.runs.mu.Lock()
	defer s.runs.mu.Unlock()
	run, has := s.runs.late[id]
	if !has || run.Account != v.account.ID || run.Study != v.study.ID {
		return nil, fault{http.StatusNotFound, "fault.run_gone"}
	}
	return run, nil
}
