package web

import (
	"context"
	"sync/atomic"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mostPageBytes is what a page may bring over the line with all that belongs to
// it, for a browser that has nothing of it yet: two seconds of a poor 3G line.
const mostPageBytes = 150_000

// TestPageBudget weighs pages as a browser gets them, and watches whether
// anything on them moves while they are drawn.
func TestPageBudget(t *testing.T) {
	x := compared(t)
	settled := x.as(t, "kw")
	ctx := chromium(t)
	weight := weighing(t, ctx)
	for i, page := range []struct{ name, path string }{
		{"sign-in", "/sign-in"}, {"home", "/studies/S2"}, {"due", "/studies/S2/due?ahead=90"}, {"vehicles", "/studies/S2/vehicles"},
		{"vehicle", "/studies/S2/vehicles/W001"}, {"coatings", "/studies/S2/coatings"}, {"climates", "/studies/S2/climates"},
		{"records", "/studies/S2/records"}, {"bay", "/studies/S2/bay"}, {"vehicle in the bay", "/studies/S2/bay/W001"},
	} {
		if i == 1 {
			signIn(t, ctx, x, "kw")
		}
		settled.settled(page.path)
		require.NoError(t, chromedp.Do(ctx, phone, withoutCache()))
		weight.Store(0)
		require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(x.url+page.path), chromedp.WaitReady(`main`), chromedp.WaitNotPresent(`[data-wait]`)))
		moved, err := chromedp.Run(ctx, chromedp.Evaluate[float64](shiftScript, chromedp.EvalAwaitPromise))
		require.NoError(t, err)
		t.Logf("%s: %d bytes", page.name, weight.Load())
		assert.Less(t, weight.Load(), int64(mostPageBytes), page.name)
		assert.Greater(t, weight.Load(), int64(1000), "%s: it was weighed", page.name)
		assert.Zero(t, moved, "%s moves while it is drawn", page.name)
	}
}

// weighing sums up what comes over the line.
func weighing(t *testing.T, ctx context.Context) *atomic.Int64 {
	t.Helper()
	var weight atomic.Int64
	require.NoError(t, chromedp.Listen(ctx, func(event any) {
		if done, is := event.(*network.EventLoadingFinished); is {
			weight.Add(int64(done.EncodedDataLength))
		}
	}))
	_, err := chromedp.Call(ctx, network.Enable, network.EnableParams{})
	require.NoError(t, err)
	return &weight
}

// withoutCache has the browser forget the files that it has.
func withoutCache() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := cdp.Call(ctx, t, network.ClearBrowserCache, cdp.Empty{})
		return err
	})
}

// shiftScript sums up how far things moved without anybody's doing, as
// https://web.dev/articles/cls counts it, once what was loaded is drawn.
const shiftScript = `new Promise((done) => {
  let moved = 0;
  new PerformanceObserver((list) => {
    for (const shift of list.getEntries()) if (!shift.hadRecentInput) moved += shift.value;
  }).observe({ type: "layout-shift", buffered: true });
  setTimeout(() => done(moved), 300);
})`
