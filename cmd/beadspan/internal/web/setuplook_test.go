package web

import (
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// TestSetupPagesInABrowser looks at the pages of a study's beginning.
func TestSetupPagesInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	empty := study.Study{ID: study.NewID(), Code: "S0", Question: "How long?", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()}
	require.NoError(t, x.db.AddStudy(t.Context(), empty))
	ctx := signedInBrowser(t, x, "kw")
	for name, path := range map[string]string{
		"new-study":     "/new-study",
		"set-up":        "/studies/S1/set-up?coating=FLEX-1&added=same&code=FLEX-1",
		"set-up-empty":  "/studies/S0/set-up",
		"site":          "/studies/S1/set-up/site",
		"site-which":    "/studies/S1/set-up/site?city=Springfield",
		"site-position": "/studies/S1/set-up/site?latitude=91&longitude=0",
		"site-there":    "/studies/S1/set-up/site?" + berlin.Encode(),
	} {
		lookedAt(t, ctx, x.url+path, name)
	}
	// A city is chosen from what is suggested while it is typed.
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Navigate(x.url+"/studies/S1/set-up/site"),
		chromedp.SendKeys(`[name=city]`, "Bremerh"),
		chromedp.WaitReady(`#cities option[value^="Bremerhaven"]`),
		chromedp.SendKeys(`[name=city]`, "aven\r"),
		chromedp.WaitVisible(`[name=code]`),
	))
}
