package web

import (
	"net/http"

	"beadspan/reports"
	"beadspan/study"
)

func (s *Server) coatingsRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/coatings", needs: reading, do: s.showCoatings},
	}
}

// coatingsPage compares the coatings of a study.
type coatingsPage struct {
	Evidence found[*evidence]
	// Survival is the plot of all coatings together, if there is enough for one.
	Survival []drawnPlot
	Decay    []drawnPlot // of each coating
	Coatings []coatingRow
}

// coatingRow is how long one coating lasts.
type coatingRow struct {
	reports.LifeRow
	Coating study.Coating
}

func (s *Server) showCoatings(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	var page coatingsPage
	var err error
	if page.Evidence, err = lookUp(v.records, evidenceFigure, s.today()); err != nil {
		return err
	}
	if page.Evidence.Ready {
		e := page.Evidence.Value
		page.Survival, page.Decay = e.plotsNamed("survival"), e.plotsNamed("decay-")
		for _, row := range e.Life.Rows {
			page.Coatings = append(page.Coatings, coatingRow{row, e.coatings[row.Coating]})
		}
	}
	return s.render(w, v, http.StatusOK, "coatings.html", v.say.text("coatings.title"), page)
}
