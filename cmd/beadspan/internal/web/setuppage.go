package web

import (
	"errors"
	"net/http"
	"slices"

	"beadspan/study"
	"beadspan/study/climate"
	"beadspan/study/store"
)

func (s *Server) setupPageRoutes() []route {
	return slices.Concat([]route{
		{pattern: "GET /studies/{study}/set-up", needs: reading, do: s.showSetupPage},
		{pattern: "POST /studies/{study}/set-up/coatings", needs: ownership, do: s.addCoating},
		{pattern: "POST /studies/{study}/set-up/shops", needs: ownership, do: s.addShop},
	}, s.siteRoutes())
}

// setupLists is what a study has to choose from when a coating job is logged,
// and what is still missing before the first.
type setupLists struct {
	Sites    []siteLine
	Coatings []coatingLine
	Shops    []study.Shop
	Vehicles int
	Coating  coatingForm
	Shop     string // code, as typed
	// Added is what was just stored, in the words of a message's key; What is
	// its code.
	Added, What string
	Problems    study.Problems // of the coating or the shop that was sent
	Credits     []string
}

// Ready reports whether a coating job can be logged.
func (l setupLists) Ready() bool { return len(l.Sites) > 0 }

// siteLine is a site with its class in words.
type siteLine struct {
	study.Site
	ClassWords string
}

// coatingLine is a coating with its maker's claim in words.
type coatingLine struct {
	study.Coating
	Claim string
}

func newCoatingLine(l *language, c study.Coating) coatingLine {
	line := coatingLine{Coating: c}
	low, high := c.ClaimLowMonths, c.ClaimHighMonths
	switch {
	case c.Control:
		line.Claim = l.text("lists.bare")
	case low != nil && high != nil:
		line.Claim = l.text("lists.claim_range", "low", trimmed(l, *low), "high", trimmed(l, *high))
	case low != nil:
		line.Claim = l.text("lists.claim_from", "low", trimmed(l, *low))
	case high != nil:
		line.Claim = l.text("lists.claim_to", "high", trimmed(l, *high))
	}
	return line
}

// coatingForm is a coating as typed.
type coatingForm struct {
	Code, Name, Low, High, Note string
	Control                     bool
	// Was is the code of a stored coating that is to be corrected; empty for a
	// new one.
	Was string
}

func (s *Server) showSetupPage(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := setupLists{}
	query := r.URL.Query()
	switch added := query.Get("added"); added {
	case "site", "coating", "shop", "same", "proposed":
		page.Added, page.What = added, query.Get("code")
	}
	return s.renderSetupPage(w, r, v, http.StatusOK, page, query.Get("coating"))
}

// renderSetupPage shows the page; correct is the code of a coating that the
// form is to be filled in with.
func (s *Server) renderSetupPage(w http.ResponseWriter, r *http.Request, v *viewer, status int, page setupLists, correct string) error {
	sites, err := v.records.sites(r.Context())
	if err != nil {
		return err
	}
	for _, site := range sites {
		page.Sites = append(page.Sites, siteLine{site, climate.Words(site.Koppen)})
	}
	coatings, err := v.records.coatings(r.Context())
	if err != nil {
		return err
	}
	for _, c := range coatings {
		page.Coatings = append(page.Coatings, newCoatingLine(v.say, c))
		if c.Code == correct {
			page.Coating = newCoatingForm(v.say, c)
		}
	}
	if page.Shops, err = v.records.shops(r.Context()); err != nil {
		return err
	}
	if page.Vehicles, err = v.records.countVehicles(r.Context()); err != nil {
		return err
	}
	page.Credits = climate.Credits()
	return s.render(w, v, status, "setuppage.html", v.say.text("lists.title"), page)
}

// newCoatingForm fills the form in with a stored coating.
func newCoatingForm(l *language, c study.Coating) coatingForm {
	months := func(x *float64) string {
		if x == nil {
			return ""
		}
		return trimmed(l, *x)
	}
	return coatingForm{c.Code, c.Name, months(c.ClaimLowMonths), months(c.ClaimHighMonths), c.Note, c.Control, c.Code}
}

// addCoating puts a coating down, or proposes a correction of one.
func (s *Server) addCoating(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	f := fields{form: r.PostForm}
	page := setupLists{Coating: coatingForm{f.typed("code"), f.typed("name"), f.typed("claim_low_months"), f.typed("claim_high_months"),
		f.typed("note"), f.typed("control") != "", f.typed("was")}}
	c := study.Coating{ID: study.NewID(), Code: page.Coating.Code, Name: page.Coating.Name, Control: page.Coating.Control,
		ClaimLowMonths: f.number("claim_low_months"), ClaimHighMonths: f.number("claim_high_months"), Note: page.Coating.Note}
	err := f.problems.OrNil()
	var loaded store.Loaded
	if err == nil {
		loaded, err = v.records.addCoating(r.Context(), c, page.Coating.Was == c.Code)
	}
	if errors.As(err, &page.Problems) {
		return s.renderSetupPage(w, r, v, http.StatusUnprocessableEntity, page, "")
	}
	if err != nil {
		return err
	}
	s.backToSetup(w, r, v, "coating", c.Code, loaded)
	return nil
}

// addShop puts a shop down.
func (s *Server) addShop(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	f := fields{form: r.PostForm}
	page := setupLists{Shop: f.typed("shop")}
	loaded, err := v.records.addShop(r.Context(), study.Shop{ID: study.NewID(), Code: page.Shop})
	if errors.As(err, &page.Problems) {
		return s.renderSetupPage(w, r, v, http.StatusUnprocessableEntity, page, "")
	}
	if err != nil {
		return err
	}
	s.backToSetup(w, r, v, "shop", page.Shop, loaded)
	return nil
}
