package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strings"

	"beadspan/study"
)

// bayKnown is what a phone takes along: every vehicle that its person may see,
// and what new coating jobs may name.
type bayKnown struct {
	Account string `json:"account"`
	Fresh   bool   `json:"fresh"` // false: ask again soon
	// Vehicles are a list of bayVehicle, each written before.
	Vehicles json.RawMessage `json:"vehicles,omitempty"`
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

// bayFleet is bayKnown of the whole study. Vehicles are written as they are
// sent, since every phone asks for all of them.
type bayFleet struct {
	stamp    study.ID // no other state's
	vehicles []writtenVehicle
	due      overview
	coatings []study.Coating
	shops    []study.Shop
	packed   *packedKnown
}

type writtenVehicle struct {
	vehicle *study.Vehicle
	json    []byte
}

// bayFigure works out what phones take along.
var bayFigure = figure[bayFleet]{"bay", func(ctx context.Context, in figureInput) (bayFleet, error) {
	o, err := overviewFigure.work(ctx, in)
	if err != nil {
		return bayFleet{}, err
	}
	f := bayFleet{stamp: study.NewID(), due: o, coatings: in.fleet.Coatings, shops: in.fleet.Shops, packed: &packedKnown{}}
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
	patches := map[*study.Vehicle][]bayPatch{}
	for _, followed := range in.fleet.Follow(in.study.Protocol) {
		patches[followed.Vehicle] = append(patches[followed.Vehicle], newBayPatch(followed))
	}
	for i := range in.fleet.Vehicles {
		v := &in.fleet.Vehicles[i]
		written, err := json.Marshal(bayVehicle{v.Code, sites[v.SiteID], due[v.Code], append([]bayPatch{}, patches[v]...), lastDay(v)})
		if err != nil {
			return bayFleet{}, err
		}
		f.vehicles = append(f.vehicles, writtenVehicle{v, written})
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

// known is what the viewer may see of what phones take along, yet without the
// vehicles, and a tag that changes with it; nil while it is being worked out for
// the first time.
func (x *records) known(ctx context.Context, today study.Day) (known *bayKnown, all bayFleet, tag string, err error) {
	found, err := lookUp(x, bayFigure, today)
	if err != nil || !found.Ready {
		return nil, all, "", err
	}
	known = &bayKnown{Fresh: found.Fresh, Due: []string{}, Sites: []bayNamed{}, Shops: []string{}}
	putDown, err := x.store.PutDown(ctx, x.study.ID)
	if err != nil {
		return nil, all, "", err
	}
	known.Coatings = namedCoatings(found.Value.coatings, putDown.Coatings)
	sites, err := x.sites(ctx)
	if err != nil {
		return nil, all, "", err
	}
	for _, s := range sites {
		known.Sites = append(known.Sites, bayNamed{s.Code, s.Name})
	}
	for _, shop := range slices.Concat(found.Value.shops, putDown.Shops) {
		if x.scope.Covers(&shop.ID) {
			known.Shops = append(known.Shops, shop.Code)
		}
	}
	slices.Sort(known.Shops)
	known.Shops = slices.Compact(known.Shops)
	tag, err = tagOf(found.Value.stamp, x.scope, known)
	return known, found.Value, tag, err
}

// namedCoatings are those of both lists, each once, in order of code.
func namedCoatings(onPanels, putDown []study.Coating) []bayNamed {
	named := []bayNamed{}
	for _, c := range slices.Concat(onPanels, putDown) {
		named = append(named, bayNamed{c.Code, c.Name})
	}
	slices.SortFunc(named, func(a, b bayNamed) int { return strings.Compare(a.Code, b.Code) })
	return slices.CompactFunc(named, func(a, b bayNamed) bool { return a.Code == b.Code })
}

// tagOf tells states of what a phone takes along apart by what they are made of.
func tagOf(parts ...any) (string, error) {
	text, err := json.Marshal(parts)
	sum := sha256.Sum256(text)
	return `"` + hex.EncodeToString(sum[:12]) + `"`, err
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
	known, all, tag, err := v.records.known(r.Context(), s.today())
	if err != nil {
		return err
	}
	if known == nil {
		return answerJSON(w, http.StatusAccepted, bayKnown{Account: v.account.Name})
	}
	// Not ETag: the pages' compressor would change it.
	w.Header().Set("Known", tag)
	if r.Header.Get("Have") == tag {
		w.WriteHeader(http.StatusNoContent)
		return nil
	}
	known.Account = v.account.Name
	packed, err := all.packed.of(v.records, all, *known, tag)
	if err != nil {
		return err
	}
	return sendPacked(w, r, packed)
}
