package web

import (
	"testing"

	"beadspan/study"
)

// TestAccessPagesInABrowser looks at the pages for programs.
func TestAccessPagesInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	a := x.steward(t, "kw")
	x.program(t, a, study.Operator)
	ctx := signedInBrowser(t, x, "kw")
	for name, path := range map[string]string{
		"tokens": "/tokens",
		"api":    "/api",
	} {
		lookedAt(t, ctx, x.url+path, name)
	}
}
