package web

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/http"
	"time"

	"github.com/alexedwards/scs/v2"

	"beadspan/study"
	"beadspan/study/store"
)

// Options say how a server works.
type Options struct {
	Store   *store.Store
	Log     *slog.Logger
	Version string
	// Secure: browsers reach the server by https only, so that cookies must
	// never travel otherwise.
	Secure bool
	// BehindProxy: the last address in X-Forwarded-For is who asks.
	BehindProxy bool
	// LocalOnly: answer only those who ask for this machine by a name of its
	// own, so that no page of the internet reaches it under another name.
	LocalOnly bool
	// Demo lets whoever asks sign in with one click.
	Demo bool
	// SetupCode must be typed in by whoever makes the first account. Empty:
	// anybody may.
	SetupCode string
	// Backup writes the whole database to a new file. Nil: it can't from here.
	Backup func(ctx context.Context, file string) error

	cost argonCost // the zero cost is usualCost; tests have no time for it
}

// Server answers browsers. It may be used from several goroutines.
type Server struct {
	opts     Options
	store    *store.Store
	log      *slog.Logger
	sessions *scs.SessionManager
	pages    pages
	assets   *assets
	figures  *figures
	uploads  *uploads
	runs     *letterRuns
	throttle *throttle
	cost     argonCost
	// nobodysHash is compared with where there is no hash to compare with.
	nobodysHash string
	hashing     chan struct{} // holds one for each password being hashed
	looking     chan struct{} // holds one while a photo is being looked at
	today       func() study.Day
	handler     http.Handler
	stop        context.CancelFunc
	stopped     chan struct{}
}

// New makes a server, which works in the background until Close.
func New(opts Options) (*Server, error) {
	s := &Server{
		opts:     opts,
		store:    opts.Store,
		log:      opts.Log,
		throttle: newThrottle(),
		runs:     newLetterRuns(),
		cost:     opts.cost,
		hashing:  make(chan struct{}, hashesAtOnce),
		looking:  make(chan struct{}, 1),
		today:    func() study.Day { return study.DayOfTime(time.Now()) },
		stopped:  make(chan struct{}),
	}
	if s.cost == (argonCost{}) {
		s.cost = usualCost
	}
	s.nobodysHash = hashPassword(rand.Text(), s.cost)
	var err error
	if s.assets, err = readAssets(); err != nil {
		return nil, fmt.Errorf("read the assets: %w", err)
	}
	if s.pages, err = readPages(s.assets); err != nil {
		return nil, fmt.Errorf("read the templates: %w", err)
	}
	if s.uploads, err = newUploads(); err != nil {
		return nil, err
	}
	s.sessions = s.newSessions()
	ctx, stop := context.WithCancel(context.Background())
	s.stop = stop
	s.figures = newFigures(ctx, s.store, s.log)
	s.handler = s.wrap(s.mux())
	go s.sweep(ctx)
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// Close ends the work in the background and waits for it.
func (s *Server) Close() {
	s.stop()
	<-s.stopped
	s.figures.wait()
	if err := s.uploads.close(); err != nil {
		s.log.Error("remove uploads", "error", err)
	}
}

// sweep forgets expired sessions now and then.
func (s *Server) sweep(ctx context.Context) {
	defer close(s.stopped)
	tick := time.NewTicker(time.Hour)
	defer tick.Stop()
	for {
		if err := s.store.Sessions().Sweep(ctx); err != nil && ctx.Err() == nil {
			s.log.Error("sweep sessions", "error", err)
		}
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
	}
}
