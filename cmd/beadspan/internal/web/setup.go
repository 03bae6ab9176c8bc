package web

import (
	"crypto/subtle"
	"errors"
	"net/http"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) setupRoutes() []route {
	return []route{
		{pattern: "GET /set-up", needs: anybody, do: s.showSetup},
		{pattern: "POST /set-up", needs: anybody, do: s.setUp},
	}
}

// setupPage is the form for the first account, as typed.
type setupPage struct {
	Name     string
	AskCode  bool
	Problems study.Problems
	Fault    string // key of what is wrong; empty at first
}

func (s *Server) showSetup(w http.ResponseWriter, r *http.Request, v *viewer) error {
	has, err := s.store.HasAccounts(r.Context())
	if err != nil {
		return err
	}
	if has {
		return study.ErrNotFound
	}
	return s.renderSetup(w, v, http.StatusOK, setupPage{})
}

func (s *Server) renderSetup(w http.ResponseWriter, v *viewer, status int, page setupPage) error {
	page.AskCode = s.opts.SetupCode != ""
	return s.render(w, v, status, "setup.html", v.say.text("setup.title"), page)
}

// setUp makes the first account, which looks after all others, and signs it in.
func (s *Server) setUp(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	if has, err := s.store.HasAccounts(r.Context()); err != nil {
		return err
	} else if has {
		return study.ErrNotFound
	}
	a := study.Account{ID: study.NewID(), Name: study.AccountName(r.PostForm.Get("name")), Steward: true}
	page := setupPage{Name: a.Name, Problems: a.Validate(), Fault: passwordFault(r.PostForm.Get("password"))}
	if !s.throttle.allow("", s.address(r)) {
		page.Fault = "signin.throttled"
		return s.renderSetup(w, v, http.StatusTooManyRequests, page)
	}
	if subtle.ConstantTimeCompare([]byte(r.PostForm.Get("code")), []byte(s.opts.SetupCode)) != 1 {
		page.Fault = "setup.wrong_code"
	}
	if page.Fault != "" || len(page.Problems) > 0 {
		return s.renderSetup(w, v, http.StatusUnprocessableEntity, page)
	}
	var err error
	if a.PasswordHash, err = s.hashed(r.Context(), r.PostForm.Get("password")); err != nil {
		return err
	}
	err = s.store.AddFirstAccount(r.Context(), a)
	if errors.Is(err, store.ErrAccounts) {
		return study.ErrNotFound // somebody else was faster
	}
	if err != nil {
		return err
	}
	if err := s.begin(r, a); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}
