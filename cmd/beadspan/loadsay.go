package main

import (
	"fmt"
	"io"
	"strings"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/study/store"
)

func (c loadCommand) say(out io.Writer, st study.Study, loaded store.Loaded, told told) error {
	if c.JSON {
		return writeJSON(out, struct {
			Study    string               `json:"study"`
			DryRun   bool                 `json:"dry_run"`
			Loaded   store.Loaded         `json:"loaded"`
			Notices  []string             `json:"notices"`
			Warnings ingest.WarningGroups `json:"warnings"`
		}{st.Code, c.DryRun, loaded, append([]string{}, told.notices...), append(ingest.WarningGroups{}, told.warnings...)}) // none is []
	}
	verb := "stored"
	if c.DryRun {
		verb = "would store"
	}
	fmt.Fprintf(out, "study %s: %s %s\n", st.Code, verb, sizeWords(loaded.Added))
	if loaded.Unchanged != (study.Size{}) {
		fmt.Fprintf(out, "already there, unchanged: %s\n", sizeWords(loaded.Unchanged))
	}
	if loaded.Proposed > 0 {
		fmt.Fprintf(out, "%s otherwise than what is stored: kept as proposed amendments, nothing overwritten. See 'beadspan amend list'\n",
			saying(loaded.Proposed))
	}
	if loaded.ProposedBefore > 0 {
		fmt.Fprintf(out, "%s otherwise than what is stored, as an earlier load did\n", saying(loaded.ProposedBefore))
	}
	return nil
}

func sizeWords(n study.Size) string {
	var words []string
	for _, part := range []struct {
		n         int
		one, many string
	}{
		{n.Coatings, "coating", "coatings"}, {n.Sites, "site", "sites"}, {n.Shops, "shop", "shops"}, {n.People, "operator", "operators"},
		{n.Vehicles, "vehicle", "vehicles"}, {n.Patches, "patch", "patches"}, {n.Checkups, "checkup", "checkups"},
		{n.Readings, "reading", "readings"}, {n.Care, "care record", "care records"},
	} {
		switch {
		case part.n == 1:
			words = append(words, "1 "+part.one)
		case part.n > 1:
			words = append(words, fmt.Sprintf("%d %s", part.n, part.many))
		}
	}
	if len(words) == 0 {
		return "nothing new"
	}
	return strings.Join(words, ", ")
}

func saying(records int) string {
	if records == 1 {
		return "1 record says"
	}
	return fmt.Sprintf("%d records say", records)
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}
