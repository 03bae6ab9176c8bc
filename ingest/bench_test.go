package ingest

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"beadspan/study"
)

// BenchmarkReadLog reads half a million readings.
func BenchmarkReadLog(b *testing.B) {
	dir := b.TempDir()
	files := largeLog(500, 1000)
	for name, text := range files {
		require.NoError(b, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	b.SetBytes(int64(len(files["checkups.csv"])))
	b.ReportAllocs()
	for b.Loop() {
		fleet, err := ReadLog(b.Context(), dir, Options{Today: lastDay})
		require.NoError(b, err)
		require.Equal(b, 500_000, fleet.Size().Readings)
	}
}

// BenchmarkReadLogOfFaults reads as many readings, none of which is right.
func BenchmarkReadLogOfFaults(b *testing.B) {
	dir := b.TempDir()
	for name, text := range largeLog(500, 1000) {
		if name == "checkups.csv" {
			text = strings.ReplaceAll(text, "V-", "W-")
		}
		require.NoError(b, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	for b.Loop() {
		_, err := ReadLog(b.Context(), dir, Options{Today: lastDay})
		require.Error(b, err)
	}
}

// BenchmarkReadWorkbook reads twenty thousand readings.
func BenchmarkReadWorkbook(b *testing.B) {
	path := filepath.Join(b.TempDir(), "log.xlsx")
	book := excelize.NewFile()
	for name, text := range largeLog(200, 100) {
		name = strings.TrimSuffix(name, ".csv")
		_, err := book.NewSheet(name)
		require.NoError(b, err)
		out, err := book.NewStreamWriter(name)
		require.NoError(b, err)
		for i, line := range strings.Split(strings.TrimSpace(text), "\n") {
			var cells []any
			for cell := range strings.SplitSeq(line, ",") {
				cells = append(cells, cellValue(cell))
			}
			require.NoError(b, out.SetRow(fmt.Sprintf("A%d", i+1), cells))
		}
		require.NoError(b, out.Flush())
	}
	require.NoError(b, book.SaveAs(path))
	for b.Loop() {
		_, err := ReadLog(b.Context(), path, Options{Today: lastDay})
		require.NoError(b, err)
	}
}

func BenchmarkWriteLog(b *testing.B) {
	dir := b.TempDir()
	for name, text := range largeLog(500, 100) {
		require.NoError(b, os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600))
	}
	fleet, err := ReadLog(b.Context(), dir, Options{Today: lastDay})
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, WriteLog(dir, fleet))
	}
}

// largeLog has so many vehicles with so many readings each.
func largeLog(vehicles, readings int) map[string]string {
	const patches = 4
	files := smallLog()
	var v, p, c strings.Builder
	v.WriteString("code,site,enrolled\n")
	p.WriteString("vehicle,code,coating,panel,orientation,substrate,finish,applied\n")
	c.WriteString("vehicle,date,stage,patch,angle_1_deg,angle_2_deg,angle_3_deg,sheet_time_s,wet_share_pct,bead_grade,operator,note\n")
	for i := range vehicles {
		fmt.Fprintf(&v, "V-%d,HARBOUR,2010-01-01\n", i)
		for j := range patches {
			fmt.Fprintf(&p, "V-%d,P%d,C-20,bonnet,horizontal,film,gloss,2010-01-01\n", i, j)
		}
		for k := range readings {
			day := study.DayOf(2010, 1, 1) + study.Day(k/(patches*3))
			fmt.Fprintf(&c, "V-%d,%s,%s,P%d,%.1f,%.1f,%.1f,%.1f,%d,%d,AB,\n", i, day, study.Stages()[k/patches%3], k%patches,
				100-float64(k%200)/10, 101-float64(k%200)/10, 99-float64(k%200)/10, 5+float64(k%70)/10, k%40, 1+k%5)
		}
	}
	files["vehicles.csv"], files["patches.csv"], files["checkups.csv"] = v.String(), p.String(), c.String()
	delete(files, "care.csv")
	return files
}
