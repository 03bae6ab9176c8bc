package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/ingest"
	"beadspan/study/store/storetest"
)

func TestLoad(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)

	tried := must(t, "load", log, "--dry-run", url)
	assert.Contains(t, tried, "would store 1 coating, 1 site, 1 operator, 1 vehicle, 1 patch, 1 checkup, 2 readings, 1 care record")
	assert.Contains(t, must(t, "study", "list", url), "no study yet", "a dry run stores nothing")

	assert.Contains(t, must(t, "load", log, url), "study field: stored 1 coating, 1 site")
	again := must(t, "load", log, url)
	assert.Contains(t, again, "study field: stored nothing new")
	assert.Contains(t, again, "already there, unchanged: 1 coating, 1 site")

	studies := must(t, "study", "list", url)
	assert.Contains(t, studies, "field")
	assert.Contains(t, studies, "90 degrees")
}

// The log that the README shows can be loaded as it is printed, without a
// word, and has the sizes that a reader can count there.
func TestLogOfReadme(t *testing.T) {
	r := beadspan(t, "load", smallLog(t), "--dry-run", "--database-url="+storetest.Bare(t))
	assert.Zero(t, r.code)
	assert.Equal(t, "study field: would store 1 coating, 1 site, 1 operator, 1 vehicle, 1 patch, 1 checkup, 2 readings, 1 care record\n", r.out)
	assert.Empty(t, r.err)
}

// A measured value under a heading that isn't quite right is no problem, but
// must not get lost without a word.
func TestLoadTellsOfUnknownHeadings(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)
	rewrite(t, log, "checkups.csv", func(text []byte) []byte {
		return bytes.Replace(text, []byte("sheet_time_s"), []byte("sheet_tme_s"), 1)
	})
	const notice = "checkups.csv, sheet_tme_s: the format has no such column: 2 cells are kept as notes; did you mean sheet_time_s?"
	for _, args := range [][]string{{"--dry-run"}, {"--dry-run", "--json"}, {"--json"}, {}} {
		r := beadspan(t, append([]string{"load", log, url}, args...)...)
		require.Zero(t, r.code, r.err)
		assert.Equal(t, 1, strings.Count(r.err, "note: "+notice+"\n"), r.err)
		if slices.Contains(args, "--json") {
			var said struct{ Notices []string }
			require.NoError(t, json.Unmarshal([]byte(r.out), &said))
			assert.Equal(t, []string{notice}, said.Notices)
		}
	}
	rewrite(t, log, "checkups.csv", func(text []byte) []byte {
		return bytes.Replace(text, []byte("86.5"), []byte("186.5"), 1)
	})
	r := beadspan(t, "load", log, url)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, notice, "a log with problems has its notices too")
	assert.Contains(t, must(t, "load", smallLog(t), "--json", url), `"notices": []`)
}

// The demo's log has one column of its own.
func TestLoadTellsOfDemoWeather(t *testing.T) {
	r := beadspan(t, "load", demoLog(t), "--dry-run", "--database-url="+storetest.Bare(t))
	require.Zero(t, r.code, r.err)
	assert.Regexp(t, `^note: checkups\.csv, weather: the format has no such column: [0-9]+ cells are kept as notes\n(warning: .*\n)*Warnings are .*\n$`, r.err)
}

// A row that leaves common practice is warned of, by file and row, and stored
// all the same.
func TestLoadWarns(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)
	rewrite(t, log, "patches.csv", func(text []byte) []byte { return bytes.Replace(text, []byte("2,24,19.5"), []byte("3,6,4"), 1) })
	for _, args := range [][]string{{"--dry-run"}, {"--json"}} {
		r := beadspan(t, append([]string{"load", log, url}, args...)...)
		require.Zero(t, r.code, r.err)
		for _, warning := range []string{"air_temp_c: coated at 4 °C", "layers: laid in 3 layers", "keep_dry_h: kept dry for 6 h"} {
			assert.Contains(t, r.err, "warning: patches.csv, row 2, "+warning)
		}
		assert.Contains(t, r.err, "the maker's sheet comes first")
		if slices.Contains(args, "--json") {
			var said struct{ Warnings []ingest.WarningGroup }
			require.NoError(t, json.Unmarshal([]byte(r.out), &said))
			require.Len(t, said.Warnings, 3)
			assert.Equal(t, []int{2}, said.Warnings[0].Rows)
		}
	}
	assert.Equal(t, 2, readings(t, strings.TrimPrefix(url, "--database-url=")))
	assert.Contains(t, must(t, "load", smallLog(t), "--json", url), `"warnings": []`)
}

