package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"beadspan/cmd/beadspan/internal/export"
	"beadspan/migrations"
	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

// fullReport is a report with all that was worked out beside it, and the data
// that it is of.
type fullReport struct {
	*reports.Report
	records  export.Records
	followed []study.Followed
	compared *reports.FleetComparison
	claims   *reports.Claims
	folder   string // holds the records as CSV
}

// recordsOf reads everything that the store has of a study.
func recordsOf(ctx context.Context, s *store.Store, st study.Study, made study.Day) (export.Records, error) {
	r := export.Records{Study: st, Made: made, Version: version}
	var err error
	if r.Fleet, err = s.Fleet(ctx, st.ID); err != nil {
		return r, err
	}
	if r.Amendments, err = s.Amendments(ctx, st.ID, ""); err != nil {
		return r, err
	}
	r.Changes, err = s.StudyChanges(ctx, st.ID)
	return r, err
}

// newReport works a report out. Whoever gets one closes it.
func (a *app) newReport(ctx context.Context, records export.Records, f estimateFlags) (r *fullReport, err error) {
	r = &fullReport{records: records}
	defer func() {
		if err != nil {
			r.close()
		}
	}()
	provenance, err := r.writeFolder(ctx)
	if err != nil {
		return nil, err
	}
	st := records.Study
	r.followed = r.records.Fleet.Follow(st.Protocol)
	bar := a.progress("estimating")
	defer bar.done()
	if r.Report, err = reports.NewOfFollowed(ctx, st, r.records.Fleet, r.followed, reports.Options{
		Level:               f.Level,
		BootstrapReplicates: f.Replicates,
		Seed:                f.Seed,
		Version:             version,
		Made:                records.Made,
		Provenance:          provenance,
		Progress:            bar.count,
	}); err != nil {
		return nil, asked("report", err)
	}
	if r.compared, err = reports.NewFleetComparison(ctx, r.records.Fleet, st.Protocol, r.comparisonOptions()); err != nil {
		return nil, asked("report", err)
	}
	if r.claims, err = reports.NewClaims(ctx, r.records.Fleet.Coatings, r.followed, reports.ClaimOptions{
		Rule: st.Protocol.Claim, BootstrapReplicates: f.Replicates, Seed: f.Seed, Life: r.Life, ByClimate: r.ByClimate,
	}); err != nil {
		return nil, asked("report", err)
	}
	if len(r.Life.Rows) > 0 {
		r.Further = append(r.Further, r.compared.Section(), r.claims.Section())
	}
	return r, nil
}

// comparisonOptions compares coatings with the report's level and seed, and the
// usual number of replicates.
func (r *fullReport) comparisonOptions() reports.ComparisonOptions {
	o := reports.DefaultComparisonOptions()
	o.Level, o.Seed = r.Options.Level, r.Options.Seed
	return o
}

// writeFolder writes the records as CSV, and tells what is known of them beside.
func (r *fullReport) writeFolder(ctx context.Context) (reports.Provenance, error) {
	var none reports.Provenance
	var err error
	if r.folder, err = os.MkdirTemp("", "beadspan-report-"); err != nil {
		return none, err
	}
	if err := export.WriteFolder(ctx, r.folder, r.records); err != nil {
		return none, err
	}
	sum := sha256.New()
	for _, name := range reports.DataFiles() {
		if err := r.copyFile(sum, name); err != nil {
			return none, err
		}
	}
	return reports.Provenance{
		Schema:     fmt.Sprintf("migration %d", migrations.Version()),
		DataSHA256: hex.EncodeToString(sum.Sum(nil)),
		Changes:    r.records.Changes,
		Amendments: r.records.Amendments,
	}, nil
}

// copyFile writes a file of the records to w, which may be a hash.
func (r *fullReport) copyFile(w io.Writer, name string) error {
	file, err := os.Open(filepath.Join(r.folder, name))
	if err != nil {
		return err
	}
	defer file.Close()
	_, err = io.Copy(w, file)
	return err
}

// close removes what the report kept on disk.
func (r *fullReport) close() {
	if r.folder != "" {
		os.RemoveAll(r.folder)
	}
}
