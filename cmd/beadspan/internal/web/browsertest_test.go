package web

import (
	"context"
	_ "embed"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

//go:embed testdata/axe/axe.min.js
var axeScript string

// The sizes at which pages are looked at, in CSS pixels.
var (
	phone = chromedp.EmulateViewport(390, 844, chromedp.EmulateScale(2), chromedp.EmulateMobile, chromedp.EmulateTouch, chromedp.EmulatePortrait)
	desk  = chromedp.EmulateViewport(1440, 900)
)

// chromium starts a browser for a test, with a profile of its own, and ends it
// after the test. Where none is installed the test is skipped, and says so.
func chromium(t *testing.T) context.Context {
	t.Helper()
	ctx, _ := chromiumIn(t, "")
	return ctx
}

// chromiumIn is chromium with a profile that outlives it, in a folder; an empty
// name is a new profile. The second result closes the browser.
func chromiumIn(t *testing.T, profile string) (context.Context, func()) {
	t.Helper()
	if testing.Short() {
		t.Skip("-short: no browser is started")
	}
	program := ""
	for _, name := range []string{os.Getenv("BEADSPAN_TEST_CHROMIUM"), "chromium", "chromium-browser", "google-chrome", "chrome"} {
		if found, err := exec.LookPath(name); name != "" && err == nil {
			program = found
			break
		}
	}
	if program == "" {
		t.Skip("SKIPPED: no Chromium on this machine (apt-get install chromium, or name one in BEADSPAN_TEST_CHROMIUM): pages were not looked at in a browser")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(program), chromedp.Flag("disable-dev-shm-usage", true))
	if os.Getuid() == 0 {
		opts = append(opts, chromedp.NoSandbox) // it refuses to run for root otherwise
	}
	if profile != "" {
		opts = append(opts, chromedp.UserDataDir(profile))
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	require.NoError(t, chromedp.Do(ctx, desk)) // starts it before any time limit
	limited, cancelLimit := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(cancelLimit)
	failOnComplaints(t, limited)
	return limited, func() { require.NoError(t, chromedp.Cancel(ctx)) }
}

// signedInBrowser is a browser in which the demo's button isn't needed: it has
// signed in by name through the form.
func signedInBrowser(t *testing.T, x *site, name string) context.Context {
	t.Helper()
	ctx := chromium(t)
	signIn(t, ctx, x, name)
	return ctx
}

// signIn signs in by name through the form.
func signIn(t *testing.T, ctx context.Context, x *site, name string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Navigate(x.url+"/sign-in"),
		chromedp.SendKeys(`input[name=name]`, name),
		chromedp.SendKeys(`input[name=password]`, testPassword),
		chromedp.Submit(`form[action="/sign-in"]`),
		chromedp.WaitVisible(`.who summary`),
	))
}

// axeViolation is one thing that keeps people from using a page.
type axeViolation struct {
	ID    string `json:"id"`
	Help  string `json:"help"`
	Nodes []struct {
		HTML    string `json:"html"`
		Summary string `json:"failureSummary"`
	} `json:"nodes"`
}

// requireAccessible runs axe-core over the page that the browser shows.
func requireAccessible(t *testing.T, ctx context.Context, page string) {
	t.Helper()
	require.NoError(t, chromedp.Do(ctx, chromedp.Evaluate[chromedp.Void](axeScript)))
	violations, err := chromedp.Run(ctx, chromedp.Evaluate[[]axeViolation](
		`axe.run(document, {resultTypes: ["violations"], rules: {"target-size": {enabled: true}}}).then(r => r.violations)`, chromedp.EvalAwaitPromise))
	require.NoError(t, err)
	for _, v := range violations {
		for _, n := range v.Nodes {
			t.Errorf("%s: %s (%s)\n%s\n%s", page, v.Help, v.ID, n.HTML, n.Summary)
		}
	}
}

// requireFits checks that nothing of the page stands out to the side.
func requireFits(t *testing.T, ctx context.Context, page string) {
	t.Helper()
	over, err := chromedp.Run(ctx, chromedp.Evaluate[int](
		`document.documentElement.scrollWidth - document.documentElement.clientWidth`))
	require.NoError(t, err)
	assert.LessOrEqual(t, over, 0, "%s: %d pixels stand out to the side", page, over)
}

// screenshot keeps a picture of the page where BEADSPAN_TEST_SCREENSHOTS names
// a folder, for people to look at.
func screenshot(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	dir := os.Getenv("BEADSPAN_TEST_SCREENSHOTS")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100))
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(dir, 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644))
}

// lookedAt asks for a page at a phone's size by day and at a desk's by night,
// and at the width to which WCAG 2.2, 1.4.10 has pages reflow, in the languages
// with the longest words; and checks what every page must be.
func lookedAt(t *testing.T, ctx context.Context, url, name string) {
	t.Helper()
	for _, at := range []struct {
		name, look string
		size       chromedp.Action[chromedp.Void]
	}{{name + "-phone", "light", phone}, {name + "-desk", "dark", desk}} {
		require.NoError(t, chromedp.Do(ctx, at.size, inLook(at.look), chromedp.Navigate(url), chromedp.WaitReady(`main`),
			chromedp.WaitNotPresent(`[data-wait]`)), at.name)
		screenshot(t, ctx, at.name)
		requireAccessible(t, ctx, at.name)
		requireFits(t, ctx, at.name)
	}
	for _, tag := range []string{"de", "fr"} {
		require.NoError(t, chromedp.Do(ctx, narrow, inLanguage(url, tag), chromedp.Navigate(url), chromedp.WaitReady(`main`),
			chromedp.WaitNotPresent(`[data-wait]`)), name)
		screenshot(t, ctx, name+"-narrow-"+tag)
		requireFits(t, ctx, name+" in "+tag)
	}
	require.NoError(t, chromedp.Do(ctx, inLanguage(url, "en")))
}

// narrow is a phone's least width, at which nothing zooms out.
var narrow = chromedp.EmulateViewport(320, 640)

// inLanguage has the pages of the server at url speak a language.
func inLanguage(url, tag string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, network.SetCookie, network.SetCookieParams{Name: languageCookie, Value: tag, URL: url})
		return err
	})
}

// inLook makes the device prefer light or dark.
func inLook(look string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: look}},
		})
		return err
	})
}

// failOnComplaints fails the test for whatever the browser says against a page:
// a script's error, or something that the content policy refused. That a page
// answers with an error of its own is no complaint.
func failOnComplaints(t *testing.T, ctx context.Context) {
	t.Helper()
	ctx, stop := context.WithCancel(ctx)
	messages := chromedp.Console(ctx)
	var done sync.WaitGroup
	done.Go(func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.Type == chromedp.ConsoleException || m.Type == "error" && !strings.Contains(m.Text, "Failed to load resource") {
				t.Errorf("the browser says: %s", m.Text)
			}
		}
	})
	t.Cleanup(func() {
		stop()
		done.Wait()
	})
}
