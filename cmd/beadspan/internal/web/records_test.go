package web

import (
	"archive/zip"
	"bytes"
	"context"
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/study/store"
)

// zipped is a fleet as a zipped log.
func zipped(t testing.TB, f study.Fleet) []byte {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, ingest.WriteLog(dir, f))
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	require.NoError(t, z.AddFS(os.DirFS(dir)))
	require.NoError(t, z.Close())
	return out.Bytes()
}

// upload hands in a log.
func (b *browser) upload(path string, log []byte, fields map[string]string) answer {
	b.t.Helper()
	var body bytes.Buffer
	form := multipart.NewWriter(&body)
	for name, value := range fields {
		require.NoError(b.t, form.WriteField(name, value))
	}
	part, err := form.CreateFormFile("log", `C:\logs\season.zip`)
	require.NoError(b.t, err)
	_, err = part.Write(log)
	require.NoError(b.t, err)
	require.NoError(b.t, form.Close())
	r, err := http.NewRequestWithContext(b.t.Context(), http.MethodPost, b.url+path, &body)
	require.NoError(b.t, err)
	r.Header.Set("Content-Type", form.FormDataContentType())
	resp, err := b.client.Do(r)
	require.NoError(b.t, err)
	defer resp.Body.Close()
	text, err := io.ReadAll(resp.Body)
	require.NoError(b.t, err)
	return answer{resp.StatusCode, resp.Header, string(text)}
}

// kept are the files that wait.
func (x *site) kept(t testing.TB) []os.DirEntry {
	t.Helper()
	files, err := os.ReadDir(x.uploads.dir)
	require.NoError(t, err)
	return files
}

const importPath = "/studies/S1/records/import"

// A log is shown before it is stored, stored once, and corrections in it wait
// for a decision.
func TestImportThenDecide(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	x.member(t, "other", study.Owner)
	owner := x.as(t, "owner")
	f := x.fleet
	v := f.Vehicles[0]
	v.Note = "a <new> note"
	more := v
	more.Code, more.ID = "V009", study.NewID()
	f.Vehicles = []study.Vehicle{v, more}

	took := owner.upload(importPath, zipped(t, f), nil)
	require.Equal(t, http.StatusSeeOther, took.status, took.body)
	at := took.header.Get("Location")
	preview := owner.get(at).body
	assert.Contains(t, preview, "season.zip")
	assert.NotContains(t, preview, "C:")
	assert.Contains(t, preview, "Nothing is stored yet.")
	assert.Regexp(t, `vehicles</th><td class="n">1</td>`, preview)
	assert.Contains(t, preview, "1 record differs from the stored one")
	assert.Equal(t, http.StatusNotFound, owner.get("/studies/S1/vehicles/V009").status, "not yet")
	assert.Equal(t, http.StatusNotFound, x.as(t, "other").get(at).status, "somebody else's")

	require.Equal(t, http.StatusSeeOther, owner.post(at, url.Values{"do": {"load"}}).status)
	assert.Contains(t, owner.get(at).body, "It is stored.")
	assert.Equal(t, http.StatusOK, owner.get("/studies/S1/vehicles/V009").status)
	require.Equal(t, http.StatusSeeOther, owner.post(at, url.Values{"do": {"load"}}).status, "a second click changes nothing")

	page := owner.get("/studies/S1/records").body
	assert.Contains(t, page, "1 correction waits for a decision.")
	assert.Contains(t, page, "a &lt;new&gt; note")
	list, _, err := x.db.AmendmentsIn(t.Context(), store.Scope{StudyID: x.study.ID, EveryShop: true}, store.AmendmentQuery{Limit: 9})
	require.NoError(t, err)
	require.Len(t, list, 1)
	decide := "/studies/S1/records/amendments/" + list[0].ID.String()
	assert.Equal(t, http.StatusUnprocessableEntity, owner.post(decide, url.Values{"do": {"accept"}, "by": {"KW"}}).status, "without a reason")
	assert.Equal(t, http.StatusUnprocessableEntity, owner.post(decide, url.Values{"do": {"accept"}, "by": {"no code"}, "why": {"x"}}).status)
	require.Equal(t, http.StatusSeeOther, owner.post(decide, url.Values{"do": {"accept"}, "by": {"KW"}, "why": {"the owner said so"}}).status)
	assert.Equal(t, http.StatusConflict, owner.post(decide, url.Values{"do": {"decline"}, "by": {"KW"}, "why": {"x"}}).status, "decided")
	assert.Contains(t, owner.get("/studies/S1/vehicles/V001").body, "a &lt;new&gt; note")
	assert.Contains(t, owner.get("/studies/S1/records?state=accepted").body, "the owner said so")

	again := owner.upload(importPath, zipped(t, f), nil)
	assert.Contains(t, owner.get(again.header.Get("Location")).body, "All of it is stored already")
	require.Equal(t, http.StatusSeeOther, owner.post(again.header.Get("Location"), url.Values{"do": {"drop"}}).status)
	assert.Empty(t, x.kept(t), "the former one made way for the latter, which was dropped")
}

