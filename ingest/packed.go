package ingest

import (
	"archive/zip"
	"context"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"beadspan/study"
)

// What a packed log may measure. Sizes inside are counted as they are
// unpacked; what the archive says of itself is not believed.
const (
	MaxPackedBytes = 64 << 20 // the zip or workbook itself
	MaxMembers     = 1000     // files inside
)

// openPacked opens a zip or an XLSX workbook, which is a zip too.
func openPacked(ctx context.Context, file io.ReaderAt, size int64) (*source, error) {
	if size > MaxPackedBytes {
		return nil, fmt.Errorf("it is larger than %d MB: split the log by year", MaxPackedBytes>>20)
	}
	if err := checkMagic(file); err != nil {
		return nil, err
	}
	archive, err := zip.NewReader(file, size)
	if err != nil {
		return nil, fmt.Errorf("%w; as a zip it is damaged: %w", errNoLog, err)
	}
	if len(archive.File) > MaxMembers {
		return nil, fmt.Errorf("it holds %d files: expected no more than %d", len(archive.File), MaxMembers)
	}
	for _, member := range archive.File {
		if err := checkMember(member); err != nil {
			return nil, err
		}
	}
	if isWorkbook(archive) {
		return openWorkbook(ctx, file, size, archive)
	}
	if _, err := archive.Open("content.xml"); err == nil {
		return nil, errors.New("it is an OpenDocument workbook: save it as XLSX or as CSV files")
	}
	return openZip(archive)
}

func checkMagic(file io.ReaderAt) error {
	magic := make([]byte, 4)
	if _, err := file.ReadAt(magic, 0); err != nil {
		return errNoLog // shorter than any
	}
	switch string(magic) {
	case "PK\x03\x04", "PK\x05\x06": // the second is an empty zip
		return nil
	case "\xD0\xCF\x11\xE0":
		return errors.New("it is an old XLS workbook or one with a password: save it as XLSX without a password")
	}
	return errNoLog
}

func checkMember(member *zip.File) error {
	name := strings.ReplaceAll(member.Name, `\`, "/")
	if path.IsAbs(name) || strings.Contains("/"+name+"/", "/../") || strings.Contains(name, ":") {
		return fmt.Errorf("it holds a file named %q, which points outside it: pack the log anew", study.Shortened(member.Name))
	}
	const encrypted = 1 // APPNOTE.TXT 4.4.4, general purpose bit 0
	if member.Flags&encrypted != 0 {
		return fmt.Errorf("%s in it is encrypted: pack the log without a password", study.Shortened(member.Name))
	}
	return nil
}

// openZip looks for tables in the zip, at its top or in one folder.
func openZip(archive *zip.Reader) (*source, error) {
	src := newSource(".csv")
	for _, member := range archive.File {
		name := strings.ReplaceAll(member.Name, `\`, "/")
		if member.FileInfo().IsDir() || !isCSV(name) || strings.HasPrefix(name, "__MACOSX/") {
			continue
		}
		if strings.Count(name, "/") > 1 {
			return nil, fmt.Errorf("%s lies too deep in it: expected the tables at the top or in one folder", study.Shortened(name))
		}
		src.addCSV(name, int64(min(member.UncompressedSize64, MaxTableBytes)), member.Open)
	}
	return src, nil
}