// A column that a log leaves out, or a cell that is blank, corrects nothing
// unless that is asked for.
func TestLoadOfLess(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "site", "add", "harbour", "--lat", "53.5", "--lon", "8.6", "--sunshine-h", "1600", "--name", "Harbour lane",
		"--rain-mm", "60 45 50 42 55 70 80 75 70 68 70 68", "--max-c", "4 5 9 13 17 20 22 22 18 14 9 5", "--min-c", "-1 -1 1 5 9 12 14 13 10 6 3 0", url)
	log := smallLog(t)
	assert.NotContains(t, must(t, "load", log, url), "proposed", "the log knows less of the site")
	rewrite(t, log, "patches.csv", func(text []byte) []byte { return bytes.Replace(text, []byte("19.5"), nil, 1) })
	assert.NotContains(t, must(t, "load", log, url), "proposed")
	assert.Contains(t, must(t, "load", log, "--blanks-correct", url), "2 records say otherwise", "the patch and the site")
}

func TestLoadSaysAllThatIsWrong(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)
	rewrite(t, log, "checkups.csv", func(text []byte) []byte {
		text = bytes.Replace(text, []byte("A,86.5,88"), []byte("A,186.5,wet"), 1)
		return bytes.Replace(text, []byte("decon,A,"), []byte("decon,B,"), 1)
	})
	r := beadspan(t, "load", log, url)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, `checkups.csv, row 2, angle_1_deg: "186.5": expected 0 to 180 degrees`)
	assert.Contains(t, r.err, `checkups.csv, row 2, angle_2_deg: "wet"`)
	assert.Contains(t, r.err, `checkups.csv, row 3, patch: "B"`)
	assert.Contains(t, r.err, "nothing was stored. Put right what is listed above")
	assert.Contains(t, must(t, "study", "list", url), "no study yet")
}

// A log that differs from the store proposes, and somebody decides.
func TestLoadProposesAndAmends(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)
	must(t, "load", log, url)
	rewrite(t, log, "checkups.csv", func(text []byte) []byte {
		return bytes.Replace(text, []byte("104,106.5,105"), []byte("94,96.5,95"), 1)
	})
	assert.Contains(t, must(t, "load", log, url), "1 record says otherwise than what is stored: kept as proposed amendments")
	assert.Contains(t, must(t, "load", log, url), "1 record says otherwise than what is stored, as an earlier load did")

	list := must(t, "amend", "list", url)
	assert.Contains(t, list, "V-001 2026-04-20")
	assert.Contains(t, list, "[104, 106.5, 105] → [94, 96.5, 95]")
	assert.Contains(t, list, "1 amendment proposed")

	var amendments []struct {
		ID string `json:"id"`
	}
	require.NoError(t, json.Unmarshal([]byte(must(t, "amend", "list", "--json", url)), &amendments))
	assert.Equal(t, "[]\n", must(t, "amend", "list", "--state", "declined", "--json", url))
	must(t, "amend", "accept", amendments[0].ID, "--by", "MK", "--why", "a drop read twice", url)
	assert.Contains(t, must(t, "amend", "list", "--state", "accepted", url), "by MK: a drop read twice")
	assert.Contains(t, must(t, "load", log, url), "stored nothing new\nalready there, unchanged: 1 coating")

	r := beadspan(t, "amend", "decline", amendments[0].ID, "--by", "MK", "--why", "second thoughts", url)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, "already decided")
}

