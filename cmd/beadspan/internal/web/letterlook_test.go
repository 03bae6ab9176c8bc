package web

import (
	"bytes"
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLetterInABrowser: from the vehicle to a letter, kept, shared, read by
// somebody who has nothing but the link, and gone when the link is revoked.
func TestLetterInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	ctx := signedInBrowser(t, x, "kw")
	require.NoError(t, chromedp.Do(ctx,
		desk, chromedp.Navigate(x.url+"/studies/S1/vehicles/V001"),
		chromedp.Click(`section[aria-labelledby=letters-h] a[href$="/letters"]`),
		chromedp.WaitVisible(`form[action$="/preview"]`),
	))
	lookedAt(t, ctx, x.url+"/studies/S1/vehicles/V001/letters", "letters-none")
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(`form[action$="/preview"] .second`), chromedp.WaitVisible(`.letterbar form`)))
	lookedAt(t, ctx, location(t, ctx), "letter-preview")
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(`.letterbar button`), chromedp.WaitVisible(`.letterbar a[download]`)))
	lookedAt(t, ctx, location(t, ctx), "letter-kept")
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(`.letterbar a`), chromedp.WaitVisible(`.letters`),
		chromedp.Click(`form[action$="/links"] button`), chromedp.WaitVisible(`.news .link`)))
	link, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.querySelector(".news .link").value`))
	require.NoError(t, err)
	lookedAt(t, ctx, x.url+"/studies/S1/vehicles/V001/letters", "letters")

	private, end := chromedp.NewContext(ctx, chromedp.WithNewBrowserContext())
	defer end()
	failOnComplaints(t, private)
	lookedAt(t, private, link, "letter-shared")
	for name, size := range map[string][2]float64{"A4": {8.27, 11.69}, "Letter": {8.5, 11}} {
		assert.Equal(t, 1, printedPages(t, private, size), name)
	}
	require.NoError(t, chromedp.Do(private, chromedp.Navigate(x.url+"/studies/S1/vehicles/V001"), chromedp.WaitVisible(`input[name=password]`)))

	require.NoError(t, chromedp.Do(ctx, chromedp.Click(`form[action*="/links/"] button`), chromedp.WaitNotPresent(`form[action*="/links/"]`)))
	require.NoError(t, chromedp.Do(private, chromedp.Navigate(link), chromedp.WaitVisible(`h1`)))
	said, err := chromedp.Run(private, chromedp.Evaluate[string](`document.querySelector("main").textContent`))
	require.NoError(t, err)
	assert.Contains(t, said, "Ask the shop for a new one")
}

// TestLetterPagesInABrowser looks at the pages around letters to many.
func TestLetterPagesInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	ctx := signedInBrowser(t, x, "kw")
	b := x.as(t, "kw")
	require.Equal(t, 303, b.handIn("/studies/S1/letterheads/"+x.fleet.Shops[0].ID.String(), map[string]string{"name": "Bär & Söhne"}, "logo", aLogo(t)).status)
	lookedAt(t, ctx, x.url+"/studies/S1/letterheads", "letterheads")
	lookedAt(t, ctx, x.url+"/studies/S1/letters?ahead=90", "letters-due")
	require.NoError(t, chromedp.Do(ctx, chromedp.Click(`main form[method=post] button`), chromedp.WaitVisible(`a[href$="letters.zip"]`)))
	lookedAt(t, ctx, location(t, ctx), "letters-made")
}

// printedPages counts the pages that a browser prints, on paper of a size in
// inches.
func printedPages(t *testing.T, ctx context.Context, size [2]float64) int {
	t.Helper()
	var pdf []byte
	require.NoError(t, chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		printed, err := cdp.Call(ctx, t, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: size[0], PaperHeight: size[1]})
		pdf = printed.Data
		return err
	})))
	return bytes.Count(pdf, []byte("/Type /Page\n"))
}
