package export

import (
	"archive/zip"
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"beadspan/ingest"
)

// describe writes what the zip holds, and the dictionary of all columns.
func (r Records) describe(out *zip.Writer, tables []table, formats []Format) error {
	readme, err := out.Create("README.txt")
	if err != nil {
		return err
	}
	if _, err := io.WriteString(readme, r.readme(formats)); err != nil {
		return err
	}
	dictionary, err := out.Create("dictionary.csv")
	if err != nil {
		return err
	}
	if err := csv.NewWriter(dictionary).WriteAll(dictionaryRows(tables)); err != nil {
		return err
	}
	schema, err := out.Create("log.schema.json")
	if err != nil {
		return err
	}
	return ingest.WriteColumnsJSON(schema)
}

// dictionaryRows lists every column that the tables have.
func dictionaryRows(tables []table) [][]string {
	rows := [][]string{{"table", "column", "kind", "unit", "required", "allowed", "meaning"}}
	for _, t := range tables {
		for _, c := range t.columns {
			required := ""
			if c.Required {
				required = "yes"
			}
			rows = append(rows, []string{t.name, c.Name, string(c.Kind), c.Unit, required, strings.Join(c.Allowed, " "), c.Meaning})
		}
	}
	return rows
}

func (r Records) readme(formats []Format) string {
	p, size := r.Study.Protocol, r.Fleet.Size()
	named := make([]string, len(formats))
	for i, f := range formats {
		named[i] = string(f)
	}
	return fmt.Sprintf(`Study %s
%s
Exported %s by beadspan %s, as %s.

%d vehicles, %d patches, %d checkups, %d readings, %d care records.
Protocol: metric %s, threshold %g %s, confirm %d, estimand %s; a maker's claim
asks that %g %% of patches outlast its lower end and %g %% its higher, by limits
of %g %% confidence.

dictionary.csv   every column of every table: kind, unit, meaning
log.schema.json  the tables of a log as a JSON Schema
csv              the tables coatings, sites, vehicles, patches, checkups (a row a
                 reading) and care are a log: 'beadspan load' takes the folder
json, parquet,   the same rows, typed. A blank is null
records.xlsx
spans            each patch's life under the protocol, in days: it was spent
                 after lower_days and by upper_days
amendments       corrections of records; rule_changes those of the protocol
%s
A vehicle is a shop's code; no names and no plates are kept here. A durability
figure worked out from these is an estimate, never a warranty.
`, r.Study.Code, r.Study.Question, r.Made, r.Version, strings.Join(named, ", "),
		size.Vehicles, size.Patches, size.Checkups, size.Readings, size.Care,
		p.Metric, p.Threshold, p.Metric.Unit(), p.Confirm, p.Estimand,
		p.Claim.LowPct, p.Claim.HighPct, p.Claim.ConfidencePct, r.photoWords())
}
