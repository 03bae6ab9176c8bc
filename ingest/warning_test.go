package ingest

import (
	"testing"
	"testing/fstest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// A log is warned of by file and row, and read all the same.
func TestReadLogWarns(t *testing.T) {
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	log := fstest.MapFS{
		"coatings.csv": file("code\nK-20\n"),
		"sites.csv":    file("code,latitude,longitude,climate\nS,50,8,Cfb\n"),
		"vehicles.csv": file("code,site,enrolled\nV,S,2026-03-02\n"),
		"patches.csv": file("vehicle,code,coating,panel,orientation,substrate,finish,applied,layers,air_temp_c,keep_dry_h\n" +
			"V,A,K-20,bonnet,horizontal,film,gloss,2026-03-02,3,8.5,12\n" +
			"V,B,K-20,roof,horizontal,paint,gloss,2026-03-02,2,20,24\n" +
			"V,C,K-20,left door,vertical,paint,gloss,2026-03-02,4,25,6\n"),
		"care.csv": file("vehicle,date,kind,patch\nV,2026-03-02,clay,\nV,2026-03-05,maintenance_wash,B\nV,2026-06-01,clay,\nV,2026-06-02,clay,B\n"),
	}
	var groups WarningGroups
	fleet, err := ReadLogFS(t.Context(), log, Options{Warning: groups.Add})
	require.NoError(t, err)
	assert.Len(t, fleet.Vehicles[0].Patches, 3)
	var lines []string
	for _, g := range groups {
		lines = append(lines, g.String())
	}
	assert.Equal(t, []string{
		"patches.csv, row 2, air_temp_c: coated at 8.5 °C: 10 to 25 °C at the job is usual and near 20 best; in the cold a coating cures slowly, in the heat it flashes before it is level",
		"patches.csv, layers: 2 rows (2, 4), the first laid in 3 layers: two layers are usual, and a third adds nothing",
		"patches.csv, row 4, keep_dry_h: kept dry for 6 h: 12 h dry is the least and 24 h better; water on a fresh coating leaves marks and stops the cure",
		"care.csv, row 3, date: maintenance wash 3 days after coating (patch B): no wash for 7 days is usual, so that shampoo meets a cured coating",
		"care.csv, row 4, kind: clay on film (patch A): clay drags on film and wrap and mars them; an iron remover does the same work",
	}, lines)
}

// However many rows are warned of, few are named.
func TestWarningGroupsAreBounded(t *testing.T) {
	var groups WarningGroups
	for row := range 100_000 {
		groups.Add(Warning{"patches.csv", row + 2, study.Warning{Column: "layers", What: "laid in 1 layer", Why: "two are usual"}})
	}
	require.Len(t, groups, 1)
	assert.Equal(t, 100_000, groups[0].N)
	assert.Len(t, groups[0].Rows, MostWarningRows)
	assert.Contains(t, groups[0].String(), "100000 rows (2, 3, 4, 5, 6, 7, 8, 9, 10, 11, …)")
}
