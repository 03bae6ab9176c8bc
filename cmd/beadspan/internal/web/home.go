package web

import (
	"net/http"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) homeRoutes() []route {
	return []route{
		{pattern: "GET /{$}", needs: account, do: s.showStudies},
		{pattern: "GET /studies/{study}", needs: reading, do: s.showHome},
	}
}

// studiesPage lists the studies to choose from.
type studiesPage struct {
	Studies []store.Access
	MayAdd  bool // the viewer may make another
}

// showStudies leads to the only study, or lets the viewer choose. Whoever looks
// after all studies makes the first one now.
func (s *Server) showStudies(w http.ResponseWriter, r *http.Request, v *viewer) error {
	studies, err := s.store.AccessesOf(r.Context(), v.account)
	if err != nil {
		return err
	}
	if len(studies) == 1 {
		http.Redirect(w, r, studyPath(studies[0].Study.Code, ""), http.StatusSeeOther)
		return nil
	}
	if len(studies) == 0 && v.account.Steward {
		http.Redirect(w, r, "/new-study", http.StatusSeeOther)
		return nil
	}
	page := studiesPage{studies, v.account.Steward}
	return s.render(w, v, http.StatusOK, "studies.html", v.say.text("studies.title"), page)
}

// homePage is what the office looks at first.
type homePage struct {
	Vehicles int // that the viewer may see
	Overview found[overview]
	Standing []standingCount
	Due      []dueLine
	More     int // due vehicles that aren't listed
}

// mostDueLines keeps the page short; the list of everything due is a page of
// its own.
const mostDueLines = 50

func (s *Server) showHome(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	page := homePage{}
	var err error
	if page.Overview, err = lookUp(v.records, overviewFigure, s.today()); err != nil {
		return err
	}
	page.Vehicles = page.Overview.Value.vehicles(v.records)
	page.Standing = page.Overview.Value.standings(v.records)
	page.Due = page.Overview.Value.due(v.records)
	if len(page.Due) > mostDueLines {
		page.Due, page.More = page.Due[:mostDueLines], len(page.Due)-mostDueLines
	}
	return s.render(w, v, http.StatusOK, "home.html", v.study.Code, page)
}

// standingCount is how many patches stand in one way.
type standingCount struct {
	Standing study.Standing
	Patches  int
}
