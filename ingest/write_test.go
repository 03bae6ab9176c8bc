package ingest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"beadspan/study"
)

// A log that is written and read back says the same, to the last bit of every
// number; only the ids are new.
func TestWrittenLogReadsBack(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		want := fleets().Draw(rt, "fleet")
		require.NoError(rt, WriteLog(dir, want))

		got, err := ReadLog(t.Context(), dir, Options{Today: lastDay})
		require.NoError(rt, err)
		assert.Equal(rt, named(want), named(got))
	})
}

// The columns' own examples make up a log that can be read.
func TestExamplesOfColumnsMakeALog(t *testing.T) {
	dir := t.TempDir()
	for _, name := range Tables() {
		var headings, cells []string
		for _, c := range Columns() {
			if c.Table == name {
				headings = append(headings, c.Name)
				cells = append(cells, c.Example)
			}
		}
		text := strings.Join(headings, ";") + "\n" + strings.Join(cells, ";") + "\n"
		require.NoError(t, os.WriteFile(filepath.Join(dir, name+".csv"), []byte(text), 0o600))
	}
	fleet, err := ReadLog(t.Context(), dir, Options{Today: lastDay})
	require.NoError(t, err)
	assert.Equal(t, study.Size{Coatings: 1, Sites: 1, Shops: 1, People: 1, Vehicles: 1, Patches: 1, Checkups: 1, Readings: 1, Care: 1}, fleet.Size())
	assert.Len(t, fleet.Vehicles[0].Checkups[0].Readings[0].AnglesDeg, study.MostDrops)
}

func TestWriteLogRefusesWhatALogCannotHold(t *testing.T) {
	site := study.Site{ID: study.NewID(), Code: "S", Koppen: "Cfb"}
	vehicle := study.Vehicle{ID: study.NewID(), Code: "V", SiteID: site.ID}
	for name, change := range map[string]func(*study.Vehicle){
		"unknown site":              func(v *study.Vehicle) { v.SiteID = study.NewID() },
		"unknown coating":           func(v *study.Vehicle) { v.Patches = []study.Patch{{Code: "P"}} },
		"checkup without readings":  func(v *study.Vehicle) { v.Checkups = []study.Checkup{{}} },
		"reading of unknown patch":  func(v *study.Vehicle) { v.Checkups = []study.Checkup{{Readings: []study.Reading{{}}}} },
		"care of unknown patch":     func(v *study.Vehicle) { v.Care = []study.Care{{PatchID: &study.ID{}}} },
		"care by an unknown person": func(v *study.Vehicle) { v.Care = []study.Care{{OperatorID: &study.ID{}}} },
	} {
		t.Run(name, func(t *testing.T) {
			v := vehicle
			change(&v)
			dir := t.TempDir()
			err := WriteLog(dir, study.Fleet{Sites: []study.Site{site}, Vehicles: []study.Vehicle{v}})
			require.Error(t, err)
			assert.Contains(t, err.Error(), "V")
			left, err := filepath.Glob(filepath.Join(dir, ".*"))
			require.NoError(t, err)
			assert.Empty(t, left, "half-written files")
		})
	}
}