func TestLoadColumns(t *testing.T) {
	text := must(t, "load", "--columns")
	for _, name := range []string{"coatings", "sites", "vehicles", "patches", "checkups", "care", "angle_1_deg", "keep_dry_h"} {
		assert.Contains(t, text, name)
	}
	assert.True(t, json.Valid([]byte(must(t, "load", "--columns", "--json"))))
}

// Killed at any moment, a load has stored all of its log or nothing, and the
// next load completes it.
func TestLoadKilled(t *testing.T) {
	url := storetest.Bare(t)
	log := demoLog(t)
	must(t, "study", "add", "field", "--database-url="+url)

	killed := 0
	for wait := 50 * time.Millisecond; wait < 5*time.Second; wait = wait * 3 / 2 {
		load := program(t.Context(), "load", log, "--database-url="+url)
		require.NoError(t, load.Start())
		ended := make(chan error, 1)
		go func() { ended <- load.Wait() }()
		select {
		case err := <-ended:
			require.NoError(t, err, "a load that nobody killed")
		case <-time.After(wait):
			require.NoError(t, load.Process.Kill()) // as kill -9
			<-ended
			killed++
		}
		switch n := readings(t, url); n {
		case 0:
			continue
		case demoReadings(t, log):
		default:
			t.Fatalf("%d readings are stored of a load that was killed after %s", n, wait)
		}
		break
	}
	assert.Positive(t, killed)
	must(t, "load", log, "--database-url="+url)
	assert.Equal(t, demoReadings(t, log), readings(t, url))
}

// readings counts the stored readings, once the server has noticed that the
// client is gone.
func readings(t *testing.T, url string) int {
	conn, err := pgx.Connect(t.Context(), url)
	require.NoError(t, err)
	defer conn.Close(t.Context())
	require.Eventually(t, func() bool {
		var others int
		err := conn.QueryRow(t.Context(), `
			SELECT count(*) FROM pg_stat_activity
			WHERE datname = current_database() AND pid <> pg_backend_pid() AND backend_type = 'client backend'`).Scan(&others)
		return err == nil && others == 0
	}, 30*time.Second, 10*time.Millisecond)
	var n int
	require.NoError(t, conn.QueryRow(t.Context(), `SELECT count(*) FROM reading`).Scan(&n))
	return n
}

func demoReadings(t *testing.T, log string) int {
	text, err := os.ReadFile(filepath.Join(log, "checkups.csv"))
	require.NoError(t, err)
	return bytes.Count(text, []byte("\n")) - 1
}

// Two loads of one log at once store it once.
func TestLoadTwiceAtOnce(t *testing.T) {
	url := storetest.Bare(t)
	log := smallLog(t)
	must(t, "study", "add", "field", "--database-url="+url)
	var loads []*exec.Cmd
	for range 3 {
		load := program(t.Context(), "load", log, "--database-url="+url)
		require.NoError(t, load.Start())
		loads = append(loads, load)
	}
	for _, load := range loads {
		assert.NoError(t, load.Wait())
	}
	assert.Equal(t, 2, readings(t, url))
}

// A site that was added before needs no row and no table in a log, and keeps
// what it was added with; one that was not is told as ever.
func TestLoadKnowsSitesAddedBefore(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	log := smallLog(t)
	require.NoError(t, os.Remove(filepath.Join(log, "sites.csv")))

	r := beadspan(t, "load", log, url)
	assert.Equal(t, 1, r.code)
	assert.Contains(t, r.err, `vehicles.csv, row 2, site: "harbour": there is no such site in sites`)

	must(t, "site", "add", "harbour", "--city", "Bremerhaven", "--sunshine-h", "1600", url)
	assert.Contains(t, must(t, "load", log, url), "stored 1 coating, 1 operator, 1 vehicle")
	assert.Contains(t, must(t, "load", log, url), "already there, unchanged: 1 coating, 1 site")
	assert.NotContains(t, must(t, "amend", "list", url), "harbour")

	require.NoError(t, os.WriteFile(filepath.Join(log, "site.csv"), []byte("code\n"), 0o644))
	r = beadspan(t, "load", log, url)
	assert.Contains(t, r.err, `sites.csv: this table is missing; did you mean it by "site.csv"?`)
}
