package export_test

import (
	"archive/zip"
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/parquet-go/parquet-go"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"beadspan/cmd/beadspan/internal/export"
	"beadspan/ingest"
	"beadspan/study"
)

// records is a vehicle whose patch was read twice, at 101.5° and 60.25°.
func records() export.Records {
	coating := study.Coating{ID: study.NewID(), Code: "FLEX-1", Note: "it's 100 % \"new\"; a line\nand another"}
	site := study.Site{ID: study.NewID(), Code: "COAST", LatitudeDeg: 54.25, LongitudeDeg: -8, Koppen: "Cfb"}
	v := study.Vehicle{ID: study.NewID(), Code: "V001", SiteID: site.ID, Enrolled: study.DayOf(2024, 3, 1)}
	patch := study.Patch{ID: study.NewID(), Code: "RF", CoatingID: coating.ID, Panel: "roof", Orientation: study.Horizontal,
		Substrate: study.Film, Finish: study.Gloss, Applied: study.DayOf(2024, 2, 29), Job: study.Job{Layers: new(2)}}
	v.Patches = []study.Patch{patch}
	for i, angles := range [][]float64{{101.5, 102}, {60.25}} {
		v.Checkups = append(v.Checkups, study.Checkup{ID: study.NewID(), Day: study.DayOf(2024, 6+time.Month(i), 1),
			Readings: []study.Reading{{PatchID: patch.ID, Stage: study.Decon, AnglesDeg: angles, Note: "=1+1"}}})
	}
	v.Care = []study.Care{{ID: study.NewID(), Day: study.DayOf(2024, 8, 1), Kind: study.Sold}}
	decided := time.Date(2024, 9, 2, 10, 0, 0, 0, time.UTC)
	return export.Records{
		Study: study.Study{Code: "S1", Protocol: study.DefaultProtocol()},
		Fleet: study.Fleet{Coatings: []study.Coating{coating}, Sites: []study.Site{site}, Vehicles: []study.Vehicle{v}},
		Amendments: []study.Amendment{{Record: "V001", Changes: []study.Change{{Field: "note", Before: "a", After: "b"}}, State: study.Accepted,
			ProposedAt: decided.Add(-time.Hour), DecidedAt: &decided, DecidedBy: "KW", DecidedWhy: "typed wrong"}},
		Made: study.DayOf(2025, 1, 1), Version: "test",
	}
}

// written is the zip of the records in the formats.
func written(t *testing.T, r export.Records, formats ...export.Format) *zip.Reader {
	t.Helper()
	var out bytes.Buffer
	require.NoError(t, export.Write(t.Context(), &out, r, t.TempDir(), formats))
	z, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	require.NoError(t, err)
	return z
}

func member(t *testing.T, z *zip.Reader, name string) []byte {
	t.Helper()
	f, err := z.Open(name)
	require.NoError(t, err)
	content, err := io.ReadAll(f)
	require.NoError(t, err)
	return content
}

// The exported tables are a log: loading them gives the records back, from the
// CSV files and from the workbook.
func TestExportIsALog(t *testing.T) {
	t.Parallel()
	r := records()
	z := written(t, r, export.Formats()...)
	dir := t.TempDir()
	for _, table := range ingest.Tables() {
		require.NoError(t, os.WriteFile(filepath.Join(dir, table+".csv"), member(t, z, "csv/"+table+".csv"), 0o600))
	}
	book := filepath.Join(t.TempDir(), "records.xlsx")
	require.NoError(t, os.WriteFile(book, member(t, z, "records.xlsx"), 0o600))
	for _, path := range []string{dir, book} {
		got, err := ingest.ReadLog(t.Context(), path, ingest.Options{})
		require.NoError(t, err, path)
		assert.Equal(t, r.Fleet.Size(), got.Size(), path)
		assert.Equal(t, r.Fleet.Coatings[0].Note, got.Coatings[0].Note)
		assert.Equal(t, r.Fleet.Vehicles[0].Checkups[0].Readings[0].AnglesDeg, got.Vehicles[0].Checkups[0].Readings[0].AnglesDeg)
		assert.Equal(t, r.Fleet.Vehicles[0].Checkups[1].Day, got.Vehicles[0].Checkups[1].Day)
		assert.Equal(t, "=1+1", got.Vehicles[0].Checkups[0].Readings[0].Note)
	}
}

