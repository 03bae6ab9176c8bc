package web

import (
	"context"
	"errors"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) recordsRoutes() []route {
	return slices.Concat([]route{
		{pattern: "GET /studies/{study}/records", needs: reading, do: s.showRecords},
		{pattern: "POST /studies/{study}/records/amendments/{amendment}", needs: ownership, do: s.decideAmendment},
		{pattern: "GET /studies/{study}/records/export.zip", needs: reading, do: s.sendExport},
		{pattern: "POST /backup", needs: account, do: s.sendBackup},
	}, s.importRoutes())
}

// recordsPage is where records come in and go out, and what was corrected.
type recordsPage struct {
	Proposed   int // amendments that wait for a decision
	State      study.AmendmentState
	States     []study.AmendmentState
	Amendments []study.Amendment
	From, Next int    // amendments skipped on this page, and on the next; 0: this is the last
	By         string // code of the viewer as a person; empty: to be typed
	Fault      string // key of what is wrong; empty: nothing
	Problems   study.Problems
	Conflict   *study.ConflictError
	Formats    []string // of an export
	Backup     bool     // the viewer may keep one
}

// amendmentsOnPage is how many amendments a page lists.
const amendmentsOnPage = 50

func (s *Server) showRecords(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := recordsPage{State: study.Proposed}
	query := r.URL.Query()
	if state := study.AmendmentState(query.Get("state")); slices.Contains(study.AmendmentStates(), state) {
		page.State = state
	}
	if from, err := strconv.Atoi(query.Get("from")); err == nil && from > 0 {
		page.From = from
	}
	return s.renderRecords(w, r, v, http.StatusOK, page)
}

func (s *Server) renderRecords(w http.ResponseWriter, r *http.Request, v *viewer, status int, page recordsPage) error {
	page.States = study.AmendmentStates()
	page.Formats = exportFormats()
	page.Backup = v.account.Steward && s.opts.Backup != nil
	var err error
	if page.Proposed, err = v.records.countProposed(r.Context()); err != nil {
		return err
	}
	var more bool
	page.Amendments, more, err = v.records.amendments(r.Context(), store.AmendmentQuery{
		State: page.State, Skip: page.From, Limit: amendmentsOnPage,
	})
	if err != nil {
		return err
	}
	if more {
		page.Next = page.From + amendmentsOnPage
	}
	if v.role.MayOwn() {
		if page.By, err = v.records.personOf(r.Context(), v.account); err != nil {
			return err
		}
	}
	return s.render(w, v, status, "records.html", v.say.text("records.title"), page)
}

// decideAmendment accepts or declines an amendment, with a reason.
func (s *Server) decideAmendment(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	id, err := uuid.Parse(r.PathValue("amendment"))
	if err != nil {
		return study.ErrNotFound
	}
	by, err := v.records.personOf(r.Context(), v.account)
	if err != nil {
		return err
	}
	if by == "" {
		by = strings.TrimSpace(r.PostForm.Get("by"))
	}
	page := recordsPage{State: study.Proposed}
	err = v.records.decide(r.Context(), id, r.PostForm.Get("do"), by, strings.TrimSpace(r.PostForm.Get("why")))
	switch {
	case errors.Is(err, study.ErrDecided):
		page.Fault = "records.decided_before"
		return s.renderRecords(w, r, v, http.StatusConflict, page)
	case errors.As(err, &page.Conflict):
		return s.renderRecords(w, r, v, http.StatusConflict, page)
	case errors.As(err, &page.Problems):
		return s.renderRecords(w, r, v, http.StatusUnprocessableEntity, page)
	case err != nil:
		return err
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/records"), http.StatusSeeOther)
	return nil
}

// amendments lists a page of those that the viewer may see.
func (x *records) amendments(ctx context.Context, q store.AmendmentQuery) ([]study.Amendment, bool, error) {
	return x.store.AmendmentsIn(ctx, x.scope, q)
}

// countProposed counts the amendments that wait, of those that the viewer may
// see.
func (x *records) countProposed(ctx context.Context) (int, error) {
	return x.store.CountProposed(ctx, x.scope)
}

// personOf is the code of the person whose readings the account logs; empty for
// none.
func (x *records) personOf(ctx context.Context, a study.Account) (string, error) {
	members, err := x.members(ctx)
	if err != nil {
		return "", err
	}
	for _, m := range members {
		if m.Account.ID == a.ID {
			return m.Operator, nil
		}
	}
	return "", nil
}

// decide accepts or declines an amendment of the study.
func (x *records) decide(ctx context.Context, id study.ID, do, by, why string) error {
	if !x.role.MayOwn() {
		return errRole
	}
	if has, err := x.store.HasAmendment(ctx, x.scope, id); err != nil || !has {
		return errors.Join(err, study.ErrNotFound)
	}
	if why == "" {
		return study.Problems{{Column: "why", Want: "expected the reason, in a few words"}}
	}
	switch do {
	case "accept":
		return x.store.Accept(ctx, id, by, why)
	case "decline":
		return x.store.Decline(ctx, id, by, why)
	}
	return fault{http.StatusBadRequest, "fault.form"}
}
