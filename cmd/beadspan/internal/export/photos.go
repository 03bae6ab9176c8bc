package export

import (
	"archive/zip"
	"context"
	"encoding/hex"
	"fmt"
	"strconv"

	"beadspan/ingest"
	"beadspan/study"
)

// MostPhotoBytes bounds the pictures of one zip. Where there are more, the table
// lists them and the pictures stay out: a backup has them all.
const MostPhotoBytes = 1_000_000_000

// photoColumns describes the table of photos.
func photoColumns() []ingest.Column {
	column := func(name string, kind ingest.Kind, unit, meaning string) ingest.Column {
		return ingest.Column{Table: "photos", Name: name, Kind: kind, Unit: unit, Meaning: meaning}
	}
	return []ingest.Column{
		column("vehicle", ingest.Text, "", "code of the vehicle"),
		column("patch", ingest.Text, "", "code of the patch on it"),
		column("date", ingest.Date, "", "day of the visit"),
		column("stage", ingest.Word, "", "when in the visit: arrival, washed or decon"),
		column("file", ingest.Text, "", "the picture in this zip; blank where it holds no pictures"),
		column("width_px", ingest.Number, "pixels", "width of the picture"),
		column("height_px", ingest.Number, "pixels", "height of the picture"),
		column("bytes", ingest.Number, "bytes", "size of the picture"),
		column("sha256", ingest.Text, "", "hash of the picture, as sha256sum tells it"),
		column("taken_by", ingest.Text, "", "name of the account that took it"),
		column("stored_at", ingest.Text, "", "time at which it was stored, RFC 3339"),
	}
}

// withPictures reports whether the pictures go along.
func (r Records) withPictures() bool {
	total := 0
	for _, p := range r.Photos {
		total += p.Bytes
	}
	return r.Picture != nil && total <= MostPhotoBytes
}

func photoFile(p study.KeptPhoto) string { return "photos/" + p.ID.String() + ".jpg" }

func (r Records) photoRows() [][]string {
	with := r.withPictures()
	rows := make([][]string, len(r.Photos))
	for i, p := range r.Photos {
		file := ""
		if with {
			file = photoFile(p)
		}
		rows[i] = []string{p.Vehicle, p.Patch, p.Day.String(), string(p.Stage), file, strconv.Itoa(p.WidthPx), strconv.Itoa(p.HeightPx),
			strconv.Itoa(p.Bytes), hex.EncodeToString(p.SHA256[:]), p.By, moment(p.Taken)}
	}
	return rows
}

// writePictures puts the pictures into the zip, as they are.
func (r Records) writePictures(ctx context.Context, out *zip.Writer) error {
	if !r.withPictures() {
		return nil
	}
	for _, p := range r.Photos {
		picture, err := r.Picture(ctx, p)
		if err != nil {
			return fmt.Errorf("photo %s: %w", p.ID, err)
		}
		member, err := out.CreateHeader(&zip.FileHeader{Name: photoFile(p), Method: zip.Store})
		if err != nil {
			return err
		}
		if _, err := member.Write(picture); err != nil {
			return err
		}
	}
	return nil
}

// photoWords say of the photos what the reader of a zip must know.
func (r Records) photoWords() string {
	switch {
	case r.Photos == nil:
		return ""
	case r.withPictures():
		return fmt.Sprintf("photos           %d pictures; the table photos says of what, with a hash of each\n", len(r.Photos))
	}
	return fmt.Sprintf("photos           the table lists %d; the pictures themselves aren't in this zip\n", len(r.Photos))
}
