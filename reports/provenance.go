package reports

import (
	"fmt"
	"strings"
	"time"

	"beadspan/study"
)

// Provenance is what is known of a report's data beside the data: how they are
// kept, and what was changed of them and of the study's rules.
type Provenance struct {
	Schema     string // names the last change of the database's tables
	DataSHA256 string // of the records' files in the bundle; see DataFiles
	Changes    []study.StudyChange
	Amendments []study.Amendment
}

// DataFiles are the files of the bundle's folder csv whose bytes, one file after
// the other in this order, Provenance.DataSHA256 is the SHA-256 of.
func DataFiles() []string {
	return []string{"coatings.csv", "sites.csv", "vehicles.csv", "patches.csv", "checkups.csv", "care.csv"}
}

// historySection tells by which rules patches were judged, and what was changed.
func (r *Report) historySection() Section {
	s := Section{Name: "protocol", Heading: "The protocol and its history"}
	s.Head("When a patch counts as spent")
	s.List(protocolWords(r.Study.Protocol)...)
	s.Head("What was changed of the rules")
	changes := changeTable(r.Options.Provenance.Changes)
	if len(changes.Rows) == 0 {
		s.Say("Nothing: the rules are those that the study was set up with.")
	} else {
		s.Say("All figures of this report follow the rules as they are now, whenever a reading was taken.")
	}
	s.Show(changes)
	s.Head("What was corrected of the records")
	s.Show(amendmentTable(r.Options.Provenance.Amendments))
	s.Explain("A record that was loaded again with other values is proposed as a correction, and changes nothing until somebody accepts it. What it said before is kept.")
	return s
}

// mostChanges bounds the fields in the table of changes.
const mostChanges = 200

func changeTable(changes []study.StudyChange) Table {
	t := Table{Caption: "Changes of the study’s rules", Head: []string{"Day", "What", "Before", "After", "Why"}}
	for _, change := range changes {
		for _, c := range change.Changes {
			t.add(change.At.UTC().Format(time.DateOnly), ruleWords(c.Field), orNone(c.Before), orNone(c.After), orNone(change.Why))
		}
	}
	if n := len(t.Rows); n > mostChanges {
		t.Rows = t.Rows[n-mostChanges:]
		t.Caption += fmt.Sprintf(": the latest %d of %s", mostChanges, number(n))
	}
	return t
}

// ruleWords is the name of a rule without what only programs need in it.
func ruleWords(field string) string { return strings.ReplaceAll(field, "_", " ") }

func orNone(text string) string {
	if text == "" {
		return "–"
	}
	return text
}

// countAmendments counts corrections by what became of them.
func countAmendments(amendments []study.Amendment) []amendedRecord {
	var counts []amendedRecord
	for _, state := range study.AmendmentStates() {
		c := amendedRecord{State: state}
		for _, a := range amendments {
			if a.State == state {
				c.Number++
				c.Fields += len(a.Changes)
			}
		}
		counts = append(counts, c)
	}
	return counts
}

func amendmentTable(amendments []study.Amendment) Table {
	t := Table{Caption: "Corrections of records", Head: []string{"State", "Corrections", "Fields"}}
	for _, c := range countAmendments(amendments) {
		t.add(string(c.State), number(c.Number), number(c.Fields))
	}
	return t
}
