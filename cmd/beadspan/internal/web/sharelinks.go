package web

import (
	"crypto/rand"
	"errors"
	"net/http"
	"time"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

// sharedFor is how long a link to a customer's page is good.
const sharedFor = 90 * 24 * time.Hour

func (s *Server) shareRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/vehicles/{vehicle}/links", needs: logging, do: s.showLinks},
		{pattern: "POST /studies/{study}/vehicles/{vehicle}/links", needs: logging, do: s.makeLink},
		{pattern: "POST /studies/{study}/vehicles/{vehicle}/links/{link}", needs: logging, do: s.revokeLink},
		{pattern: "GET /shared/{secret}", needs: anybody, do: s.showShared},
	}
}

// linksPage lists the links to a vehicle's page for its customer.
type linksPage struct {
	Vehicle string // code
	Links   []sharedLine
	Link    string // shown once
}

// sharedLine is a link as the list shows it.
type sharedLine struct {
	store.SharedBy
	State string // good, revoked or expired
}

// Until is the last day on which the link is good.
func (l sharedLine) Until() study.Day { return study.DayOfTime(l.Expires) }

// On is the day on which the link was made.
func (l sharedLine) On() study.Day { return study.DayOfTime(l.Made) }

// shareLinks lists the links to a vehicle.
func (x *records) shareLinks(r *http.Request, vehicle study.ID) ([]store.SharedBy, error) {
	return x.store.ShareLinks(r.Context(), x.study.ID, vehicle)
}

// vehicleNamed finds the vehicle that the address names.
func vehicleNamed(r *http.Request, v *viewer) (study.Vehicle, error) {
	fleet, err := v.records.vehicle(r.Context(), r.PathValue("vehicle"))
	if err != nil {
		return study.Vehicle{}, err
	}
	return fleet.Vehicles[0], nil
}

func (s *Server) showLinks(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderLinks(w, r, v, "")
}

func (s *Server) renderLinks(w http.ResponseWriter, r *http.Request, v *viewer, link string) error {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return err
	}
	links, err := v.records.shareLinks(r, vehicle.ID)
	if err != nil {
		return err
	}
	page := linksPage{Vehicle: vehicle.Code, Link: link}
	for _, l := range links {
		page.Links = append(page.Links, sharedLine{l, stateOf(l.Revoked, l.Expires)})
	}
	return s.render(w, v, http.StatusOK, "sharelinks.html", v.say.text("share.title"), page)
}

// makeLink makes a link and shows it once: nobody can look it up again.
func (s *Server) makeLink(w http.ResponseWriter, r *http.Request, v *viewer) error {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return err
	}
	secret := rand.Text() // 128 bits and more
	link := study.ShareLink{ID: study.NewID(), StudyID: v.study.ID, VehicleID: vehicle.ID, MadeBy: v.account.ID, Expires: time.Now().Add(sharedFor)}
	if err := s.store.AddShareLink(r.Context(), link, secret); err != nil {
		return err
	}
	return s.renderLinks(w, r, v, s.origin(r)+"/shared/"+secret)
}

// revokeLink ends a link at once.
func (s *Server) revokeLink(w http.ResponseWriter, r *http.Request, v *viewer) error {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return err
	}
	id, err := uuid.Parse(r.PathValue("link"))
	if err != nil {
		return study.ErrNotFound
	}
	if err := s.store.RevokeShareLink(r.Context(), v.study.ID, vehicle.ID, id); err != nil {
		return err
	}
	http.Redirect(w, r, vehiclePath(v.study.Code, vehicle.Code)+"/links", http.StatusSeeOther)
	return nil
}

// sharedPage is what a customer reads of their vehicle.
type sharedPage struct {
	Vehicle string // code
	Patches []patchLine
	Washed  *study.Day // last
}

// showShared shows a vehicle's page to whoever has a link to it: how its coated
// panels stand, and nothing of any other vehicle, of people or of places.
func (s *Server) showShared(w http.ResponseWriter, r *http.Request, v *viewer) error {
	w.Header().Set("Referrer-Policy", "no-referrer") // the address is the secret
	w.Header().Set("X-Robots-Tag", "noindex")
	st, fleet, err := s.store.Shared(r.Context(), r.PathValue("secret"))
	if errors.Is(err, study.ErrNotFound) {
		return fault{http.StatusNotFound, "fault.shared"}
	}
	if err != nil {
		return err
	}
	page := sharedPage{Vehicle: fleet.Vehicles[0].Code}
	for _, f := range fleet.Follow(st.Protocol) {
		if !f.Coating.Control {
			page.Patches = append(page.Patches, newPatchLine(f))
		}
	}
	for _, c := range fleet.Vehicles[0].Care {
		if c.Kind == study.MaintenanceWash || c.Kind == study.DeconWash {
			page.Washed = &c.Day
		}
	}
	// A customer with the link is nobody here, whoever else uses the browser.
	return s.render(w, &viewer{say: v.say, prefs: v.prefs}, http.StatusOK, "shared.html", page.Vehicle, page)
}
