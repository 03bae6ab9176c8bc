package ingest

import (
	"context"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// smallLog is a log with a record or two in each table.
func smallLog() map[string]string {
	return map[string]string{
		"coatings.csv": "code,name,control,claim_low_months,claim_high_months\nC-20,flexible,no,12,24\nBARE,,yes,,\n",
		"sites.csv":    "code,latitude,longitude,climate\nHARBOUR,51.9,4.5,Cfb\n",
		"vehicles.csv": "code,site,enrolled,garage,km_per_year\nV-1,HARBOUR,2025-03-04,carport,15000\nV-2,HARBOUR,2025-03-04,,\n",
		"patches.csv": "vehicle,code,coating,panel,orientation,substrate,finish,applied,layers\n" +
			"V-1,P1,C-20,bonnet,horizontal,film,gloss,2025-03-03,2\n" +
			"V-1,P2,BARE,left door,vertical,paint,matte,2025-03-03,\n" +
			"V-2,P1,C-20,roof,horizontal,wrap,satin,2025-06-01,1\n",
		"checkups.csv": "vehicle,date,stage,patch,angle_1_deg,angle_2_deg,sheet_time_s,operator\n" +
			"V-1,2025-04-12,washed,P1,104,105.5,7,AB\n" +
			"V-1,2025-04-12,decon,P1,108,,,AB\n" +
			"V-1,2025-04-12,decon,P2,78,77,,AB\n" +
			"V-1,2025-04-12,decon,P1,107,,,CD\n",
		"care.csv": "vehicle,date,kind,patch,operator\nV-1,2025-04-12,maintenance_wash,,AB\nV-1,2025-05-01,topper,P1,\n",
	}
}

func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	return dir
}

// problemsOf reads a log that cannot be read, and returns what is said of it.
func problemsOf(t *testing.T, files map[string]string, opts Options) []string {
	t.Helper()
	opts.Today = lastDay
	fleet, err := ReadLog(t.Context(), folder(t, files), opts)
	var problems study.Problems
	require.ErrorAs(t, err, &problems)
	assert.Empty(t, fleet, "a fleet beside problems")
	return strings.Split(problems.Error(), "\n")
}

func TestReadLog(t *testing.T) {
	fleet, err := ReadLog(t.Context(), folder(t, smallLog()), Options{Today: lastDay})
	require.NoError(t, err)

	assert.Equal(t, study.Size{Coatings: 2, Sites: 1, People: 2, Vehicles: 2, Patches: 3, Checkups: 2, Readings: 4, Care: 2}, fleet.Size())
	v := fleet.Vehicles[0]
	assert.Equal(t, fleet.Sites[0].ID, v.SiteID)
	assert.Equal(t, 15000.0, *v.KmPerYear)
	assert.Equal(t, fleet.Coatings[1].ID, v.Patches[1].CoatingID)
	assert.True(t, fleet.Coatings[1].Control)
	assert.Equal(t, 2, *v.Patches[0].Job.Layers)

	// Rows of one vehicle, day and operator are one checkup.
	require.Len(t, v.Checkups, 2)
	assert.Equal(t, fleet.People[0].ID, *v.Checkups[0].OperatorID)
	assert.Equal(t, fleet.People[1].ID, *v.Checkups[1].OperatorID)
	reading := v.Checkups[0].Readings[0]
	assert.Equal(t, study.Washed, reading.Stage)
	assert.Equal(t, []float64{104, 105.5}, reading.AnglesDeg)
	assert.Equal(t, 7.0, *reading.SheetTimeS)
	assert.Nil(t, reading.BeadGrade)

	assert.Nil(t, v.Care[0].PatchID)
	assert.Equal(t, v.Patches[0].ID, *v.Care[1].PatchID)
}

func TestReadLogFromAFileSystem(t *testing.T) {
	fsys := fstest.MapFS{}
	for name, text := range smallLog() {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	fsys["README.md"] = &fstest.MapFile{Data: []byte("no table")}
	fsys["truth.csv"] = &fstest.MapFile{Data: []byte("no table of ours\n")}
	fleet, err := ReadLogFS(t.Context(), fsys, Options{Today: lastDay})
	require.NoError(t, err)
	assert.Len(t, fleet.Vehicles, 2)
}

func TestTablesMayBeLinks(t *testing.T) {
	dir, links := folder(t, smallLog()), t.TempDir()
	for name := range smallLog() {
		require.NoError(t, os.Symlink(filepath.Join(dir, name), filepath.Join(links, name)))
	}
	fleet, err := ReadLog(t.Context(), links, Options{Today: lastDay})
	require.NoError(t, err)
	assert.Len(t, fleet.Vehicles, 2)
}

func TestCheckupsAndCareMayBeAbsent(t *testing.T) {
	files := smallLog()
	delete(files, "checkups.csv")
	delete(files, "care.csv")
	fleet, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Len(t, fleet.Vehicles, 2)
}

func TestHeadingsAndWordsAsPeopleWriteThem(t *testing.T) {
	files := smallLog()
	delete(files, "sites.csv")
	files["Sites.CSV"] = "Code,LATITUDE,Longitude, Climate ,Wind,,\nHARBOUR,51.9,4.5,cfb,west,x,\n\n,,,,,,\n"
	files["care.csv"] = "Vehicle;Date;KIND;patch\nV-1;2025-04-12;Maintenance wash;\nV-1;2025-04-12;decon-WASH;\n"
	fleet, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, "Cfb", fleet.Sites[0].Koppen)
	assert.Equal(t, "Wind: west; column 6: x", fleet.Sites[0].Note)
	assert.Equal(t, study.DeconWash, fleet.Vehicles[0].Care[1].Kind)
}

