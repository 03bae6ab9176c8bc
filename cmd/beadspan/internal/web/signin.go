package web

import (
	"errors"
	"net/http"

	"beadspan/study"
)

func (s *Server) signInRoutes() []route {
	routes := []route{
		{pattern: "GET /sign-in", needs: anybody, do: s.showSignIn},
		{pattern: "POST /sign-in", needs: anybody, do: s.signIn},
		{pattern: "POST /sign-out", needs: account, do: s.signOut},
		{pattern: "GET /password", needs: account, do: s.showPassword},
		{pattern: "POST /password", needs: account, do: s.changePassword},
	}
	if s.opts.Demo {
		routes = append(routes, route{pattern: "POST /demo", needs: anybody, do: s.signInToDemo})
	}
	return routes
}

// signInPage is the form for signing in, as typed.
type signInPage struct {
	Name  string
	Next  string
	Fault string // key of what is wrong; empty at first
	Demo  bool
}

func (s *Server) showSignIn(w http.ResponseWriter, r *http.Request, v *viewer) error {
	next := local(r.URL.Query().Get("next"))
	if v.signedIn() {
		http.Redirect(w, r, next, http.StatusSeeOther)
		return nil
	}
	if has, err := s.store.HasAccounts(r.Context()); err != nil {
		return err
	} else if !has && !s.opts.Demo {
		http.Redirect(w, r, "/set-up", http.StatusSeeOther)
		return nil
	}
	return s.renderSignIn(w, v, http.StatusOK, signInPage{Next: next})
}

func (s *Server) renderSignIn(w http.ResponseWriter, v *viewer, status int, page signInPage) error {
	page.Demo = s.opts.Demo
	return s.render(w, v, status, "signin.html", v.say.text("signin.title"), page)
}

// signIn begins a session. A name that nobody has and a password that is wrong
// get the same answer after the same time, so that names can't be tried out.
func (s *Server) signIn(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	page := signInPage{Name: study.AccountName(r.PostForm.Get("name")), Next: local(r.PostForm.Get("next"))}
	if len(page.Name) > 400 || len(r.PostForm.Get("password")) > 4*longestPassword {
		page.Name, page.Fault = "", "signin.wrong"
		return s.renderSignIn(w, v, http.StatusUnprocessableEntity, page)
	}
	if !s.throttle.allow(page.Name, s.address(r)) {
		page.Fault = "signin.throttled"
		w.Header().Set("Retry-After", "60")
		return s.renderSignIn(w, v, http.StatusTooManyRequests, page)
	}
	a, right, err := s.proven(r, page.Name, r.PostForm.Get("password"))
	if err != nil {
		return err
	}
	if !right {
		page.Fault = "signin.wrong"
		return s.renderSignIn(w, v, http.StatusUnprocessableEntity, page)
	}
	s.throttle.succeeded(page.Name)
	if err := s.begin(r, a); err != nil {
		return err
	}
	http.Redirect(w, r, page.Next, http.StatusSeeOther)
	return nil
}

// proven finds the account of that name and reports whether the password is
// its own.
func (s *Server) proven(r *http.Request, name, password string) (a study.Account, right bool, err error) {
	a, err = s.store.AccountByName(r.Context(), name)
	if err != nil && !errors.Is(err, study.ErrNotFound) {
		return a, false, err
	}
	hash := a.PasswordHash
	if hash == "" {
		hash = s.nobodysHash // takes as long as somebody's
	}
	right, err = s.matches(r.Context(), password, hash)
	return a, right && a.PasswordHash != "" && !a.Disabled, err
}

// signOut ends the session.
func (s *Server) signOut(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	if err := s.sessions.Destroy(r.Context()); err != nil {
		return err
	}
	http.Redirect(w, r, "/sign-in", http.StatusSeeOther)
	return nil
}

// passwordPage is the form for another password.
type passwordPage struct {
	Fault string // key of what is wrong; empty at first
}

func (s *Server) showPassword(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	return s.renderPassword(w, v, http.StatusOK, "")
}

func (s *Server) renderPassword(w http.ResponseWriter, v *viewer, status int, fault string) error {
	return s.render(w, v, status, "password.html", v.say.text("password.title"), passwordPage{fault})
}

// changePassword stores another password. It ends all sessions of the account
// but this one.
func (s *Server) changePassword(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	if !s.throttle.allow(v.account.Name, s.address(r)) {
		return s.renderPassword(w, v, http.StatusTooManyRequests, "signin.throttled")
	}
	right, err := s.matches(r.Context(), r.PostForm.Get("old"), v.account.PasswordHash)
	if err != nil {
		return err
	}
	if !right {
		return s.renderPassword(w, v, http.StatusUnprocessableEntity, "password.old_wrong")
	}
	if wrong := passwordFault(r.PostForm.Get("new")); wrong != "" {
		return s.renderPassword(w, v, http.StatusUnprocessableEntity, wrong)
	}
	hash, err := s.hashed(r.Context(), r.PostForm.Get("new"))
	if err != nil {
		return err
	}
	a, err := s.store.SetPassword(r.Context(), v.account.ID, hash)
	if err != nil {
		return err
	}
	if err := s.begin(r, a); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}