// The same reading stands in each format, with its type.
func TestFormatsAgree(t *testing.T) {
	t.Parallel()
	z := written(t, records(), export.Formats()...)

	var rows []map[string]any
	require.NoError(t, json.Unmarshal(member(t, z, "json/checkups.json"), &rows))
	require.Len(t, rows, 2)
	assert.Equal(t, "2024-07-01", rows[1]["date"])
	assert.InDelta(t, 60.25, rows[1]["angle_1_deg"], 0)
	assert.Nil(t, rows[1]["angle_2_deg"])

	type reading struct {
		Date   int32    `parquet:"date,optional,date"`
		Angle  *float64 `parquet:"angle_1_deg,optional"`
		Second *float64 `parquet:"angle_2_deg,optional"`
		Note   string   `parquet:"note,optional"`
	}
	content := member(t, z, "parquet/checkups.parquet")
	readings, err := parquet.Read[reading](bytes.NewReader(content), int64(len(content)))
	require.NoError(t, err)
	require.Len(t, readings, 2)
	// 2024-07-01 is 19,905 days after 1970-01-01: 54 years with 13 leap days,
	// and 182 days of 2024.
	assert.EqualValues(t, 54*365+13+182, readings[1].Date)
	assert.InDelta(t, 60.25, *readings[1].Angle, 0)
	assert.Nil(t, readings[1].Second)
	assert.Equal(t, "=1+1", readings[1].Note)

	book, err := excelize.OpenReader(bytes.NewReader(member(t, z, "records.xlsx")))
	require.NoError(t, err)
	sheet, err := book.GetRows("checkups")
	require.NoError(t, err)
	require.Len(t, sheet, 3)
	assert.Contains(t, sheet[2], "2024-07-01")
	assert.Contains(t, sheet[2], "60.25")
	formula, err := book.GetCellFormula("checkups", "A2")
	require.NoError(t, err)
	assert.Empty(t, formula)
}

// A patch that held on day 93 and failed once on day 123, before it was sold:
// the fail isn't confirmed, so that nothing is known beyond day 93.
func TestSpans(t *testing.T) {
	t.Parallel()
	var rows []map[string]any
	z := written(t, records(), export.JSON)
	require.NoError(t, json.Unmarshal(member(t, z, "json/spans.json"), &rows))
	require.Len(t, rows, 1)
	inService := study.DayOf(2024, 3, 1) // keep-dry time of a day
	assert.Equal(t, inService.String(), rows[0]["in_service"])
	assert.InDelta(t, float64(study.DayOf(2024, 6, 1)-inService), rows[0]["lower_days"], 0)
	assert.Nil(t, rows[0]["upper_days"])
	assert.Equal(t, "sold", rows[0]["ended"])
	var trail []map[string]any
	require.NoError(t, json.Unmarshal(member(t, z, "json/amendments.json"), &trail))
	assert.Equal(t, "typed wrong", trail[0]["why"])
	assert.Equal(t, "[]\n", string(member(t, z, "json/rule_changes.json")))
}

// Every column of every table is in the dictionary, and only the formats asked
// for are there.
func TestDictionary(t *testing.T) {
	t.Parallel()
	z := written(t, records(), export.Parquet)
	dictionary := string(member(t, z, "dictionary.csv"))
	for _, line := range []string{"checkups,angle_1_deg,number,", "spans,upper_days,number,days,", "sites,latitude,"} {
		assert.Contains(t, dictionary, "\n"+line)
	}
	for _, f := range z.File {
		assert.NotContains(t, f.Name, "csv/")
		assert.NotContains(t, f.Name, "xlsx")
	}
	assert.Contains(t, string(member(t, z, "README.txt")), "1 vehicles, 1 patches, 2 checkups, 2 readings")
}

// A fleet of which nothing is known yet is exported all the same.
func TestExportNothing(t *testing.T) {
	t.Parallel()
	z := written(t, export.Records{Study: study.Study{Code: "S1", Protocol: study.DefaultProtocol()}}, export.Formats()...)
	assert.Equal(t, "[]\n", string(member(t, z, "json/vehicles.json")))
	content := member(t, z, "parquet/vehicles.parquet")
	f, err := parquet.OpenFile(bytes.NewReader(content), int64(len(content)))
	require.NoError(t, err)
	assert.Zero(t, f.NumRows())
	assert.Len(t, z.File, 3+9+1+9+9, "a table is there though it is empty")
}
