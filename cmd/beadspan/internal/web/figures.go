package web

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"beadspan/study"
	"beadspan/study/store"
)

// figure is something worked out from all records of a study, which takes too
// long for a page to wait for. work is called in the background, once for each
// state of the records, whoever asks; what it returns is shared and must not
// be changed.
type figure[T any] struct {
	name string // no other figure's
	work func(ctx context.Context, in figureInput) (T, error)
}

// figureInput is what a figure is worked out from. Figures share it and must
// not change it.
type figureInput struct {
	study    study.Study
	fleet    *study.Fleet
	today    study.Day
	progress func(done, total int)
}

// found is a figure as far as it is known now.
type found[T any] struct {
	Value T
	Ready bool // Value is there, perhaps from before the latest change
	Fresh bool // Value is of the records as they are
	// Done of Total parts of the work are done where Value isn't fresh; a Total
	// of 0 says that nobody knows how much there is.
	Done, Total int64
}

// lookUp returns what is known of a figure, and has it worked out where the
// records have changed. It returns the error of a figure that couldn't be
// worked out; whoever asks next has it tried again.
func lookUp[T any](x *records, f figure[T], today study.Day) (found[T], error) {
	key := figureKey{x.study.ID, f.name}
	state := figureState{x.revision, today}
	made, job, err := x.figures.get(key, state, func(ctx context.Context, job *figureJob) (any, error) {
		fleet, err := x.figures.fleet(ctx, x.study.ID, x.revision)
		if err != nil {
			return nil, err
		}
		return f.work(ctx, figureInput{x.study, fleet, today, job.progress})
	})
	if err != nil {
		return found[T]{}, err
	}
	var answer found[T]
	if made != nil {
		answer.Value, answer.Ready, answer.Fresh = made.value.(T), true, made.state == state
	}
	if job != nil {
		answer.Done, answer.Total = job.done.Load(), job.total.Load()
	}
	return answer, nil
}

// figures keeps what has been worked out, the latest of each.
type figures struct {
	ctx   context.Context //nolint:containedctx // of the work in the background, not of a request
	store *store.Store
	log   *slog.Logger
	turn  chan struct{} // one figure at a time, so that pages stay fast
	jobs  sync.WaitGroup

	mu   sync.Mutex
	made map[figureKey]*figureValue
	work map[figureKey]*figureJob

	fleetMu sync.Mutex
	kept    keptFleet
}

type figureKey struct {
	study study.ID
	name  string
}

// figureState is what a figure depends on beside the study.
type figureState struct {
	revision int64
	today    study.Day
}

type figureValue struct {
	state figureState
	value any
}

// figureJob is a figure that is being worked out, or couldn't be.
type figureJob struct {
	state       figureState
	done, total atomic.Int64
	err         error // set under the figures' lock when the job has failed
}

func (j *figureJob) progress(done, total int) {
	j.done.Store(int64(done))
	j.total.Store(int64(total))
}

func newFigures(ctx context.Context, s *store.Store, log *slog.Logger) *figures {
	return &figures{ctx: ctx, store: s, log: log, turn: make(chan struct{}, 1),
		made: map[figureKey]*figureValue{}, work: map[figureKey]*figureJob{}}
}

// wait waits for the work in the background to end.
func (c *figures) wait() { c.jobs.Wait() }

// get returns what is made and what is being made of a figure, and begins to
// make it where that is needed. Of one figure there is one job at a time: when
// the records change meanwhile, the next to ask begins the next.
func (c *figures) get(key figureKey, want figureState, work func(context.Context, *figureJob) (any, error)) (*figureValue, *figureJob, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	made, job := c.made[key], c.work[key]
	if made != nil && made.state == want {
		return made, nil, nil
	}
	if job != nil && job.err != nil {
		delete(c.work, key)
		return nil, nil, job.err
	}
	if job == nil && c.ctx.Err() == nil {
		job = &figureJob{state: want}
		c.work[key] = job
		c.jobs.Go(func() { c.do(key, job, work) })
	}
	return made, job, nil
}

// do makes a figure when it is its turn.
func (c *figures) do(key figureKey, job *figureJob, work func(context.Context, *figureJob) (any, error)) {
	select {
	case c.turn <- struct{}{}:
		defer func() { <-c.turn }()
	case <-c.ctx.Done():
		return
	}
	began := time.Now()
	value, err := recovering(c.ctx, job, work)
	c.mu.Lock()
	defer c.mu.Unlock()
	if err != nil {
		if !errors.Is(err, context.Canceled) {
			c.log.Error("figure failed", "figure", key.name, "study_id", key.study, "error", err)
		}
		job.err = err
		return
	}
	c.made[key] = &figureValue{job.state, value}
	delete(c.work, key)
	c.log.Info("figure worked out", "figure", key.name, "study_id", key.study, "revision", job.state.revision,
		"took_ms", time.Since(began).Milliseconds())
}

// recovering keeps a programmer's mistake in one figure from ending the server.
func recovering(ctx context.Context, job *figureJob, work func(context.Context, *figureJob) (any, error)) (value any, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("panic: %v\n%s", p, debug.Stack())
		}
	}()
	return work(ctx, job)
}

// keptFleet is the fleet that was read last: figures of one study come
// together.
type keptFleet struct {
	study    study.ID
	revision int64
	fleet    *study.Fleet
	drop     *time.Timer
}

// keepFleetFor is how long a fleet stays in memory when nobody asks for it.
const keepFleetFor = 5 * time.Minute

// fleet reads a study's records, of that revision or later.
func (c *figures) fleet(ctx context.Context, studyID study.ID, revision int64) (*study.Fleet, error) {
	c.fleetMu.Lock()
	defer c.fleetMu.Unlock()
	if k := &c.kept; k.fleet != nil && k.study == studyID && k.revision == revision {
		k.drop.Reset(keepFleetFor)
		return k.fleet, nil
	}
	if c.kept.drop != nil {
		c.kept.drop.Stop()
	}
	c.kept = keptFleet{}
	fleet, err := c.store.Fleet(ctx, studyID)
	if err != nil {
		return nil, err
	}
	c.kept = keptFleet{studyID, revision, &fleet, time.AfterFunc(keepFleetFor, c.dropFleet)}
	return &fleet, nil
}

func (c *figures) dropFleet() {
	c.fleetMu.Lock()
	defer c.fleetMu.Unlock()
	c.kept = keptFleet{}
}
