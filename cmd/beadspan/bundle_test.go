package main

import (
	"archive/zip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/reports"
	"beadspan/study/store/storetest"
)

// unpacked is a bundle in a folder.
type unpacked struct {
	dir     string
	results map[string]map[string]any // or under "list" where the file has a list
}

func unpack(t *testing.T, bundle string) unpacked {
	t.Helper()
	z, err := zip.OpenReader(bundle)
	require.NoError(t, err)
	defer z.Close()
	u := unpacked{t.TempDir(), map[string]map[string]any{}}
	require.NoError(t, os.CopyFS(u.dir, z))
	found, err := filepath.Glob(filepath.Join(u.dir, "results", "*.json"))
	require.NoError(t, err)
	for _, file := range found {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		var value any
		require.NoError(t, json.Unmarshal(text, &value))
		object, is := value.(map[string]any)
		if !is {
			object = map[string]any{"list": value}
		}
		u.results[strings.TrimSuffix(filepath.Base(file), ".json")] = object
	}
	return u
}

// commands are those of the script, as a shell would read them: each line that
// starts the program, without where it prints to.
func (u unpacked) commands(t *testing.T) map[string][]string {
	t.Helper()
	script, err := os.ReadFile(filepath.Join(u.dir, bundleScript))
	require.NoError(t, err)
	commands := map[string][]string{}
	for line := range strings.Lines(string(script)) {
		line, isCommand := strings.CutPrefix(strings.TrimSpace(line), `"$beadspan" `)
		if !isCommand {
			continue
		}
		line, into, _ := strings.Cut(line, " >again/")
		args := shellWords(strings.TrimSuffix(line, ` "--data-dir=$PWD/again/database"`))
		if into == "" {
			into = args[0]
		}
		commands[into] = args
	}
	return commands
}

// shellWords parts a line at blanks as a shell does, with single quotes and, outside
// of them, backslashes.
func shellWords(line string) []string {
	var words []string
	word, quoted, begun, literal := "", false, false, false
	for _, r := range line {
		switch {
		case r == '\\' && !quoted && !literal:
			literal = true
		case r == '\'' && !literal:
			quoted, begun = !quoted, true
		case r == ' ' && !quoted:
			if begun {
				words = append(words, word)
			}
			word, begun = "", false
		default:
			word, begun, literal = word+string(r), true, false
		}
	}
	if begun {
		words = append(words, word)
	}
	return words
}

// calc runs a command of the bundle where it lies.
func (u unpacked) calc(t *testing.T, args []string) map[string]any {
	t.Helper()
	args = append([]string{}, args...)
	require.Equal(t, []string{"calc", livesFile}, []string{args[0], args[2]})
	args[2] = filepath.Join(u.dir, livesFile)
	var got map[string]any
	require.NoError(t, json.Unmarshal([]byte(must(t, args...)), &got))
	return got
}

// reportOfDemo writes the report of the demo's log.
func reportOfDemo(t *testing.T, url string, more ...string) (dir string) {
	t.Helper()
	dir = t.TempDir()
	must(t, append([]string{"report", "--out", dir, "--on", "2026-11-01", "--replicates", "99", url}, more...)...)
	return dir
}

// TestBundleReruns is what a sceptic does: unpack the bundle, check the data, run
// every command of the script, and find the report's numbers again, to the last
// digit.
func TestBundleReruns(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "study", "add", "yard", "--confirm", "2", "--question", "What's left after a \"year\"?", url)
	must(t, "load", demoLog(t), "--study", "yard", url)
	u := unpack(t, filepath.Join(reportOfDemo(t, url), reportBundle))
	u.checkSums(t)
	commands := u.commands(t)
	u.checkLife(t, "life", u.calc(t, commands["calc-life.json"]))
	u.checkLife(t, "life-by-climate", u.calc(t, commands["calc-life-by-climate.json"]))
	u.checkVisitDates(t, u.calc(t, commands["calc-visit-dates.json"]))
	u.checkComparisons(t, commands)

	again := "--database-url=" + storetest.Bare(t)
	must(t, append(commands["study"], again)...)
	must(t, "load", filepath.Join(u.dir, "csv"), again)
	rerun := 0
	for into, args := range commands {
		kept, err := os.ReadFile(filepath.Join(u.dir, "results", into))
		if err != nil {
			continue
		}
		rerun++
		assert.True(t, string(kept) == must(t, append(args, again)...), "%v prints other than results/%s", args, into)
	}
	assert.Equal(t, len(u.results)-1, rerun, "all but report.json have a command of their own")
	second := unpack(t, filepath.Join(reportOfDemo(t, again), reportBundle))
	assert.Equal(t, u.results["report"]["data_sha256"], second.results["report"]["data_sha256"], "loading changes nothing of the data")
	assert.Equal(t, u.results["report"], second.results["report"])
}

