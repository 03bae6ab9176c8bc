package web

import (
	"net/http"
	"slices"
	"time"
)

// The cookies in which a browser keeps how its person likes the pages. They
// say nothing of who that is.
const (
	languageCookie = "language"
	lookCookie     = "look"
	unitsCookie    = "units"
)

// preferences are how somebody likes the pages.
type preferences struct {
	Look  string // light, dark, or empty for what the device has
	Units string // si or us
}

var (
	looks      = []string{"", "light", "dark"}
	unitSystem = []string{"si", "us"}
)

// preferencesOf reads what the browser keeps.
func preferencesOf(r *http.Request) preferences {
	p := preferences{Units: "si"}
	if c, err := r.Cookie(lookCookie); err == nil && slices.Contains(looks, c.Value) {
		p.Look = c.Value
	}
	if c, err := r.Cookie(unitsCookie); err == nil && slices.Contains(unitSystem, c.Value) {
		p.Units = c.Value
	}
	return p
}

// Temperature writes a temperature in the units that are liked.
func (p preferences) Temperature(l *language, celsius float64) string {
	if p.Units == "us" {
		return l.decimal(celsius*9/5+32, 0) + " °F"
	}
	return l.decimal(celsius, 1) + " °C"
}

// Distance writes a distance in the units that are liked: 1 mile is 1.609344
// km (international yard and pound agreement, 1959).
func (p preferences) Distance(l *language, km float64) string {
	if p.Units == "us" {
		return l.decimal(km/1.609344, 0) + " mi"
	}
	return l.decimal(km, 0) + " km"
}

func (s *Server) settingsRoutes() []route {
	return []route{
		{pattern: "GET /settings", needs: anybody, do: s.showSettings},
		{pattern: "POST /settings", needs: anybody, do: s.saveSettings},
	}
}

// settingsPage is what the page of preferences shows.
type settingsPage struct {
	Language string
	Next     string
}

func (s *Server) showSettings(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := settingsPage{v.say.Tag, local(r.URL.Query().Get("next"))}
	return s.render(w, v, http.StatusOK, "settings.html", v.say.text("settings.title"), page)
}

// saveSettings keeps the preferences in the browser.
func (s *Server) saveSettings(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	for name, value := range map[string]string{
		languageCookie: r.PostForm.Get("language"),
		lookCookie:     r.PostForm.Get("look"),
		unitsCookie:    r.PostForm.Get("units"),
	} {
		if len(value) > 10 {
			continue // none of ours is that long
		}
		http.SetCookie(w, &http.Cookie{Name: name, Value: value, Path: "/", MaxAge: int((400 * 24 * time.Hour).Seconds()),
			HttpOnly: true, Secure: s.opts.Secure, SameSite: http.SameSiteLaxMode})
	}
	http.Redirect(w, r, local(r.PostForm.Get("next")), http.StatusSeeOther)
	return nil
}

// parseForm reads a posted form; one that can't be read is a fault.
func parseForm(r *http.Request) error {
	err := r.ParseForm()
	if err == nil {
		return nil
	}
	if tooLarge, is := err.(*http.MaxBytesError); is {
		return tooLarge
	}
	return fault{http.StatusBadRequest, "fault.form"}
}
