package web

import (
	"context"
	"net/url"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestOfficeInABrowser looks at every page of the office in a browser.
func TestOfficeInABrowser(t *testing.T) {
	x := compared(t)
	ctx := signedInBrowser(t, x, "kw")
	amended := url.Values{}
	for name, values := range rules(x) {
		amended[name] = values
	}
	amended.Set("threshold", "72")
	for name, path := range map[string]string{
		"due":           "/studies/S1/due?ahead=90",
		"coatings":      "/studies/S2/coatings",
		"claims":        "/studies/S2/claims",
		"compare":       "/studies/S2/compare",
		"climates":      "/studies/S2/climates",
		"rules":         "/studies/S1/rules",
		"rules-amended": "/studies/S1/rules?" + amended.Encode(),
		"records":       "/studies/S1/records",
		"vehicle-story": "/studies/S2/vehicles/W001",
	} {
		lookedAt(t, ctx, x.url+path, name)
	}
}

// A log is handed in through the page, looked at, stored, and its correction
// accepted.
func TestImportInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	x.steward(t, "kw")
	f := x.fleet
	v := f.Vehicles[0]
	v.Note = "from the browser"
	f.Vehicles = append(f.Vehicles[:0:0], v)
	file := filepath.Join(t.TempDir(), "log.zip")
	require.NoError(t, os.WriteFile(file, zipped(t, f), 0o600))
	ctx := signedInBrowser(t, x, "kw")
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Navigate(x.url+"/studies/S1/records"),
		chromedp.SetUploadFiles(`input[type=file]`, []string{file}),
		chromedp.Submit(`form[enctype]`),
		chromedp.WaitVisible(`button[value=load]`),
	))
	lookedAt(t, ctx, location(t, ctx), "import")
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Click(`button[value=load]`),
		chromedp.WaitVisible(`.news`),
		chromedp.Navigate(x.url+"/studies/S1/records"),
		chromedp.WaitVisible(`.trail`),
	))
	lookedAt(t, ctx, x.url+"/studies/S1/records", "records-waiting")
	require.NoError(t, chromedp.Do(ctx,
		chromedp.SendKeys(`.decide input[name=by]`, "KW"),
		chromedp.SendKeys(`.decide input[name=why]`, "so it is"),
		chromedp.Click(`.decide button[value=accept]`),
		chromedp.WaitNotPresent(`.trail`),
	))
	assert.Contains(t, x.as(t, "kw").get("/studies/S1/vehicles/V001").body, "from the browser")
}

// The marks of a timeline are one stop for Tab, the arrow keys lead on, and the
// one that has the focus says its value.
func TestTimelineByKeyboard(t *testing.T) {
	x := compared(t)
	ctx := signedInBrowser(t, x, "kw")
	require.NoError(t, chromedp.Do(ctx, desk, chromedp.Navigate(x.url+"/studies/S2/vehicles/W001"),
		chromedp.WaitNotPresent(`[data-wait]`), chromedp.WaitVisible(`.desk .timeline`)))
	says := func() string {
		text, err := chromedp.Run(ctx, chromedp.Evaluate[string](
			`[...document.querySelectorAll(".tip")].filter(e => getComputedStyle(e).display != "none").map(e => e.textContent).join()`))
		require.NoError(t, err)
		return text
	}
	assert.Empty(t, says())
	require.NoError(t, chromedp.Do(ctx, inFocus(), chromedp.Focus(`.desk .mark[tabindex="0"]`)))
	first := says()
	assert.Contains(t, first, "passes")
	require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.ArrowRight)))
	second := says()
	assert.NotEqual(t, first, second)
	assert.Contains(t, second, "passes")
	require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.ArrowLeft)))
	assert.Equal(t, first, says())
}

// inFocus has the page taken for the one that somebody works in.
func inFocus() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	})
}

func location(t *testing.T, ctx context.Context) string {
	t.Helper()
	at, err := chromedp.Run(ctx, chromedp.Evaluate[string](`document.location.href`))
	require.NoError(t, err)
	return at
}
