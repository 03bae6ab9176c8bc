package web

import (
	"net/http"

	"beadspan/reports"
	"beadspan/study/climate"
)

func (s *Server) climatesRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/climates", needs: reading, do: s.showClimates},
	}
}

// climatesPage tells what the weather does to the coatings of a study.
type climatesPage struct {
	Evidence found[*evidence]
	// Life is the plot of life by climate, if there is enough for one.
	Life []drawnPlot
	// WeatherWords say what the table of sites means, and Credits whose data it
	// rests on.
	WeatherWords string
	Credits      []string
}

func (s *Server) showClimates(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	page := climatesPage{WeatherWords: reports.WeatherWords(), Credits: climate.Credits()}
	var err error
	if page.Evidence, err = lookUp(v.records, evidenceFigure, s.today()); err != nil {
		return err
	}
	if page.Evidence.Ready {
		page.Life = page.Evidence.Value.plotsNamed(reports.LifeByClimate)
	}
	return s.render(w, v, http.StatusOK, "climates.html", v.say.text("climates.title"), page)
}
