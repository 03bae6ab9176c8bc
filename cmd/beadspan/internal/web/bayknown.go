package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"

	"beadspan/study"
)

// bayKnown is what a phone takes along: every vehicle that its person may see,
// and what new coating jobs may name.
type bayKnown struct {
	Account  string       `json:"account"`
	Fresh    bool         `json:"fresh"` // false: ask again soon
	Vehicles []bayVehicle `json:"vehicles"`
	// Due lists the codes of those that are due for something, the most urgent
	// first.
	Due      []string   `json:"due"`
	Coatings []bayNamed `json:"coatings"`
	Sites    []bayNamed `json:"sites"`
	Shops    []string   `json:"shops"`
}

type bayVehicle struct {
	Code    string     `json:"code"`
	Site    string     `json:"site"`
	Due     []bayDue   `json:"due,omitempty"`
	Patches []bayPatch `json:"patches"`
	LastDay *study.Day `json:"last_day"` // of its last checkup

	vehicle *study.Vehicle
}

type bayDue struct {
	Kind    study.DueKind `json:"kind"`
	Since   study.Day     `json:"since"`
	Patches []string      `json:"patches,omitempty"`
}

type bayPatch struct {
	Code        string            `json:"code"`
	Panel       string            `json:"panel"`
	Orientation study.Orientation `json:"orientation"`
	Substrate   study.Substrate   `json:"substrate"`
	Coating     string            `json:"coating"`
	Control     bool              `json:"control,omitempty"`
	Applied     study.Day         `json:"applied"`
	Standing    study.Standing    `json:"standing"`
	LastDay     *study.Day        `json:"last_day"`
	LastMeanDeg *float64          `json:"last_mean_deg"`
}

type bayNamed struct {
	Code string `json:"code"`
	Name string `json:"name"`
}

// bayFleet is bayKnown of the whole study.
type bayFleet struct {
	vehicles []bayVehicle
	due      []dueLine
	coatings []bayNamed
}

// bayFigure works out what phones take along.
var bayFigure = figure[bayFleet]{"bay", func(ctx context.Context, in figureInput) (bayFleet, error) {
	o, err := overviewFigure.work(ctx, in)
	if err != nil {
		return bayFleet{}, err
	}
	f := bayFleet{due: o.lines}
	for _, c := range in.fleet.Coatings {
		f.coatings = append(f.coatings, bayNamed{c.Code, c.Name})
	}
	due := map[string][]bayDue{} // by vehicle code
	for _, line := range o.lines {
		for _, d := range line.Due {
			due[line.Code] = append(due[line.Code], bayDue{d.Kind, d.Since, d.Patches})
		}
	}
	sites := map[study.ID]string{}
	for _, s := range in.fleet.Sites {
		sites[s.ID] = s.Code
	}
	at := map[*study.Vehicle]int{}
	for i := range in.fleet.Vehicles {
		v := &in.fleet.Vehicles[i]
		at[v] = len(f.vehicles)
		f.vehicles = append(f.vehicles, bayVehicle{Code: v.Code, Site: sites[v.SiteID], Due: due[v.Code], LastDay: lastDay(v), vehicle: v,
			Patches: make([]bayPatch, 0, len(v.Patches))})
	}
	for _, followed := range in.fleet.Follow(in.study.Protocol) {
		v := &f.vehicles[at[followed.Vehicle]]
		v.Patches = append(v.Patches, newBayPatch(followed))
	}
	return f, ctx.Err()
}}

func lastDay(v *study.Vehicle) *study.Day {
	var last *study.Day
	for i := range v.Checkups {
		if day := &v.Checkups[i].Day; last == nil || *day > *last {
			last = day
		}
	}
	return last
}

func newBayPatch(f study.Followed) bayPatch {
	line := newPatchLine(f)
	return bayPatch{Code: f.Patch.Code, Panel: f.Patch.Panel, Orientation: f.Patch.Orientation, Substrate: f.Patch.Substrate,
		Coating: f.Coating.Code, Control: f.Coating.Control, Applied: f.Patch.Applied, Standing: f.Span.Standing,
		LastDay: line.Last, LastMeanDeg: line.LastMean}
}

// known is what the viewer may see of what phones take along; nil while it is
// being worked out for the first time.
func (x *records) known(ctx context.Context, today study.Day) (*bayKnown, error) {
	found, err := lookUp(x, bayFigure, today)
	if err != nil || !found.Ready {
		return nil, err
	}
	known := &bayKnown{Fresh: found.Fresh, Vehicles: []bayVehicle{}, Due: []string{}, Coatings: []bayNamed{}, Sites: []bayNamed{}, Shops: []string{}}
	known.Coatings = append(known.Coatings, found.Value.coatings...)
	for _, v := range found.Value.vehicles {
		if x.covers(v.vehicle) {
			known.Vehicles = append(known.Vehicles, v)
		}
	}
	for _, line := range found.Value.due {
		if x.covers(line.vehicle) {
			known.Due = append(known.Due, line.Code)
		}
	}
	sites, err := x.store.Sites(ctx)
	if err != nil {
		return nil, err
	}
	for _, s := range sites {
		known.Sites = append(known.Sites, bayNamed{s.Code, s.Name})
	}
	shops, err := x.myShops(ctx)
	for _, shop := range shops {
		known.Shops = append(known.Shops, shop.Code)
	}
	return known, err
}

// myShops lists the shops whose vehicles the viewer may see.
func (x *records) myShops(ctx context.Context) ([]study.Shop, error) {
	all, err := x.shops(ctx)
	if err != nil {
		return nil, err
	}
	var mine []study.Shop
	for _, shop := range all {
		if x.scope.Covers(&shop.ID) {
			mine = append(mine, shop)
		}
	}
	return mine, nil
}

// tellKnown sends what a phone takes along, unless it has that already.
func (s *Server) tellKnown(w http.ResponseWriter, r *http.Request, v *viewer) error {
	known, err := v.records.known(r.Context(), s.today())
	if err != nil {
		return err
	}
	if known == nil {
		return answerJSON(w, http.StatusAccepted, bayKnown{Account: v.account.Name})
	}
	known.Account = v.account.Name
	body, err := json.Marshal(known)
	if err != nil {
		return err
	}
	sum := sha256.Sum256(body)
	tag := `"` + hex.EncodeToString(sum[:12]) + `"`
	// Not ETag: the pages' compressor would change it.
	w.Header().Set("Known", tag)
	if r.Header.Get("Have") == tag {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	w.Header().Set("Content-Type", "application/json")
	_, err = w.Write(body)
	if err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}
