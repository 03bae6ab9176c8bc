package web

import (
	"context"
	"net/http"
	"strings"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"beadspan/study"
)

// caller is who calls the API: a program with a token, or a page's script in a
// browser that is signed in.
type caller struct {
	*viewer
	token *study.Token // nil for a browser
}

type callerKey struct{}

func callerOf(ctx context.Context) *caller { return ctx.Value(callerKey{}).(*caller) }

// admit lets in whoever is what the operation needs, and not too often.
func (a *api) admit(needs need) func(huma.Context, func(huma.Context)) {
	return func(ctx huma.Context, next func(huma.Context)) {
		r, w := humago.Unwrap(ctx)
		noteOf(r.Context()).route = ctx.Operation().Method + " " + apiPrefix + ctx.Operation().Path
		c, err := a.caller(r, needs)
		if err != nil {
			writeProblem(w, a.problemOf(r.Context(), err))
			return
		}
		next(huma.WithValue(ctx, callerKey{}, c))
	}
}

// caller finds out who calls. A token says more than a session.
func (a *api) caller(r *http.Request, needs need) (*caller, error) {
	if !a.throttle.allowCall("calls from "+a.address(r), callsOfAddress) {
		return nil, errTooManyCalls
	}
	secret, has := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer ")
	if !has {
		v, err := a.viewer(r, needs)
		if err == nil && !a.throttle.allowCall("calls of "+v.account.ID.String(), callsOfOne) {
			err = errTooManyCalls
		}
		return &caller{viewer: v}, err
	}
	token, err := a.store.TokenOf(r.Context(), strings.TrimSpace(secret))
	if err != nil {
		return nil, orWrongToken(err)
	}
	if !a.throttle.allowCall("calls of "+token.ID.String(), callsOfOne) {
		return nil, errTooManyCalls
	}
	return a.bearer(r, token, needs)
}

// bearer is whoever shows a good token. It acts as its account, in its study,
// and within its role.
func (a *api) bearer(r *http.Request, token study.Token, needs need) (*caller, error) {
	account, err := a.store.Account(r.Context(), token.AccountID)
	if err != nil {
		return nil, orWrongToken(err)
	}
	if account.Disabled {
		return nil, errToken
	}
	noteOf(r.Context()).account = account.ID.String()
	c := &caller{&viewer{say: languageOf(r), account: account, most: token.Role}, &token}
	if needs < reading {
		return c, nil
	}
	if err := a.enter(r.Context(), c.viewer, r.PathValue("study"), needs); err != nil {
		return nil, err
	}
	if c.study.ID != token.StudyID {
		return nil, study.ErrNotFound
	}
	return c, nil
}
