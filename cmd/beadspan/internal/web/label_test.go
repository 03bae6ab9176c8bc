package web

import (
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestLabelsByScope(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "north", study.Operator, "NORTH")
	b := x.as(t, "north")
	all := b.get("/studies/S1/labels")
	assert.Equal(t, http.StatusOK, all.status)
	assert.Contains(t, all.body, "<strong>V001</strong>")
	assert.NotContains(t, all.body, "V002")
	assert.Equal(t, http.StatusNotFound, b.get("/studies/S1/labels?for=V001+V002").status)
}

// Another program reads from a printed label the address of its vehicle, and
// at that address the bay is.
func TestLabelsAreRead(t *testing.T) {
	zbar, err := exec.LookPath("zbarimg")
	if err != nil {
		t.Skip("SKIPPED: no zbarimg on this machine (apt-get install zbar-tools): labels were not read")
	}
	x, _ := baySite(t)
	ctx := signedInBrowser(t, x, "bay")
	lookedAt(t, ctx, x.url+"/studies/S1/labels", "labels")
	require.NoError(t, chromedp.Do(ctx, desk, chromedp.Navigate(x.url+"/studies/S1/labels?for=V002")))
	shot, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	require.NoError(t, err)
	picture := filepath.Join(t.TempDir(), "labels.png")
	require.NoError(t, os.WriteFile(picture, shot, 0o600))
	read, err := exec.CommandContext(t.Context(), zbar, "--raw", "--quiet", picture).Output()
	require.NoError(t, err)
	address := strings.TrimSpace(string(read))
	assert.Equal(t, x.url+"/studies/S1/bay/V002", address)
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(address), chromedp.WaitVisible(`[data-key=stage-arrival]`)))
}

func TestWriteLabels(t *testing.T) {
	label, err := NewLabel("https://shop.example/", "A B", "V/1")
	require.NoError(t, err)
	var page strings.Builder
	require.NoError(t, WriteLabels(&page, []Label{label}))
	assert.Contains(t, page.String(), "<strong>V/1</strong>")
	assert.Contains(t, page.String(), "<path fill=\"#000\"")
	assert.Contains(t, page.String(), "@page { size: A4")
	_, err = NewLabel("https://"+strings.Repeat("x", 3000), "S1", "V001")
	require.ErrorContains(t, err, "draw https")
}
