package web

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestAccessPagesInABrowser looks at the pages for programs and customers.
func TestAccessPagesInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	a := x.steward(t, "kw")
	x.program(t, a, study.Operator)
	link := study.ShareLink{ID: study.NewID(), StudyID: x.study.ID, VehicleID: x.fleet.Vehicles[1].ID, MadeBy: a.ID, Expires: time.Now().Add(time.Hour)}
	require.NoError(t, x.db.AddShareLink(t.Context(), link, "SECRET"))
	ctx := signedInBrowser(t, x, "kw")
	for name, path := range map[string]string{
		"tokens": "/tokens",
		"api":    "/api",
		"links":  "/studies/S1/vehicles/V002/links",
		"shared": "/shared/SECRET",
	} {
		lookedAt(t, ctx, x.url+path, name)
	}
}
