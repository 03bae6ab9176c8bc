package web

import (
	"context"
	"net/http"
	"net/url"

	"beadspan/study"
	"beadspan/study/store"
)

// sites lists all sites: they belong to no study.
func (x *records) sites(ctx context.Context) ([]study.Site, error) { return x.store.Sites(ctx) }

// coatings lists the coatings of the study, also those that no patch has yet.
func (x *records) coatings(ctx context.Context) ([]study.Coating, error) {
	return x.store.Coatings(ctx, x.study.ID)
}

// addCoating puts a coating down for the study. One that corrects a stored one
// is whole: what it leaves blank is known to be blank.
func (x *records) addCoating(ctx context.Context, c study.Coating, corrects bool) (store.Loaded, error) {
	if !x.role.MayOwn() {
		return store.Loaded{}, errRole
	}
	return x.store.AddCoating(ctx, x.study.ID, c, store.Loading{BlanksCorrect: corrects})
}

// addShop puts a shop down for the study.
func (x *records) addShop(ctx context.Context, shop study.Shop) (store.Loaded, error) {
	if !x.role.MayOwn() {
		return store.Loaded{}, errRole
	}
	return x.store.AddShop(ctx, x.study.ID, shop)
}

// addSite stores a site, which all studies may then name.
func (x *records) addSite(ctx context.Context, site study.Site) (store.Loaded, error) {
	if !x.role.MayOwn() {
		return store.Loaded{}, errRole
	}
	return x.store.AddSite(ctx, site)
}

// backToSetup leads back to the page of the lists, which then says what became
// of a record.
func (s *Server) backToSetup(w http.ResponseWriter, r *http.Request, v *viewer, what, code string, loaded store.Loaded) {
	switch {
	case loaded.Proposed+loaded.ProposedBefore > 0:
		what = "proposed"
	case loaded.Added == study.Size{}:
		what = "same"
	}
	query := url.Values{"added": {what}, "code": {code}}
	http.Redirect(w, r, studyPath(v.study.Code, "/set-up?"+query.Encode()), http.StatusSeeOther)
}
