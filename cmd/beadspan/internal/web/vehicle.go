package web

import (
	"net/http"
	"slices"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) vehicleRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/vehicles", needs: reading, do: s.showVehicles},
		{pattern: "GET /studies/{study}/vehicles/{vehicle}", needs: reading, do: s.showVehicle},
	}
}

// vehiclesPage is a page of the list of vehicles.
type vehiclesPage struct {
	Search   string
	After    string // the code that the page begins after
	Vehicles []store.VehicleLine
	Next     string // the code that the next page begins after; empty: this is the last
	Shops    bool   // some vehicle says its shop
}

// vehiclesOnPage is how many vehicles a page lists.
const vehiclesOnPage = 100

// showVehicles lists vehicles, and leads straight to the one whose code was
// searched for.
func (s *Server) showVehicles(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := vehiclesPage{Search: r.URL.Query().Get("search"), After: r.URL.Query().Get("after")}
	var more bool
	var err error
	page.Vehicles, more, err = v.records.vehicles(r.Context(), store.VehicleQuery{
		Search: page.Search, After: page.After, Limit: vehiclesOnPage,
	})
	if err != nil {
		return err
	}
	if len(page.Vehicles) == 1 && page.Vehicles[0].Code == page.Search {
		http.Redirect(w, r, vehiclePath(v.study.Code, page.Search), http.StatusSeeOther)
		return nil
	}
	if more {
		page.Next = page.Vehicles[len(page.Vehicles)-1].Code
	}
	page.Shops = slices.ContainsFunc(page.Vehicles, func(l store.VehicleLine) bool { return l.Shop != "" })
	return s.render(w, v, http.StatusOK, "vehicles.html", v.say.text("vehicles.title"), page)
}

// vehiclePage is all that is known of one vehicle.
type vehiclePage struct {
	Vehicle study.Vehicle
	Site    study.Site
	Shop    string // code; empty for none
	Patches []patchStory
	Days    []vehicleDay
	Ahead   found[*vehicleAhead]
	Letters []store.LetterLine // to the customer, the latest
	Photos  []study.KeptPhoto  // the latest few
}

// vehicleDay is what happened to a vehicle on one day.
type vehicleDay struct {
	Day      study.Day
	Checkups []study.Checkup
	Care     []careLine
}

// careLine is care, and where it left common practice.
type careLine struct {
	study.Care
	Warnings []study.Warning
}

func (s *Server) showVehicle(w http.ResponseWriter, r *http.Request, v *viewer) error {
	fleet, err := v.records.vehicle(r.Context(), r.PathValue("vehicle"))
	if err != nil {
		return err
	}
	vehicle := fleet.Vehicles[0]
	page := vehiclePage{Vehicle: vehicle, Days: daysOf(vehicle)}
	if len(fleet.Sites) > 0 {
		page.Site = fleet.Sites[0]
	}
	if len(fleet.Shops) > 0 {
		page.Shop = fleet.Shops[0].Code
	}
	for _, f := range fleet.Follow(v.study.Protocol) {
		page.Patches = append(page.Patches, newPatchStory(v.say, v.study.Protocol, f, s.today()))
	}
	if page.Ahead, err = s.ahead(v, vehicle.Code); err != nil {
		return err
	}
	if page.Letters, err = v.records.letters(r.Context(), vehicle.ID, lettersAtVehicle); err != nil {
		return err
	}
	if page.Photos, err = v.records.photos(r.Context(), vehicle.Code, photosOnVehicle); err != nil {
		return err
	}
	return s.render(w, v, http.StatusOK, "vehicle.html", vehicle.Code, page)
}

// patchLine is a patch with how it stands.
type patchLine struct {
	study.Followed
	Last     *study.Day // of its last reading
	LastMean *float64   // mean angle of it, in degrees
}

func newPatchLine(f study.Followed) patchLine {
	line := patchLine{Followed: f}
	for _, c := range f.Vehicle.Checkups { // in order of day
		for _, reading := range c.Readings { // in order of stage
			if reading.PatchID != f.Patch.ID {
				continue
			}
			line.Last, line.LastMean = &c.Day, nil
			if mean, measured := reading.MeanAngleDeg(); measured {
				line.LastMean = &mean
			}
		}
	}
	return line
}

// daysOf gathers what happened by day, the latest first.
func daysOf(v study.Vehicle) []vehicleDay {
	byDay := map[study.Day]*vehicleDay{}
	at := func(day study.Day) *vehicleDay {
		if byDay[day] == nil {
			byDay[day] = &vehicleDay{Day: day}
		}
		return byDay[day]
	}
	for _, c := range v.Checkups {
		d := at(c.Day)
		d.Checkups = append(d.Checkups, c)
	}
	for _, c := range v.Care {
		d := at(c.Day)
		d.Care = append(d.Care, careLine{c, v.WarningsOf(c)})
	}
	days := make([]vehicleDay, 0, len(byDay))
	for _, d := range byDay {
		days = append(days, *d)
	}
	slices.SortFunc(days, func(a, b vehicleDay) int { return int(b.Day - a.Day) })
	return days
}
