package web

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"
)

// TestPagesInABrowser looks at every page of the foundation in a browser.
func TestPagesInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	x.member(t, "north", "operator", "NORTH")
	ctx := signedInBrowser(t, x, "kw")
	for name, path := range map[string]string{
		"home":       "/studies/S1",
		"vehicles":   "/studies/S1/vehicles",
		"none-found": "/studies/S1/vehicles?search=nothing",
		"vehicle":    "/studies/S1/vehicles/V002",
		"people":     "/studies/S1/people",
		"settings":   "/settings",
		"password":   "/password",
		"not-found":  "/studies/S1/vehicles/V999",
	} {
		lookedAt(t, ctx, x.url+path, name)
	}
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(x.url+"/settings"), chromedp.Click(`.who summary`),
		chromedp.Click(`form[action="/sign-out"] button`), chromedp.WaitVisible(`input[name=password]`)))
	lookedAt(t, ctx, x.url+"/sign-in", "sign-in")
}

// The first account is made in a browser, with the code of the terminal.
func TestSetUpInABrowser(t *testing.T) {
	x := newSite(t, Options{SetupCode: "ABCDEF"})
	ctx := chromium(t)
	lookedAt(t, ctx, x.url+"/", "set-up")
	require.NoError(t, chromedp.Do(ctx,
		chromedp.SendKeys(`input[name=code]`, "ABCDEF"),
		chromedp.SendKeys(`input[name=name]`, "KW"),
		chromedp.SendKeys(`input[name=password]`, testPassword),
		chromedp.Submit(`form`),
		chromedp.WaitVisible(`.standings`), // the only study's page, its figures worked out
	))
}
