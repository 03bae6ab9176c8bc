package web

import (
	"errors"
	"net/http"

	"beadspan/reports"
	"beadspan/study"
)

func (s *Server) setupStudyRoutes() []route {
	return []route{
		{pattern: "GET /new-study", needs: stewardship, do: s.showNewStudy},
		{pattern: "POST /new-study", needs: stewardship, do: s.addStudy},
	}
}

// newStudyPage is the form for a study, filled in with what is usual.
type newStudyPage struct {
	Code  string
	First bool // there is no study yet
	Form  rulesForm
	ruleChoices
	Words    []string // what the protocol of the form means
	Problems study.Problems
}

// ruleChoices are what rules may be chosen from.
type ruleChoices struct {
	Metrics   []study.Metric
	Confirms  []int
	Estimands []study.Estimand
}

func newRuleChoices() ruleChoices {
	return ruleChoices{study.Metrics(), []int{1, 2, 3}, []study.Estimand{study.ToTopper, study.AsMaintained}}
}

// usualStudy has the rules that a study begins with unless somebody says
// otherwise.
func usualStudy() study.Study {
	return study.Study{Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
}

func (s *Server) showNewStudy(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderNewStudy(w, r, v, http.StatusOK, newStudyPage{Form: formOf(usualStudy())}, usualStudy())
}

func (s *Server) renderNewStudy(w http.ResponseWriter, r *http.Request, v *viewer, status int, page newStudyPage, st study.Study) error {
	studies, err := s.store.Studies(r.Context())
	if err != nil {
		return err
	}
	page.First = len(studies) == 0
	page.ruleChoices = newRuleChoices()
	if len(st.Protocol.Validate()) == 0 {
		page.Words = reports.ProtocolWords(st.Protocol)
	}
	return s.render(w, v, status, "newstudy.html", v.say.text("newstudy.title"), page)
}

// addStudy stores a study, or shows what its protocol would mean.
func (s *Server) addStudy(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	f := fields{form: r.PostForm}
	page := newStudyPage{Code: f.typed("code"), Form: readRulesForm(r.PostForm)}
	st, problems := page.Form.over(study.Study{ID: study.NewID(), Code: page.Code})
	if f.typed("do") == "look" {
		page.Problems = problems
		return s.renderNewStudy(w, r, v, statusOf(problems), page, st)
	}
	err := problems.OrNil()
	if err == nil {
		err = s.store.AddStudy(r.Context(), st)
	}
	if errors.As(err, &page.Problems) {
		return s.renderNewStudy(w, r, v, http.StatusUnprocessableEntity, page, st)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, studyPath(st.Code, "/set-up"), http.StatusSeeOther)
	return nil
}

// statusOf is that of a form that is shown again with its problems.
func statusOf(problems study.Problems) int {
	if len(problems) > 0 {
		return http.StatusUnprocessableEntity
	}
	return http.StatusOK
}
