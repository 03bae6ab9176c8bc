package ingest

import (
	"archive/zip"
	"bytes"
	"context"
	"encoding/binary"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

func TestZip(t *testing.T) {
	want, err := ReadLog(t.Context(), folder(t, smallLog()), Options{Today: lastDay})
	require.NoError(t, err)
	for name, under := range map[string]string{"at the top": "", "in a folder": "my log/", "as old programs write": `log\`} {
		t.Run(name, func(t *testing.T) {
			files := map[string]string{"__MACOSX/._care.csv": "\x00", under + "._care.csv": "\x00", under + "photos/": "", under + "read me.txt": "\x00"}
			for name, text := range smallLog() {
				files[under+name] = text
			}
			got, err := ReadLog(t.Context(), zipFile(t, files), Options{Today: lastDay})
			require.NoError(t, err)
			assert.Equal(t, named(want), named(got))
		})
	}
}

func TestProblemsInAZip(t *testing.T) {
	files := with(map[string]string{"care.csv": ""})
	files["log/care.csv"] = "vehicle,date,kind\nV-1,today,clay\n"
	files["other/care.csv"] = "vehicle,date,kind\n"
	_, err := ReadLog(t.Context(), zipFile(t, files), Options{Today: lastDay})
	var problems study.Problems
	require.ErrorAs(t, err, &problems)
	assert.Equal(t, "other/care.csv: this table is there twice, see log/care.csv: expected it once\n"+
		`log/care.csv, row 2, date: "today": expected a date such as 2025-03-04`, problems.Error())
}

func TestZipsThatAreRefused(t *testing.T) {
	many := map[string]string{}
	for i := range MaxMembers + 1 {
		many[fmt.Sprintf("%d.txt", i)] = ""
	}
	for name, test := range map[string]struct {
		path string
		want string
	}{
		"up and out":     {zipFile(t, map[string]string{"../care.csv": "x"}), `a file named "../care.csv", which points outside`},
		"backwards":      {zipFile(t, map[string]string{`a\..\..\care.csv`: "x"}), "which points outside"},
		"absolute":       {zipFile(t, map[string]string{"/etc/care.csv": "x"}), "which points outside"},
		"a drive":        {zipFile(t, map[string]string{`C:\care.csv`: "x"}), "which points outside"},
		"too deep":       {zipFile(t, map[string]string{"a/b/care.csv": "x"}), "a/b/care.csv lies too deep in it"},
		"many files":     {zipFile(t, many), "it holds 1001 files: expected no more than 1000"},
		"OpenDocument":   {zipFile(t, map[string]string{"mimetype": "x", "content.xml": "x"}), "it is an OpenDocument workbook: save it as XLSX"},
		"cut off":        {cutOff(t, zipFile(t, smallLog())), "as a zip it is damaged"},
		"flipped bits":   {flipped(t, zipFile(t, smallLog())), "checksum error"},
		"with password":  {encrypted(t, zipFile(t, smallLog())), "is encrypted: pack the log without a password"},
		"no log at all":  {filepath.Join(folder(t, map[string]string{"x.zip": "nothing of the kind"}), "x.zip"), "expected a folder, a zip or an XLSX workbook"},
		"an empty file":  {filepath.Join(folder(t, map[string]string{"x.zip": ""}), "x.zip"), "expected a folder, a zip or an XLSX workbook"},
		"too large":      {sparse(t, "x.zip", MaxPackedBytes+1), "it is larger than 64 MB: split the log by year"},
		"large workbook": {sparse(t, "x.xlsx", MaxPackedBytes+1), "it is larger than 64 MB: split the log by year"},
	} {
		t.Run(name, func(t *testing.T) {
			fleet, err := ReadLog(t.Context(), test.path, Options{Today: lastDay})
			require.ErrorContains(t, err, test.want)
			assert.NotErrorAs(t, err, new(study.Problems))
			assert.Empty(t, fleet)
		})
	}
}

func zipFile(t *testing.T, files map[string]string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.zip")
	require.NoError(t, os.WriteFile(path, zipped(t, files), 0o600))
	return path
}

func zipped(t testing.TB, files map[string]string) []byte {
	t.Helper()
	var packed bytes.Buffer
	out := zip.NewWriter(&packed)
	for _, name := range sorted(files) {
		file, err := out.Create(name)
		require.NoError(t, err)
		if strings.HasSuffix(name, "/") {
			continue
		}
		_, err = io.WriteString(file, files[name])
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	return packed.Bytes()
}

func sorted(files map[string]string) []string { return slices.Sorted(maps.Keys(files)) }

func changed(t *testing.T, path string, change func([]byte) []byte) string {
	t.Helper()
	packed, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, change(packed), 0o600))
	return path
}

func cutOff(t *testing.T, path string) string {
	return changed(t, path, func(packed []byte) []byte { return packed[:len(packed)-30] })
}

// flipped changes the checksum that the directory holds of the first table
// (APPNOTE.TXT 4.3.12: CRC-32 at byte 16 of an entry).
func flipped(t *testing.T, path string) string {
	return changed(t, path, func(packed []byte) []byte {
		packed[firstEntry(packed)+16] ^= 1
		return packed
	})
}

// encrypted sets the flag that says so (bytes 8 and 9 of an entry).
func encrypted(t *testing.T, path string) string {
	return changed(t, path, func(packed []byte) []byte {
		packed[firstEntry(packed)+8] |= 1
		return packed
	})
}

func firstEntry(packed []byte) int { return bytes.Index(packed, []byte("PK\x01\x02")) }

// rewritePart changes one file within a zip.
func rewritePart(t *testing.T, path, part string, change func([]byte) []byte) {
	t.Helper()
	archive, err := zip.OpenReader(path)
	require.NoError(t, err)
	defer archive.Close()
	files := map[string]string{}
	for _, member := range archive.File {
		file, err := member.Open()
		require.NoError(t, err)
		text, err := io.ReadAll(file)
		require.NoError(t, err)
		if member.Name == part {
			require.NotEqual(t, text, change(text))
			text = change(text)
		}
		files[member.Name] = string(text)
	}
	packed, err := os.ReadFile(zipFile(t, files))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, packed, 0o600))
}

func sparse(t *testing.T, name string, size int64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, nil, 0o600))
	require.NoError(t, os.Truncate(path, size))
	return path
}

// claim makes the directory's entry for a member say that it unpacks to size
// (byte 24 of an entry, whose name is at byte 46).
func claim(t *testing.T, path, member string, size uint32) {
	t.Helper()
	changed(t, path, func(packed []byte) []byte {
		name := bytes.LastIndex(packed, []byte(member))
		require.True(t, bytes.HasPrefix(packed[name-46:], []byte("PK\x01\x02")))
		binary.LittleEndian.PutUint32(packed[name-46+24:], size)
		return packed
	})
}

func TestLookingIntoAWorkbookStopsWhenItsContextEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	_, err := ReadLog(ctx, workbook(t, smallLog(), nil), Options{Today: lastDay})
	require.ErrorIs(t, err, context.Canceled)
}
