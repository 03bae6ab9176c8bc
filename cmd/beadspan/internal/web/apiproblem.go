package web

import (
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"beadspan/study"
	"beadspan/study/store"
)

var (
	// errToken: there is no such token, or not any more.
	errToken = errors.New("the token is none, was revoked or has expired: make another on the page Tokens")
	// errTooManyCalls: the caller is to slow down.
	errTooManyCalls = errors.New("too many calls at once: wait a second and go on more slowly")
)

// orWrongToken says that what isn't found is a good token.
func orWrongToken(err error) error {
	if errors.Is(err, study.ErrNotFound) {
		return errToken
	}
	return err
}

// apiProblem is an error as programs read it: RFC 9457, with all that is wrong
// with what was sent.
type apiProblem struct {
	*huma.ErrorModel
	retryAfterS int // 0: trying again doesn't help
}

// Error is the detail.
func (p *apiProblem) Error() string { return p.Detail }

// GetHeaders says when to try again.
func (p *apiProblem) GetHeaders() http.Header {
	h := http.Header{}
	if p.retryAfterS > 0 {
		h.Set("Retry-After", strconv.Itoa(p.retryAfterS))
	}
	if p.Status == http.StatusUnauthorized {
		h.Set("WWW-Authenticate", `Bearer realm="beadspan"`)
	}
	return h
}

// problemOf is what a program is told of an error. What it can do nothing about
// is logged and told without its details.
func (s *Server) problemOf(ctx context.Context, err error) *apiProblem {
	problem := func(status int, detail string) *apiProblem {
		return &apiProblem{ErrorModel: &huma.ErrorModel{Status: status, Title: http.StatusText(status), Detail: detail}}
	}
	var problems study.Problems
	var f fault
	switch {
	case errors.As(err, &problems):
		p := problem(http.StatusUnprocessableEntity, "some of what was sent can't be right, and nothing of it was stored")
		p.Errors = errorDetails(problems)
		return p
	case errors.Is(err, study.ErrNotFound):
		return problem(http.StatusNotFound, "there is nothing of that code that you may see")
	case errors.Is(err, errSignIn):
		return problem(http.StatusUnauthorized, "show a token: Authorization: Bearer TOKEN")
	case errors.Is(err, errToken):
		return problem(http.StatusUnauthorized, err.Error())
	case errors.Is(err, errTooManyCalls):
		p := problem(http.StatusTooManyRequests, err.Error())
		p.retryAfterS = 1
		return p
	case errors.As(err, &f):
		return problem(f.status, languages[0].text(f.message))
	case store.Full(err):
		s.log.ErrorContext(ctx, "the database's disk is full", "error", err)
		return problem(errDiskFull.status, languages[0].text(errDiskFull.message))
	case store.Unavailable(err):
		s.log.WarnContext(ctx, "the database can't be reached", "error", err)
		p := problem(http.StatusServiceUnavailable, "the database can't be reached just now, and nothing was stored: send it again in a while")
		p.retryAfterS = 5
		return p
	}
	if ctx.Err() == nil {
		s.log.ErrorContext(ctx, "call failed", "route", noteOf(ctx).route, "error", err)
	}
	return problem(http.StatusInternalServerError, "something went wrong here; it is in the server's log")
}

// errorDetails lists problems as the API does.
func errorDetails(problems study.Problems) []*huma.ErrorDetail {
	details := make([]*huma.ErrorDetail, len(problems))
	for i, p := range problems {
		details[i] = &huma.ErrorDetail{Message: p.Want, Location: p.Column}
		if p.Got != "" {
			details[i].Value = p.Got
		}
	}
	return details
}

// writeProblem answers with an error before there is an operation to do so.
func writeProblem(w http.ResponseWriter, err interface {
	error
	GetStatus() int
}) {
	var h huma.HeadersError
	if errors.As(err, &h) {
		for name, values := range h.GetHeaders() {
			w.Header()[name] = values
		}
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(err.GetStatus())
	json.NewEncoder(w).Encode(err) //nolint:errcheck,errchkjson // whoever asked has left
}
