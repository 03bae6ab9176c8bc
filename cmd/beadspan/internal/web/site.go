package web

import (
	"errors"
	"net/http"
	"net/url"
	"strings"
	"sync"

	"beadspan/cmd/beadspan/internal/siting"
	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/climate"
)

func (s *Server) siteRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/set-up/site", needs: ownership, do: s.showSite},
		{pattern: "POST /studies/{study}/set-up/site", needs: ownership, do: s.addSite},
		{pattern: "GET /studies/{study}/set-up/cities.json", needs: ownership, do: asJSON(s.suggestCities)},
	}
}

// openAtlas reads the maps and cities that the program brings along, once.
var openAtlas = sync.OnceValues(climate.OpenAtlas)

// sitePage is a place to be added as a site: looked for by name or position,
// then shown with what the maps say of it.
type sitePage struct {
	Form siteForm
	// Cities are those that may be meant by what was searched for.
	Cities []climate.City
	// Weather is what a usual year comes to there; nil until a place is chosen.
	Weather  *siting.Weather
	Position string
	Problems study.Problems
	Fault    string // key of what is wrong; empty: nothing
	Credits  []string
}

// siteForm is the form as typed.
type siteForm struct {
	City, Latitude, Longitude, Code, Name, Note                           string
	Altitude, TempC, MaxC, MinC, RainMM, SunshineH, CloudPct, HumidityPct string
}

func readSiteForm(f *fields) siteForm {
	return siteForm{
		f.typed("city"), f.typed("latitude"), f.typed("longitude"), f.typed("code"), f.typed("name"), f.typed("note"),
		f.typed("altitude_m"), f.typed("temp_c"), f.typed("max_c"), f.typed("min_c"), f.typed("rain_mm"),
		f.typed("sunshine_h"), f.typed("cloud_pct"), f.typed("humidity_pct"),
	}
}

// Chosen reports whether a place was named, by city or by position.
func (f siteForm) Chosen() bool { return f.City != "" || f.Latitude != "" || f.Longitude != "" }

// showSite shows the form and, once a place is named, its weather.
func (s *Server) showSite(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page, _, err := readSite(r.URL.Query())
	if err != nil {
		return err
	}
	status := http.StatusOK
	if len(page.Problems) > 0 || page.Fault != "" {
		status = http.StatusUnprocessableEntity
	}
	return s.renderSite(w, v, status, page)
}

func (s *Server) renderSite(w http.ResponseWriter, v *viewer, status int, page sitePage) error {
	page.Credits = climate.Credits()
	return s.render(w, v, status, "site.html", v.say.text("site.title"), page)
}

// addSite stores the site that the form describes.
func (s *Server) addSite(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	page, where, err := readSite(r.PostForm)
	if err != nil {
		return err
	}
	if page.Weather == nil {
		return s.renderSite(w, v, http.StatusUnprocessableEntity, page)
	}
	name := page.Form.Name
	if name == "" && page.Form.City != "" {
		name = where.Name
	}
	site, err := page.Weather.Site(page.Form.Code, name, page.Form.Note)
	if errors.As(err, &page.Problems) {
		return s.renderSite(w, v, http.StatusUnprocessableEntity, page)
	}
	if err != nil {
		return err
	}
	loaded, err := v.records.addSite(r.Context(), site)
	if errors.As(err, &page.Problems) {
		return s.renderSite(w, v, http.StatusUnprocessableEntity, page)
	}
	if err != nil {
		return err
	}
	s.backToSetup(w, r, v, "site", site.Code, loaded)
	return nil
}

// readSite reads the form, and works out the weather of the place where it
// names one. What is wrong with it is in the page.
func readSite(form url.Values) (sitePage, siting.Where, error) {
	f := fields{form: form}
	page := sitePage{Form: readSiteForm(&f)}
	if !page.Form.Chosen() {
		return page, siting.Where{}, nil
	}
	atlas, err := openAtlas()
	if err != nil {
		return page, siting.Where{}, err
	}
	where, found := page.locate(atlas, &f)
	known := readKnown(&f)
	page.Problems = append(page.Problems, f.problems...)
	if !found || len(page.Problems) > 0 {
		return page, where, nil
	}
	weather, err := siting.WeatherOf(atlas, where, climate.Place{}, known)
	switch {
	case errors.As(err, &page.Problems):
	case errors.Is(err, climate.ErrNoLand):
		page.Fault = "site.no_land"
	case err != nil:
		return page, where, err
	default:
		page.Weather, page.Position = &weather, siting.Position(where.LatitudeDeg, where.LongitudeDeg)
	}
	return page, where, nil
}

// locate finds the place that the form names. A position goes before a city.
func (p *sitePage) locate(atlas *climate.Atlas, f *fields) (siting.Where, bool) {
	if p.Form.Latitude != "" || p.Form.Longitude != "" {
		latitude, longitude := f.number("latitude"), f.number("longitude")
		if (latitude == nil || longitude == nil) && len(f.problems) == 0 {
			p.Fault = "site.both"
		}
		if latitude == nil || longitude == nil {
			return siting.Where{}, false
		}
		return siting.At(*latitude, *longitude), true
	}
	where, err := siting.AtCity(atlas, p.Form.City, "")
	if err == nil {
		return where, true
	}
	if p.Cities = atlas.Search(p.Form.City, mostCities); len(p.Cities) == 0 {
		p.Fault = "site.no_city"
	}
	return siting.Where{}, false
}

// readKnown reads what somebody knows of the weather.
func readKnown(f *fields) siting.Known {
	k := siting.Known{AltitudeM: f.number("altitude_m")}
	k.SunshineYearH, k.Normals.SunshineH = f.oneOrTwelve("sunshine_h")
	k.Normals.MeanTempC, k.Normals.MaxTempC, k.Normals.MinTempC = f.twelve("temp_c"), f.twelve("max_c"), f.twelve("min_c")
	k.Normals.PrecipitationMM, k.Normals.CloudPct, k.Normals.HumidityPct = f.twelve("rain_mm"), f.twelve("cloud_pct"), f.twelve("humidity_pct")
	return k
}

// mostCities is how many cities are suggested.
const mostCities = 8

// suggestCities lists what may be meant by what is being typed.
func (s *Server) suggestCities(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	atlas, err := openAtlas()
	if err != nil {
		return err
	}
	names := []string{}
	for _, c := range atlas.Search(r.URL.Query().Get("city"), mostCities) {
		names = append(names, c.String())
	}
	return answerJSON(w, http.StatusOK, names)
}

// ClassLine says the class and where it is from.
func (p sitePage) ClassLine() string {
	from := map[climate.From]string{climate.FromRule: "by rule from the monthly normals", climate.FromMap: "from the map"}[p.Weather.ClassFrom]
	return strings.TrimSpace(p.Weather.Class + ": " + p.Weather.ClassWords + " (" + from + ")")
}

// WeatherWords say what the figures of a site mean.
func (sitePage) WeatherWords() string { return reports.WeatherWords() }
