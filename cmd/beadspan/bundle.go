package main

import (
	"archive/zip"
	"context"
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

// bundleFile is a file of the bundle.
type bundleFile struct {
	name  string
	write func(io.Writer) error
}

// writeBundle writes a zip with the data, the results, and how to get from one to
// the other. Its files bear the report's day, so that the same report is the same
// bytes.
func (r *fullReport) writeBundle(ctx context.Context, w io.Writer) error {
	files, err := r.bundleFiles()
	if err != nil {
		return fmt.Errorf("bundle: %w", err)
	}
	out := zip.NewWriter(w)
	for _, file := range files {
		if err := ctx.Err(); err != nil {
			return err
		}
		header := &zip.FileHeader{Name: file.name, Method: zip.Deflate, Modified: r.Options.Made.Time()}
		header.SetMode(0o644)
		if strings.HasSuffix(file.name, ".sh") {
			header.SetMode(0o755)
		}
		member, err := out.CreateHeader(header)
		if err == nil {
			err = file.write(member)
		}
		if err != nil {
			return fmt.Errorf("bundle: %s: %w", file.name, err)
		}
	}
	return out.Close()
}

func (r *fullReport) bundleFiles() ([]bundleFile, error) {
	text := func(words string) func(io.Writer) error {
		return func(w io.Writer) error {
			_, err := io.WriteString(w, words)
			return err
		}
	}
	files := []bundleFile{
		{"README.txt", text(r.bundleReadme())},
		{bundleScript, text(r.bundleCommands())},
		{"data.sha256", r.writeSums},
		{livesFile, r.writeLives},
	}
	kept, err := os.ReadDir(r.folder) // in order of their names
	if err != nil {
		return nil, err
	}
	for _, file := range kept {
		files = append(files, bundleFile{"csv/" + file.Name(), func(w io.Writer) error { return r.copyFile(w, file.Name()) }})
	}
	return append(files, r.results()...), nil
}

// writeSums writes the sums of the files of csv, as sha256sum checks them.
func (r *fullReport) writeSums(w io.Writer) error {
	kept, err := os.ReadDir(r.folder)
	if err != nil {
		return err
	}
	for _, file := range kept {
		sum := sha256.New()
		if err := r.copyFile(sum, file.Name()); err != nil {
			return err
		}
		if _, err := fmt.Fprintf(w, "%x  csv/%s\n", sum.Sum(nil), file.Name()); err != nil {
			return err
		}
	}
	return nil
}

// livesFile holds the lives that count, as the statistics take them.
const livesFile = "lives.csv"

// writeLives writes a row for each coated patch of whose life something is known.
// Vehicles are numbered in the order of the fleet, in which they are resampled.
func (r *fullReport) writeLives(w io.Writer) error {
	rows := [][]string{{"vehicle_no", "vehicle", "patch", "coating", "climate", "entry_days", "lower_days", "upper_days", "visit_day", "spent"}}
	no, last := 0, (*study.Vehicle)(nil)
	for _, f := range r.followed {
		s := f.Span
		if f.Coating.Control || !s.Known {
			continue
		}
		days := func(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
		upper, visit, spent := "", s.LowerDays, "0"
		if !math.IsInf(s.UpperDays, 1) {
			upper, visit, spent = days(s.UpperDays), s.UpperDays, "1"
		}
		if f.Vehicle != last {
			no, last = no+1, f.Vehicle
		}
		rows = append(rows, []string{strconv.Itoa(no), f.Vehicle.Code, f.Patch.Code, reports.OrUnknown(f.Coating.Code), reports.OrUnknown(f.Site.Koppen),
			days(s.EntryDays), days(s.LowerDays), upper, days(visit), spent})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// results are what the report shows, at full precision.
func (r *fullReport) results() []bundleFile {
	files := []bundleFile{
		{"life.json", r.Life.WriteJSON},
		{"life-by-climate.json", r.ByClimate.WriteJSON},
		{"climate.json", func(w io.Writer) error { return writeParts(w, climateParts(r.ClimateLife, r.Clocks, r.JobEffects)) }},
		{"decay.json", r.Decays.WriteJSON},
		{"compare.json", r.compared.WriteJSON},
		{"claim.json", r.claims.WriteJSON},
		{"report.json", r.WriteJSON},
	}
	for i := range files {
		files[i].name = "results/" + files[i].name
	}
	return files
}