// checkSums does what sha256sum -c does, and adds up the sum that the report
// names.
func (u unpacked) checkSums(t *testing.T) {
	sums, err := os.ReadFile(filepath.Join(u.dir, "data.sha256"))
	require.NoError(t, err)
	lines := strings.Split(strings.TrimSpace(string(sums)), "\n")
	require.GreaterOrEqual(t, len(lines), 10)
	for _, line := range lines {
		want, name, _ := strings.Cut(line, "  ")
		text, err := os.ReadFile(filepath.Join(u.dir, name))
		require.NoError(t, err)
		assert.Equal(t, want, fmt.Sprintf("%x", sha256.Sum256(text)), name)
	}
	all := sha256.New()
	for _, name := range reports.DataFiles() {
		text, err := os.ReadFile(filepath.Join(u.dir, "csv", name))
		require.NoError(t, err)
		all.Write(text)
	}
	assert.Equal(t, hex.EncodeToString(all.Sum(nil)), u.results["report"]["data_sha256"])
}

// inMonths is a number of days as the report has it.
func inMonths(days any) any {
	if x, is := days.(float64); is {
		return x / 30.4375
	}
	return nil
}

// checkLife holds what calc turnbull prints against a table of life.
func (u unpacked) checkLife(t *testing.T, result string, got map[string]any) {
	rows := u.results[result]["rows"].([]any)
	groups := got["groups"].([]any)
	require.Len(t, groups, len(rows))
	compared := 0
	for i := range rows {
		row, group := rows[i].(map[string]any), groups[i].(map[string]any)
		assert.Equal(t, row["n_patches"], group["n"])
		assert.Equal(t, row["n_vehicles"], group["clusters"])
		if row["median_life_reached"] == nil {
			continue // not estimated
		}
		compared++
		q := group["quantile_interval"].([]any)[0].(map[string]any)
		ci := q["ci"].(map[string]any)
		assert.Equal(t, row["median_life_months"], inMonths(q["time_spread_evenly"]))
		assert.Equal(t, row["median_life_after_months"], inMonths(q["left"]))
		assert.Equal(t, row["median_life_low_months"], inMonths(ci["lower"]))
		assert.Equal(t, row["median_life_high_months"], inMonths(ci["upper"]))
		for j, months := range []string{"12", "24"} {
			key := "share_holding_at_" + months + "_months"
			if row[key] == nil {
				continue
			}
			s := group["survival_at"].([]any)[j].(map[string]any)
			assert.Equal(t, row[key], s["survival_spread_evenly"])
			if s["upper"].(float64) > 0.999999 || s["lower"].(float64) == 0 && row[key+"_low"] == nil {
				continue // what nobody failing allows, or nothing
			}
			limits := s["ci"].(map[string]any)
			assert.Equal(t, row[key+"_low"], limits["lower"], "%s of row %d", key, i)
			assert.Equal(t, row[key+"_high"], limits["upper"], "%s of row %d", key, i)
		}
	}
	assert.GreaterOrEqual(t, compared, 3)
}

func (u unpacked) checkVisitDates(t *testing.T, got map[string]any) {
	rows := u.results["life"]["rows"].([]any)
	for i, group := range got["groups"].([]any) {
		quantiles := group.(map[string]any)["quantiles"].(map[string]any)
		assert.Equal(t, rows[i].(map[string]any)["visit_date_median_months"], inMonths(quantiles["estimate"].([]any)[0]))
	}
}

func (u unpacked) checkComparisons(t *testing.T, commands map[string][]string) {
	compared := 0
	for _, result := range []string{"life", "life-by-climate"} {
		for _, of := range u.results[result]["comparisons"].([]any) {
			want := of.(map[string]any)
			into := "calc-coatings.json"
			if coating, is := strings.CutPrefix(want["of"].(string), "climates of "); is {
				into = "calc-climates-of-" + coating + ".json"
			}
			got := u.calc(t, commands[into])
			assert.Equal(t, want["chi_square"], got["chisq"], into)
			assert.Equal(t, want["degrees_of_freedom"], got["df"], into)
			assert.Equal(t, want["p_value"], got["p_value"], into)
			compared++
		}
	}
	assert.Equal(t, 4, compared)
}

// The same records, day, version and seed give the same files.
func TestReportIsReproducible(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	write := func() map[string]string {
		dir := t.TempDir()
		must(t, "report", "--out", dir, "--on", "2026-11-01", url)
		files := map[string]string{}
		list, err := os.ReadDir(dir)
		require.NoError(t, err)
		for _, file := range list {
			text, err := os.ReadFile(filepath.Join(dir, file.Name()))
			require.NoError(t, err)
			files[file.Name()] = fmt.Sprintf("%x", sha256.Sum256(text))
		}
		return files
	}
	first := write()
	assert.Contains(t, first, reportPrinted)
	assert.Equal(t, first, write())
}

// A word for a shell comes back as it was.
func TestQuoted(t *testing.T) {
	args := []string{"study", "add", "it's", "", "$(rm)", "a b", "x=1,2", "ä\"\\"}
	assert.Equal(t, args, shellWords(quoted(args)))
	assert.Equal(t, `study 'it'\''s'`, quoted([]string{"study", "it's"}))
}
