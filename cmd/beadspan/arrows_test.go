package main

import (
	"os/exec"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// arrows lists what each package may import of the project, beside what stands
// under the same entry. The most specific entry counts for a package.
var arrows = map[string][]string{
	"stats":                        {},
	"migrations":                   {},
	"study":                        {},
	"study/climate":                {"study"},
	"study/exposure":               {"study", "study/climate"},
	"study/store":                  {"study", "study/climate"},
	"study/store/localpg":          {},
	"study/store/storetest":        {"study/store", "study/store/localpg", "migrations"},
	"ingest":                       {"study"},
	"reports":                      {"study", "study/climate", "study/exposure", "stats"},
	"testdata":                     {},
	"testdata/demo/simulate":       {"study"},
	"testdata/demo/simulate/write": {"study", "ingest", "testdata/demo/simulate"},
	"cmd/beadspan": {"study", "study/climate", "study/exposure", "study/store", "study/store/localpg",
		"stats", "ingest", "reports", "migrations", "testdata"},
}

// TestArrows holds the project to one direction: ingest → study ← reports →
// stats, and stats knows nobody.
func TestArrows(t *testing.T) {
	list := exec.Command("go", "list", "-f", `{{.ImportPath}} {{join .Imports " "}}`,
		"beadspan/...", "beadspan/testdata", "beadspan/testdata/demo/simulate", "beadspan/testdata/demo/simulate/write")
	out, err := list.CombinedOutput()
	require.NoError(t, err, string(out))
	for line := range strings.Lines(string(out)) {
		path, imports, _ := strings.Cut(strings.TrimSpace(line), " ")
		from := strings.TrimPrefix(path, "beadspan/")
		rule := arrowRule(from)
		if !assert.NotEmpty(t, rule, "no arrow is drawn for %s", from) {
			continue
		}
		for imported := range strings.FieldsSeq(imports) {
			to, ours := strings.CutPrefix(imported, "beadspan/")
			if ours && arrowRule(to) != rule && !slices.Contains(arrows[rule], arrowRule(to)) {
				t.Errorf("%s imports %s: it may import %v of ours", from, to, arrows[rule])
			}
		}
	}
}

// arrowRule finds the most specific entry of arrows for a package.
func arrowRule(pkg string) string {
	rule := ""
	for r := range arrows {
		if (pkg == r || strings.HasPrefix(pkg, r+"/")) && len(r) > len(rule) {
			rule = r
		}
	}
	return rule
}
