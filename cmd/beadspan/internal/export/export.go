// Package export writes everything known of a study's vehicles into one zip: the
// log's tables, each patch's span and what was corrected, in the formats that
// are asked for, with a dictionary of all columns.
//
// The tables under csv are a log, which 'beadspan load' takes back. The other
// formats hold the same rows, typed as the dictionary says.
package export

import (
	"archive/zip"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"beadspan/ingest"
	"beadspan/study"
)

// Records are what is exported.
type Records struct {
	Study      study.Study
	Fleet      study.Fleet
	Amendments []study.Amendment
	Changes    []study.StudyChange // of the study's rules
	// Photos are listed in a table of their own; nil leaves it out. Picture reads
	// one of them; nil leaves the pictures out.
	Photos  []study.KeptPhoto
	Picture func(context.Context, study.KeptPhoto) ([]byte, error)
	Made    study.Day
	Version string // of the program
}

// Format is one way of writing tables.
type Format string

// The formats.
const (
	CSV     Format = "csv"
	XLSX    Format = "xlsx"
	JSON    Format = "json"
	Parquet Format = "parquet"
)

// Formats lists the formats.
func Formats() []Format { return []Format{CSV, XLSX, JSON, Parquet} }

// Write writes a zip with the records in the formats, working in the empty
// folder dir. It ends when ctx does.
func Write(ctx context.Context, w io.Writer, r Records, dir string, formats []Format) error {
	if err := write(ctx, w, r, dir, formats); err != nil {
		return fmt.Errorf("export study %s: %w", r.Study.Code, err)
	}
	return nil
}

func write(ctx context.Context, w io.Writer, r Records, dir string, formats []Format) error {
	tables, err := r.writeTables(dir)
	if err != nil {
		return err
	}
	out := zip.NewWriter(w)
	if err := r.describe(out, tables, formats); err != nil {
		return err
	}
	for _, format := range Formats() {
		if !slices.Contains(formats, format) {
			continue
		}
		if err := writers[format](ctx, out, tables); err != nil {
			return fmt.Errorf("%s: %w", format, err)
		}
	}
	if err := r.writePictures(ctx, out); err != nil {
		return err
	}
	return out.Close()
}

// writeTables writes all tables as CSV into the folder.
func (r Records) writeTables(dir string) ([]table, error) {
	if err := ingest.WriteLog(dir, r.Fleet); err != nil {
		return nil, err
	}
	if err := r.writeDerived(dir); err != nil {
		return nil, err
	}
	return openTables(dir, r.derivedTables())
}

// writers write all tables in one format.
var writers = map[Format]func(context.Context, *zip.Writer, []table) error{
	CSV: writeCSV, XLSX: writeXLSX, JSON: writeJSON, Parquet: writeParquet,
}

// writeCSV copies the tables as they are.
func writeCSV(ctx context.Context, out *zip.Writer, tables []table) error {
	for _, t := range tables {
		if err := ctx.Err(); err != nil {
			return err
		}
		member, err := out.Create("csv/" + t.name + ".csv")
		if err != nil {
			return err
		}
		if err := copyFile(member, t.file); err != nil {
			return err
		}
	}
	return nil
}

func copyFile(to io.Writer, name string) error {
	file, err := os.Open(filepath.Clean(name))
	if err != nil {
		return err
	}
	defer file.Close()
	_, err = io.Copy(to, file)
	return err
}
