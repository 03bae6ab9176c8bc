package ingest

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// noticesOf returns what is told of a log, a line each, beside the error.
func noticesOf(t *testing.T, path string) (lines []string, err error) {
	t.Helper()
	_, err = ReadLog(t.Context(), path, Options{Today: lastDay, Notice: func(n Notice) { lines = append(lines, n.String()) }})
	return lines, err
}

func TestNoticesOfUnknownHeadings(t *testing.T) {
	const row = "V-1,2025-04-12,decon,P1,108,"
	for name, test := range map[string]struct {
		checkups string
		want     []string
	}{
		"none":                         {"vehicle,date,stage,patch,angle_1_deg,Sheet time-s\n" + row + "7\n", nil},
		"a column of one's own":        {"vehicle,date,stage,patch,angle_1_deg,weather\n" + row + "dry\n", []string{"checkups.csv, weather: the format has no such column: 1 cell is kept as a note"}},
		"a slip of the finger":         {"vehicle,date,stage,patch,angle_1_deg,sheet_tme_s\n" + row + "7\n", []string{"checkups.csv, sheet_tme_s: the format has no such column: 1 cell is kept as a note; did you mean sheet_time_s?"}},
		"words apart":                  {"vehicle,date,stage,patch,angle_1_deg,Beed Grade\n" + row + "3\n", []string{"checkups.csv, Beed Grade: the format has no such column: 1 cell is kept as a note; did you mean bead_grade?"}},
		"a unit left out":              {"vehicle,date,stage,patch,angle_1_deg,wet_share\n" + row + "7\n", []string{"checkups.csv, wet_share: the format has no such column: 1 cell is kept as a note; did you mean wet_share_pct?"}},
		"near one that is there":       {"vehicle,date,stage,patch,angle_1_deg,sheet_tme_s,sheet_time_s\n" + row + "7,7\n", []string{"checkups.csv, sheet_tme_s: the format has no such column: 1 cell is kept as a note"}},
		"a drop's number left in":      {"vehicle,date,stage,patch,angle_1_deg,angle_2\n" + row + "99\n", []string{"checkups.csv, angle_2: the format has no such column: 1 cell is kept as a note; did you mean angle_2_deg?"}},
		"more drops than there may be": {"vehicle,date,stage,patch,angle_1_deg,angle_21_deg\n" + row + "99\n", []string{"checkups.csv, angle_21_deg: the format has no such column: 1 cell is kept as a note"}},
		"nothing in it":                {"vehicle,date,stage,patch,angle_1_deg,weather,\n" + row + ",\n", []string{"checkups.csv, weather: the format has no such column: nothing stands in it"}},
		"no heading":                   {"vehicle,date,stage,patch,angle_1_deg,,\n" + row + ",wet\n", []string{"checkups.csv, column 7: the format has no such column: 1 cell is kept as a note"}},
		"blank cells aren't counted": {
			"wind,vehicle,date,stage,patch,angle_1_deg,weather\nW," + row + "dry\n,V-1,2025-04-12,washed,P1,99\n \nN,V-1,2025-04-12,washed,P2,99,\n",
			[]string{"checkups.csv, wind: the format has no such column: 2 cells are kept as notes", "checkups.csv, weather: the format has no such column: 1 cell is kept as a note"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			lines, err := noticesOf(t, folder(t, with(map[string]string{"checkups.csv": test.checkups})))
			require.NoError(t, err)
			assert.Equal(t, test.want, lines)
		})
	}
}

// Every table is told of, a sheet as a file, and faults elsewhere hide nothing.
func TestNoticesOfEveryTable(t *testing.T) {
	files := map[string]string{
		"coatings.csv": "code,colour\nC-20,clear\nBARE,\n",
		"sites.csv":    "code,latitude,longitude,climate,altitude\nHARBOUR,51.9,4.5,Cfb,2\n",
		"vehicles.csv": "code,site,enrolled,km_per_yaer\nV-1,HARBOUR,2025-03-04,15000\nV-2,HARBOUR,2025-03-04,9000\n",
		"care.csv":     "vehicle,date,kind,notes\nV-1,2025-04-12,clay,bar\n",
	}
	want := []string{
		"coatings, colour: the format has no such column: 1 cell is kept as a note",
		"sites, altitude: the format has no such column: 1 cell is kept as a note; did you mean altitude_m?",
		"vehicles, km_per_yaer: the format has no such column: 2 cells are kept as notes; did you mean km_per_year?",
		"care, notes: the format has no such column: 1 cell is kept as a note; did you mean note?",
	}
	lines, err := noticesOf(t, workbook(t, with(files), nil))
	require.NoError(t, err)
	assert.Equal(t, want, lines)

	files["checkups.csv"] = "vehicle,date\n"
	faulty, err := noticesOf(t, workbook(t, with(files), nil))
	require.Error(t, err)
	assert.Equal(t, want, faulty)
}
