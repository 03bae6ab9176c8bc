package web

import (
	"context"
	"errors"
	"net/http"
	"net/url"
	"strings"

	"beadspan/study"
	"beadspan/study/store"
)

// fault is an error whose page says what to do about it.
type fault struct {
	status  int
	message string // key of the message
}

// Error names the message.
func (f fault) Error() string { return f.message }

var (
	// errSignIn: the page is for those who have signed in.
	errSignIn = errors.New("not signed in")
	// errRole: the viewer's role doesn't go that far.
	errRole = fault{http.StatusForbidden, "fault.role"}
	// errNotReady: what is asked for is still being worked out.
	errNotReady = fault{http.StatusServiceUnavailable, "fault.not_ready"}
	// errDiskFull: nothing more can be stored until somebody makes room.
	errDiskFull = fault{http.StatusInsufficientStorage, "fault.disk_full"}
)

// fail answers with the page of an error. What people can do nothing about is
// logged and told without its details.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, v *viewer, err error) {
	var f fault
	var tooLarge *http.MaxBytesError
	switch {
	case errors.Is(err, errSignIn):
		s.askToSignIn(w, r, v)
		return
	case errors.As(err, &f):
	case errors.Is(err, study.ErrNotFound):
		f = fault{http.StatusNotFound, "fault.not_found"}
	case errors.As(err, &tooLarge):
		f = fault{http.StatusRequestEntityTooLarge, "fault.too_large"}
	case r.Context().Err() != nil && errors.Is(err, context.Canceled):
		return // nobody waits for an answer
	case store.Full(err):
		s.log.ErrorContext(r.Context(), "the database's disk is full", "route", r.Pattern, "error", err)
		f = errDiskFull
	case store.Unavailable(err):
		s.log.WarnContext(r.Context(), "the database can't be reached", "route", r.Pattern, "error", err)
		w.Header().Set("Retry-After", "5")
		f = fault{http.StatusServiceUnavailable, "fault.unavailable"}
	default:
		s.log.ErrorContext(r.Context(), "page failed", "route", r.Pattern, "error", err)
		f = fault{http.StatusInternalServerError, "fault.internal"}
	}
	s.showFault(w, r, v, f)
}

// askToSignIn leads a browser to the page for signing in, and from there back.
func (s *Server) askToSignIn(w http.ResponseWriter, r *http.Request, v *viewer) {
	if r.Method != http.MethodGet {
		s.showFault(w, r, v, fault{http.StatusUnauthorized, "fault.signed_out"})
		return
	}
	http.Redirect(w, r, "/sign-in?next="+url.QueryEscape(r.URL.RequestURI()), http.StatusSeeOther)
}

// faultPage is what an error's page shows.
type faultPage struct {
	Status  int
	Message string // key of what happened and what to do
}

func (s *Server) showFault(w http.ResponseWriter, r *http.Request, v *viewer, f fault) {
	page := faultPage{f.status, f.message}
	if err := s.render(w, v, f.status, "fault.html", v.say.text("fault.title"), page); err != nil {
		s.log.ErrorContext(r.Context(), "show an error's page", "error", err)
		http.Error(w, http.StatusText(f.status), f.status)
	}
}

// local keeps a way back within this server: what a form or address says of
// where to go next may be written by anybody.
func local(next string) string {
	u, err := url.Parse(next)
	if err != nil || u.IsAbs() || u.Host != "" || !strings.HasPrefix(u.Path, "/") || strings.HasPrefix(next, "//") ||
		strings.ContainsAny(next, "\\\r\n\t") {
		return "/"
	}
	return next
}