func TestExtraColumnsBecomeNotes(t *testing.T) {
	files := smallLog()
	files["checkups.csv"] = "vehicle,date,stage,patch,angle_1_deg,weather,note,visit_note\n" +
		"V-1,2025-04-12,decon,P1,108,dry,swirls,late\nV-1,2025-04-12,decon,P2,79,,,late\nV-1,2025-04-12,washed,P2,79,,,\n"
	fleet, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	c := fleet.Vehicles[0].Checkups[0]
	assert.Equal(t, "late", c.Note)
	assert.Equal(t, "swirls; weather: dry", c.Readings[0].Note)
	assert.Empty(t, c.Readings[1].Note)
}

func TestDropsMayLeaveGaps(t *testing.T) {
	files := smallLog()
	files["checkups.csv"] = "vehicle,date,stage,patch,angle_3_deg,angle_1_deg,angle_2_deg\nV-1,2025-04-12,decon,P1,108,104,\n"
	fleet, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, []float64{104, 108}, fleet.Vehicles[0].Checkups[0].Readings[0].AnglesDeg)

	files["checkups.csv"] = "vehicle,date,stage,patch,angle_3_deg,angle_1_deg,angle_2_deg\nV-1,2025-04-12,decon,P1,208,104,\n"
	assert.Equal(t, []string{`checkups.csv, row 2, angle_3_deg: "208": expected 0 to 180 degrees`}, problemsOf(t, files, Options{}))
}

func TestReadLogTellsItsProgress(t *testing.T) {
	files := smallLog()
	var text strings.Builder
	text.WriteString("vehicle,date,kind\n")
	for day := study.DayOf(2010, 1, 1); day < study.DayOf(2020, 1, 1); day++ {
		fmt.Fprintf(&text, "V-1,%s,clay\n", day)
	}
	files["care.csv"] = text.String()
	size := int64(0)
	for _, text := range files {
		size += int64(len(text))
	}
	var seen []int64
	_, err := ReadLog(t.Context(), folder(t, files), Options{Today: lastDay, Progress: func(done, total int64) {
		assert.Equal(t, size, total)
		seen = append(seen, done)
	}})
	require.NoError(t, err)
	assert.IsNonDecreasing(t, seen)
	assert.Greater(t, len(seen), 6, "more often than once a table")
	assert.Equal(t, size, seen[len(seen)-1])
}

func TestReadLogStopsWhenItsContextEnds(t *testing.T) {
	files := smallLog()
	files["care.csv"] = "vehicle,date,kind\n" + strings.Repeat("V-1,2025-05-01,clay\n", 5000)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := ReadLog(ctx, folder(t, files), Options{Today: lastDay})
	require.ErrorIs(t, err, context.Canceled)
}

func TestUnreadablePaths(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "log.txt")
	require.NoError(t, os.WriteFile(text, []byte("not a log"), 0o600))
	for path, want := range map[string]string{
		filepath.Join(dir, "nowhere"): "no such file",
		text:                          "expected a folder, a zip or an XLSX workbook",
		os.DevNull:                    "expected a folder, a zip or an XLSX workbook",
	} {
		_, err := ReadLog(t.Context(), path, Options{})
		require.ErrorContains(t, err, want)
		assert.ErrorContains(t, err, path)
		assert.NotErrorAs(t, err, new(study.Problems))
	}
	_, err := ReadLog(t.Context(), folder(t, smallLog()), Options{DateOrder: "ymd"})
	assert.ErrorContains(t, err, `date order "ymd": expected dmy, mdy or none`)
}

// with returns the small log with some files replaced; nothing deletes one.
func with(changes map[string]string) map[string]string {
	files := smallLog()
	maps.Copy(files, changes)
	maps.DeleteFunc(files, func(_, text string) bool { return text == "" })
	return files
}
