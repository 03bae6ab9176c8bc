package web

import (
	"context"
	"net/http"

	"beadspan/study"
	"beadspan/study/store"
)

// viewer is who asks for a page, in which language, and what of the study that
// the address names they may see. Handlers get to the records only through it.
type viewer struct {
	account study.Account // the zero Account: nobody has signed in
	// most is the role that a program's token keeps to; empty for a person.
	most  study.Role
	study study.Study // the zero Study where the address names none
	role  study.Role  // in that study
	// records are those of the study that the viewer may see; nil where the
	// address names no study.
	records *records
	say     *language
	prefs   preferences
}

// signedIn reports whether the viewer has an account.
func (v *viewer) signedIn() bool { return v.account.ID != study.ID{} }

// viewer finds out who asks, and whether they are what the page needs. On an
// error the viewer is as far as it is known, for the page that says so.
func (s *Server) viewer(r *http.Request, needs need) (*viewer, error) {
	v := &viewer{say: languageOf(r), prefs: preferencesOf(r)}
	var err error
	if v.account, err = s.signedIn(r); err != nil {
		return v, err
	}
	if v.signedIn() {
		noteOf(r.Context()).account = v.account.ID.String()
	}
	if needs == anybody {
		return v, nil
	}
	if !v.signedIn() {
		return v, errSignIn
	}
	if needs == stewardship && !v.account.Steward {
		return v, errRole
	}
	if needs < reading {
		return v, nil
	}
	return v, s.enter(r.Context(), v, r.PathValue("study"), needs)
}

// enter lets the viewer into the study of that code, if they are what is needed
// there.
func (s *Server) enter(ctx context.Context, v *viewer, code string, needs need) error {
	access, err := s.store.AccessOf(ctx, v.account, code)
	if err != nil {
		return err
	}
	v.study, v.role = access.Study, access.Membership.Role
	if v.most != "" {
		v.role = v.role.Within(v.most)
	}
	v.records = &records{
		store: s.store, figures: s.figures, study: access.Study, revision: access.Revision,
		role: v.role, scope: store.ScopeOf(access.Membership),
	}
	if (needs == logging && !v.role.MayLog()) || (needs == ownership && !v.role.MayOwn()) {
		return errRole
	}
	return nil
}
