package export_test

import (
	"context"
	"crypto/sha256"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"beadspan/cmd/beadspan/internal/export"
	"beadspan/study"
)

// Photos stand in a table with a hash each, and their pictures beside it as they
// are; or in the table alone.
func TestPhotos(t *testing.T) {
	t.Parallel()
	r := records()
	p := study.KeptPhoto{ID: study.NewID(), Vehicle: "V001", Patch: "RF", Day: study.DayOf(2024, 6, 1), Stage: study.Decon, By: "kw",
		WidthPx: 1600, HeightPx: 900, Bytes: 3, SHA256: sha256.Sum256([]byte("one")), Taken: time.Date(2024, 6, 1, 9, 0, 0, 0, time.UTC)}
	r.Photos = []study.KeptPhoto{p}
	// printf one | sha256sum
	const line = "V001,RF,2024-06-01,decon,%,1600,900,3,7692c3ad3540bb803c020b3aee66cd8887123234ea0c6e7143c0add73ff431ed,kw,2024-06-01T09:00:00Z\n"
	z := written(t, r, export.CSV)
	assert.Contains(t, string(member(t, z, "csv/photos.csv")), "\n"+strings.Replace(line, "%", "", 1))
	assert.Contains(t, string(member(t, z, "README.txt")), "aren't in this zip")

	r.Picture = func(context.Context, study.KeptPhoto) ([]byte, error) { return []byte("one"), nil }
	z = written(t, r, export.Formats()...)
	file := "photos/" + p.ID.String() + ".jpg"
	assert.Contains(t, string(member(t, z, "csv/photos.csv")), "\n"+strings.Replace(line, "%", file, 1))
	assert.Equal(t, "one", string(member(t, z, file)))
	assert.Contains(t, string(member(t, z, "dictionary.csv")), "\nphotos,sha256,text,")

	r.Photos[0].Bytes = export.MostPhotoBytes + 1
	z = written(t, r, export.CSV)
	assert.Contains(t, string(member(t, z, "README.txt")), "lists 1; the pictures themselves aren't in this zip")
	_, err := z.Open(file)
	assert.Error(t, err)
}