// What is wrong with a log is told, all of it, and nothing is stored.
func TestImportOfWhatIsWrong(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	owner := x.as(t, "owner")
	bad := x.fleet
	bad.Vehicles = []study.Vehicle{x.fleet.Vehicles[0]}
	bad.Vehicles[0].Checkups = []study.Checkup{{ID: study.NewID(), Day: x.today() + 9, Readings: []study.Reading{
		{PatchID: bad.Vehicles[0].Patches[0].ID, Stage: study.Washed, AnglesDeg: []float64{222}},
	}}}
	took := owner.upload(importPath, zipped(t, bad), nil)
	require.Equal(t, http.StatusSeeOther, took.status)
	page := owner.get(took.header.Get("Location")).body
	assert.Contains(t, page, "2 problems.")
	assert.Regexp(t, `<td>checkups.csv</td><td class="n">2</td><td>angle_1_deg</td><td>222</td>`, page)
	assert.NotContains(t, page, `value="load"`)
	require.Equal(t, http.StatusSeeOther, owner.post(took.header.Get("Location"), url.Values{"do": {"load"}}).status)
	assert.NotContains(t, owner.get(took.header.Get("Location")).body, "It is stored.", "whatever is posted")

	nonsense := owner.upload(importPath, []byte("no zip at all"), nil)
	require.Equal(t, http.StatusSeeOther, nonsense.status)
	told := owner.get(nonsense.header.Get("Location")).body
	assert.Contains(t, told, "It can’t be read as a log:")
	assert.NotContains(t, told, x.uploads.dir, "no path of the server's")
	assert.Equal(t, http.StatusUnprocessableEntity, owner.upload(importPath, nil, nil).status)
	assert.Equal(t, http.StatusBadRequest, owner.post(importPath, url.Values{"log": {"x"}}).status)
}

// A full disk and a line that breaks leave nothing behind.
func TestUploadFails(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	owner := x.as(t, "owner")
	create := x.uploads.create
	if _, err := os.Stat("/dev/full"); err == nil {
		x.uploads.create = func(dir, _ string) (*os.File, error) {
			link := filepath.Join(dir, "full")
			if err := os.Symlink("/dev/full", link); err != nil {
				return nil, err
			}
			return os.OpenFile(link, os.O_WRONLY, 0)
		}
		full := owner.upload(importPath, zipped(t, x.fleet), nil)
		assert.Equal(t, http.StatusInsufficientStorage, full.status)
		assert.Contains(t, full.body, "disk is full")
		assert.Empty(t, x.kept(t))
		x.uploads.create = create
	}
	body := "--b\r\nContent-Disposition: form-data; name=\"log\"; filename=\"a.zip\"\r\n\r\nhalf of it"
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, x.url+importPath, strings.NewReader(body))
	require.NoError(t, err)
	r.Header.Set("Content-Type", "multipart/form-data; boundary=b")
	resp, err := owner.client.Do(r)
	require.NoError(t, err)
	defer resp.Body.Close()
	assert.Equal(t, http.StatusBadRequest, resp.StatusCode)
	assert.Empty(t, x.kept(t))
}

// A file above the bound is refused while it comes, and leaves nothing behind.
func TestUploadIsBounded(t *testing.T) {
	t.Parallel()
	if testing.Short() {
		t.Skip("-short: sends 64 MB")
	}
	x := newSite(t, Options{})
	x.member(t, "owner", study.Owner)
	a := x.as(t, "owner").upload(importPath, make([]byte, ingest.MaxPackedBytes+1), nil)
	assert.Equal(t, http.StatusRequestEntityTooLarge, a.status)
	assert.Empty(t, x.kept(t))
}

// An export holds what the viewer may see, and nothing of another shop's.
func TestExport(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{})
	x.member(t, "all", study.Reader)
	x.member(t, "north", study.Reader, "NORTH")
	for name, want := range map[string]int{"all": 3, "north": 1} {
		a := x.as(t, name).get("/studies/S1/records/export.zip?format=all")
		require.Equal(t, http.StatusOK, a.status)
		assert.Equal(t, "application/zip", a.header.Get("Content-Type"))
		z, err := zip.NewReader(strings.NewReader(a.body), int64(len(a.body)))
		require.NoError(t, err)
		f, err := z.Open("csv/vehicles.csv")
		require.NoError(t, err)
		vehicles, err := io.ReadAll(f)
		require.NoError(t, err)
		assert.Equal(t, want+1, strings.Count(string(vehicles), "\n"), name)
	}
}

// A backup holds every study and account, and is for stewards.
func TestBackup(t *testing.T) {
	t.Parallel()
	x := newSite(t, Options{Backup: func(_ context.Context, file string) error {
		if _, err := os.Stat(file); !errors.Is(err, os.ErrNotExist) {
			return err
		}
		return os.WriteFile(file, []byte("PGDMP"), 0o600)
	}})
	x.steward(t, "steward")
	x.member(t, "owner", study.Owner)
	a := x.as(t, "steward").post("/backup", nil)
	assert.Equal(t, http.StatusOK, a.status)
	assert.Equal(t, "PGDMP", a.body)
	assert.Equal(t, "attachment; filename=beadspan-2025-06-01.backup", a.header.Get("Content-Disposition"))
	assert.Equal(t, http.StatusForbidden, x.as(t, "owner").post("/backup", nil).status)
}
