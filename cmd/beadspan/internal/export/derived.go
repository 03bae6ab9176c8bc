package export

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"beadspan/ingest"
)

// derivedTables names the tables that aren't part of a log.
func (r Records) derivedTables() []string {
	names := []string{"spans", "amendments", "rule_changes"}
	if r.Photos != nil {
		names = append(names, "photos")
	}
	return names
}

// derivedColumns describes their columns.
func derivedColumns() []ingest.Column {
	column := func(table, name string, kind ingest.Kind, unit, meaning string) ingest.Column {
		return ingest.Column{Table: table, Name: name, Kind: kind, Unit: unit, Meaning: meaning}
	}
	return append(photoColumns(),
		column("spans", "vehicle", ingest.Text, "", "code of the vehicle"),
		column("spans", "patch", ingest.Text, "", "code of the patch on it"),
		column("spans", "coating", ingest.Text, "", "code of the coating"),
		column("spans", "climate", ingest.Text, "", "Köppen-Geiger class of the vehicle's site"),
		column("spans", "standing", ingest.Word, "", "what is known of the patch: holding, doubtful, spent, ended or unread"),
		column("spans", "in_service", ingest.Date, "", "day on which service began"),
		column("spans", "entry_days", ingest.Number, "days", "from when on the patch was followed, counted from in_service; blank where nothing is known of its life"),
		column("spans", "lower_days", ingest.Number, "days", "last proof that it held; its life ended after this and no later than upper_days"),
		column("spans", "upper_days", ingest.Number, "days", "first counted fail; blank while there is none"),
		column("spans", "ended", ingest.Word, "", "care that ended the following of the patch; blank where nothing did"),
		column("spans", "ended_on", ingest.Date, "", "day of that care"),
		column("amendments", "record", ingest.Text, "", "the record in words, as it was called then"),
		column("amendments", "field", ingest.Text, "", "field that the correction is about"),
		column("amendments", "before", ingest.Text, "", "what the record said"),
		column("amendments", "after", ingest.Text, "", "what it is to say"),
		column("amendments", "state", ingest.Word, "", "proposed, accepted or declined"),
		column("amendments", "proposed_at", ingest.Text, "", "time of the proposal, RFC 3339"),
		column("amendments", "decided_at", ingest.Text, "", "time of the decision"),
		column("amendments", "decided_by", ingest.Text, "", "code of the person who decided"),
		column("amendments", "why", ingest.Text, "", "the reason given"),
		column("rule_changes", "at", ingest.Text, "", "time of the change, RFC 3339"),
		column("rule_changes", "why", ingest.Text, "", "the reason given"),
		column("rule_changes", "field", ingest.Text, "", "what was changed of the study's protocol or care plan"),
		column("rule_changes", "before", ingest.Text, "", "what it was"),
		column("rule_changes", "after", ingest.Text, "", "what it became"),
	)
}

// writeDerived writes the tables that aren't part of a log.
func (r Records) writeDerived(dir string) error {
	var photos error
	if r.Photos != nil {
		photos = writeRows(dir, "photos", r.photoRows())
	}
	return errors.Join(photos,
		writeRows(dir, "spans", r.spanRows()),
		writeRows(dir, "amendments", r.amendmentRows()),
		writeRows(dir, "rule_changes", r.changeRows()),
	)
}

func writeRows(dir, name string, rows [][]string) (err error) {
	file, err := os.Create(filepath.Join(dir, name+".csv"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	var head []string
	for _, c := range derivedColumns() {
		if c.Table == name {
			head = append(head, c.Name)
		}
	}
	return csv.NewWriter(file).WriteAll(append([][]string{head}, rows...))
}

func (r Records) spanRows() [][]string {
	var rows [][]string
	for _, f := range r.Fleet.Follow(r.Study.Protocol) {
		s := f.Span
		row := []string{f.Vehicle.Code, f.Patch.Code, f.Coating.Code, f.Site.Koppen, string(s.Standing), f.Patch.InService().String(), "", "", "", string(s.Ended), ""}
		if s.Known {
			row[6], row[7] = days(s.EntryDays), days(s.LowerDays)
			if !math.IsInf(s.UpperDays, 1) {
				row[8] = days(s.UpperDays)
			}
		}
		if s.Ended != "" {
			row[10] = s.EndedOn.String()
		}
		rows = append(rows, row)
	}
	return rows
}

func (r Records) amendmentRows() [][]string {
	var rows [][]string
	for _, a := range r.Amendments {
		decided := ""
		if a.DecidedAt != nil {
			decided = moment(*a.DecidedAt)
		}
		for _, c := range a.Changes {
			rows = append(rows, []string{a.Record, c.Field, c.Before, c.After, string(a.State), moment(a.ProposedAt), decided, a.DecidedBy, a.DecidedWhy})
		}
	}
	return rows
}

func (r Records) changeRows() [][]string {
	var rows [][]string
	for _, change := range r.Changes {
		for _, c := range change.Changes {
			rows = append(rows, []string{moment(change.At), change.Why, c.Field, c.Before, c.After})
		}
	}
	return rows
}

func moment(at time.Time) string { return at.UTC().Format(time.RFC3339) }

func days(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
