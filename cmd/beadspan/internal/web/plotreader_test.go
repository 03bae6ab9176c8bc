package web

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/reports"
	"beadspan/study"
)

// shownNumbers are the rows that a plot shows now, each the texts of its cells.
const shownNumbers = `(() => {
	const box = [...document.querySelectorAll(".numbers")].find(box => !box.hidden);
	if (!box) return [];
	const cells = (list) => [...list].map(cell => cell.textContent);
	return box.querySelector("dl") ? [cells(box.querySelectorAll("dd"))] : [...box.querySelectorAll("tbody tr")].map(row => cells(row.cells));
})()`

// behindPlot are the rows of the table behind the first plot whose first cell
// ends in a word.
const behindPlot = `[...document.querySelector("figure:has([data-spots]) table").tBodies[0].rows]
	.filter(row => row.cells[0].textContent.endsWith(%q)).map(row => [...row.cells].map(cell => cell.textContent))`

// Somebody who points at month 3 is shown the rows of month 3 of the table
// behind the plot; so is who goes there by the arrow keys, and hears them.
func TestPlotsAreRead(t *testing.T) {
	x := compared(t)
	ctx := signedInBrowser(t, x, "kw")
	for name, address := range map[string]string{
		"coatings": x.url + "/studies/S2/coatings",
		"report":   "file://" + reportFile(t),
	} {
		require.NoError(t, chromedp.Do(ctx, desk, chromedp.Navigate(address), chromedp.WaitReady(`.reader svg[data-spots]`), inFocus()), name)
		third := rowsIn(t, ctx, fmt.Sprintf(behindPlot, ", 3"))
		second := rowsIn(t, ctx, fmt.Sprintf(behindPlot, ", 2"))
		require.Len(t, third, 2, "A and B are both followed for three months")
		assert.Empty(t, rowsIn(t, ctx, shownNumbers), name)

		require.NoError(t, chromedp.Do(ctx, pointedAt(t, ctx, 3)), name)
		assert.Equal(t, third, rowsIn(t, ctx, shownNumbers), "%s: pointed at", name)
		screenshot(t, ctx, name+"-pointed")
		require.NoError(t, chromedp.Do(ctx, chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, 1, 1)), name)
		assert.Empty(t, rowsIn(t, ctx, shownNumbers), "%s: pointed elsewhere", name)

		require.NoError(t, chromedp.Do(ctx, chromedp.Focus(`.reader`), chromedp.KeyEvent(kb.Home)), name)
		for range 2 {
			require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.ArrowRight)), name)
		}
		assert.Equal(t, second, rowsIn(t, ctx, shownNumbers), "%s: by keys", name)
		first := heard(t, ctx)
		require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.ArrowDown)), name)
		assert.NotEqual(t, first, heard(t, ctx), "%s: the other line", name)
		require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.ArrowUp)), name)
		assert.Equal(t, first, heard(t, ctx), name)
		assert.Contains(t, first, ", 2; Share, % ", name)
		requireAccessible(t, ctx, name)
		require.NoError(t, chromedp.Do(ctx, chromedp.KeyEvent(kb.Escape)), name)
		assert.Empty(t, rowsIn(t, ctx, shownNumbers), "%s: after Escape", name)
		assert.Empty(t, heard(t, ctx), name)
	}
}

// reportFile keeps the report of two coatings as a page that stands by itself.
func reportFile(t *testing.T) string {
	t.Helper()
	s := study.Study{Code: "S2", Protocol: study.DefaultProtocol()}
	report, err := reports.New(t.Context(), s, twoCoatings(), reports.DefaultOptions(study.DayOf(2026, 1, 1), "test"))
	require.NoError(t, err)
	var page bytes.Buffer
	require.NoError(t, report.WriteHTML(&page))
	file := filepath.Join(t.TempDir(), "durability.html")
	require.NoError(t, os.WriteFile(file, page.Bytes(), 0o600))
	return file
}

// pointedAt moves the pointer over the first plot to the place of a month,
// between that of the axis' own numbers 0 and 12.
func pointedAt(t *testing.T, ctx context.Context, month float64) chromedp.Action[chromedp.Void] {
	t.Helper()
	at, err := chromedp.Run(ctx, chromedp.Evaluate[[]float64](fmt.Sprintf(`(() => {
		const svg = [...document.querySelectorAll("svg[data-spots]")].find(svg => svg.clientWidth > 0);
		svg.scrollIntoView({ block: "center", behavior: "instant" });
		const tick = (text) => [...svg.querySelectorAll("text")].find(e => e.textContent.trim() == text).getBoundingClientRect();
		const middle = (box) => box.left + box.width / 2;
		const [from, to] = [middle(tick("0")), middle(tick("12"))];
		const frame = svg.getBoundingClientRect();
		return [from + (to - from) * %g / 12, frame.top + frame.height / 3];
	})()`, month)))
	require.NoError(t, err)
	require.Len(t, at, 2)
	return chromedp.MouseEvent(input.DispatchMouseEventTypeMouseMoved, at[0], at[1])
}

func rowsIn(t *testing.T, ctx context.Context, script string) [][]string {
	t.Helper()
	rows, err := chromedp.Run(ctx, chromedp.Evaluate[[][]string](script))
	require.NoError(t, err)
	return rows
}

// heard is what a screen reader is told.
func heard(t *testing.T, ctx context.Context) string {
	t.Helper()
	words, err := chromedp.Run(ctx, chromedp.Evaluate[string](`[...document.querySelectorAll(".voice")].map(e => e.textContent).join("")`))
	require.NoError(t, err)
	return words
}
