package web

import (
	"errors"
	"net/http"
	"strings"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) studyPageRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/rules", needs: reading, do: s.showRules},
		{pattern: "POST /studies/{study}/rules", needs: ownership, do: s.amendRules},
	}
}

// rulesPage tells by which rules a study goes, and what another rule would
// change.
type rulesPage struct {
	Words   []string // the protocol in plain words
	Changes []study.StudyChange
	Form    rulesForm
	// Proposed is the study as the form asks for it, and Differences what is
	// other about it; none where nothing is proposed.
	Proposed    study.Study
	Differences []study.Change
	Effect      found[*ruleEffect]
	Problems    study.Problems
	Fault       string // key of what is wrong; empty: nothing
	ruleChoices
}

// showRules shows the rules and, for an owner who asks what others would change,
// the effect.
func (s *Server) showRules(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := rulesPage{Form: formOf(v.study), Proposed: v.study}
	status := http.StatusOK
	if query := r.URL.Query(); v.role.MayOwn() && query.Has("metric") {
		page.Form = readRulesForm(query)
		page.Proposed, page.Problems = page.Form.over(v.study)
		if len(page.Problems) > 0 {
			status = http.StatusUnprocessableEntity
		} else if err := s.showEffect(v, &page); err != nil {
			return err
		}
	}
	return s.renderRules(w, r, v, status, page)
}

func (s *Server) showEffect(v *viewer, page *rulesPage) (err error) {
	page.Differences = v.study.Differences(page.Proposed)
	if v.study.Protocol != page.Proposed.Protocol && len(page.Proposed.Protocol.Validate()) == 0 {
		page.Effect, err = lookUp(v.records, ruleEffectFigure(page.Proposed.Protocol), s.today())
	} else {
		page.Effect.Fresh = true
	}
	return err
}

func (s *Server) renderRules(w http.ResponseWriter, r *http.Request, v *viewer, status int, page rulesPage) error {
	page.Words = reports.ProtocolWords(v.study.Protocol)
	page.ruleChoices = newRuleChoices()
	var err error
	if page.Changes, err = s.store.StudyChanges(r.Context(), v.study.ID); err != nil {
		return err
	}
	return s.render(w, v, status, "rules.html", v.say.text("rules.title"), page)
}

// amendRules stores other rules, once their effect was shown.
func (s *Server) amendRules(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	page := rulesPage{Form: readRulesForm(r.PostForm)}
	page.Proposed, page.Problems = page.Form.over(v.study)
	why := strings.TrimSpace(r.PostForm.Get("why"))
	if why == "" {
		page.Problems = append(page.Problems, study.Problem{Column: "why", Want: "expected the reason, in a few words"})
	}
	var err error
	if len(page.Problems) == 0 {
		if r.PostForm.Get("seen") != fingerprint(v.study) {
			err = store.ErrStudyChanged
		} else {
			err = s.store.AmendStudy(r.Context(), v.study, page.Proposed, v.account.ID, why)
		}
	}
	errors.As(err, &page.Problems)
	switch {
	case errors.Is(err, store.ErrStudyChanged):
		page.Form, page.Fault = formOf(v.study), "rules.changed_meanwhile"
		return s.renderRules(w, r, v, http.StatusConflict, page)
	case len(page.Problems) > 0:
		if err := s.showEffect(v, &page); err != nil {
			return err
		}
		return s.renderRules(w, r, v, http.StatusUnprocessableEntity, page)
	case err != nil:
		return err
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/rules"), http.StatusSeeOther)
	return nil
}
