package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store/storetest"
)

// ownServer makes a folder for a private server, ended after the test. A server
// that root starts runs as another account, so the folder must be open to it.
func ownServer(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp("", "beadspan-cmd-")
	require.NoError(t, err)
	require.NoError(t, os.Chmod(dir, 0o755))
	flag := "--data-dir=" + dir
	t.Cleanup(func() {
		beadspan(t, "db", "stop", flag)
		os.RemoveAll(dir)
	})
	return flag
}

// TestDemo is the first minute of a newcomer, on a server of the program's
// own: the demo, twice, and what it says to try next.
func TestDemo(t *testing.T) {
	dataDir := ownServer(t)
	out := t.TempDir()
	first := must(t, "demo", dataDir, "--out", out)
	assert.Contains(t, first, "The demo fleet, invented: 4 coatings, 4 sites")
	assert.Contains(t, first, "limits hold the truth")
	assert.Contains(t, first, filepath.Join(out, reportPage))
	assert.Contains(t, first, "\n  go run ./cmd/beadspan life --demo --by climate ")

	page, err := os.ReadFile(filepath.Join(out, reportPage))
	require.NoError(t, err)
	assert.Contains(t, string(page), "</html>")

	second := must(t, "demo", dataDir, "--out", out)
	assert.Contains(t, second, "It was loaded before; nothing has changed.")
	assert.Equal(t, tail(first), tail(second), "the second run says the same of the same fleet")

	var life struct {
		Rows []struct {
			Coating string
		}
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "life", "--demo", "--json", dataDir)), &life))
	require.Len(t, life.Rows, 3)

	r := beadspan(t, "life", dataDir)
	assert.Equal(t, exitFailed, r.code, "the demo leaves the records' database empty")
	assert.Contains(t, r.err, "there is no study yet")
}

// tail is what the demo prints from the table of life on.
func tail(text string) string {
	_, tail, _ := strings.Cut(text, "\nCoating")
	return tail
}

// TestTyped: what is typed next must start the program that ran.
func TestTyped(t *testing.T) {
	for name, want := range map[string]string{
		"beadspan":               "beadspan", // found along the path
		"./beadspan":             "./beadspan",
		"/opt/go-tools/beadspan": "/opt/go-tools/beadspan",
		"/tmp/go-build2580806328/b001/exe/beadspan": "go run ./cmd/beadspan",
		"/root/.cache/go-build/ab/abcd-d/beadspan":  "go run ./cmd/beadspan",
	} {
		assert.Equal(t, want, typed(name))
	}
	// This test was built as "go run" builds.
	assert.Equal(t, "go run ./cmd/beadspan", typed(os.Args[0]))
}

func TestDemoKeepsAwayFromRealRecords(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	before := must(t, "life", "--json", url)

	r := beadspan(t, "demo", url, "--out", t.TempDir())
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, `holds the study "field": the demo keeps away from real records`)
	assert.Equal(t, before, must(t, "life", "--json", url))
}

// A small log has no median to give, and says what it does know.
func TestLifeAndReportOfOneVehicle(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	assert.Contains(t, must(t, "life", url), "K-20")
	assert.Contains(t, must(t, "life", "--csv", "--by", "coating,climate", url), "Cfb")

	dir := filepath.Join(t.TempDir(), "new", "report")
	assert.Regexp(t, reportPage+", "+reportPrinted+", "+reportBundle+`, \d plot files and reviews\.csv\n$`, must(t, "report", "--out", dir, url))
	assert.FileExists(t, filepath.Join(dir, "reviews.csv"))
	page, err := os.ReadFile(filepath.Join(dir, reportPage))
	require.NoError(t, err)
	assert.Contains(t, string(page), "K-20")
}

func TestReportNeedsAPlaceToWrite(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	r := beadspan(t, "report", "--out", file, url)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, "not a directory")
}

func TestDB(t *testing.T) {
	dataDir := ownServer(t)
	assert.Contains(t, must(t, "db", "status", dataDir), "not running")
	must(t, "load", smallLog(t), dataDir)
	assert.Contains(t, must(t, "db", "status", dataDir), "running (process")
	assert.True(t, strings.HasPrefix(must(t, "db", "url", dataDir), "postgres://"))

	backup := filepath.Join(t.TempDir(), "small.backup")
	must(t, "db", "backup", backup, dataDir)
	r := beadspan(t, "db", "backup", backup, dataDir)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, "was left alone")

	before := must(t, "life", "--json", dataDir)
	must(t, "study", "add", "other", dataDir)
	assert.Contains(t, must(t, "db", "restore", backup, dataDir), "what was there before is kept as database")
	assert.Equal(t, before, must(t, "life", "--json", dataDir), "the second study is gone again")

	assert.Equal(t, "stopped\n", must(t, "db", "stop", dataDir))
	assert.Contains(t, must(t, "db", "status", dataDir), "not running")
}
