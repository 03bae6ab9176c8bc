package web

import (
	"errors"
	"net/http"
	"strings"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/google/uuid"

	"beadspan/study"
)

// What a session holds.
const (
	sessionAccount = "account"
	sessionFrom    = "from" // the account's count of ended sessions at the start
)

// newSessions keeps sessions in the database, each known there by a hash of
// what the browser holds.
func (s *Server) newSessions() *scs.SessionManager {
	name := "beadspan"
	if s.opts.Secure {
		name = "__Host-beadspan" // no other host, no other path
	}
	// Not scs.New, which starts a store of its own that can't be stopped.
	return &scs.SessionManager{
		Store:            s.store.Sessions(),
		HashTokenInStore: true,
		Codec:            scs.GobCodec{},
		// A phone in the bay stays signed in from one visit to the next. There is
		// no idle time: keeping it would write to the database at every page.
		Lifetime: 30 * 24 * time.Hour,
		Cookie: scs.SessionCookie{
			Name:     name,
			Path:     "/",
			HttpOnly: true,
			Persist:  true,
			Secure:   s.opts.Secure,
			SameSite: http.SameSiteLaxMode, // a QR label opens its vehicle signed in
		},
		ErrorFunc: func(w http.ResponseWriter, r *http.Request, err error) {
			if strings.HasPrefix(r.URL.Path, apiPrefix+"/") {
				writeProblem(w, s.problemOf(r.Context(), err))
				return
			}
			s.fail(w, r, &viewer{say: languageOf(r)}, err)
		},
	}
}

// signedIn is the account of the session; the zero Account when there is none,
// or it has ended.
func (s *Server) signedIn(r *http.Request) (study.Account, error) {
	id, err := uuid.Parse(s.sessions.GetString(r.Context(), sessionAccount))
	if err != nil {
		return study.Account{}, nil //nolint:nilerr // no session
	}
	a, err := s.store.Account(r.Context(), id)
	if errors.Is(err, study.ErrNotFound) {
		return study.Account{}, nil
	}
	if err != nil {
		return study.Account{}, err
	}
	if a.Disabled || a.SessionsFrom != s.sessions.GetInt(r.Context(), sessionFrom) {
		return study.Account{}, nil
	}
	return a, nil
}

// begin starts a session of the account under a new token, so that a token
// that somebody else planted before is worth nothing.
func (s *Server) begin(r *http.Request, a study.Account) error {
	if err := s.sessions.RenewToken(r.Context()); err != nil {
		return err
	}
	s.sessions.Put(r.Context(), sessionAccount, a.ID.String())
	s.sessions.Put(r.Context(), sessionFrom, a.SessionsFrom)
	return nil
}
