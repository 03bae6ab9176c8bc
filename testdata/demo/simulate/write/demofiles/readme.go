package demofiles

import (
	"bytes"
	_ "embed"
	"os"
	"text/template"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

//go:embed readme.md.tmpl
var readmeText string

// writeReadme writes what a reader of the demo's files should know.
func writeReadme(name string, seed uint64, demo simulate.Demo) error {
	page, err := template.New("README.md").Parse(readmeText)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	err = page.Execute(&out, struct {
		Seed         uint64
		Size         study.Size
		Awkward      []simulate.Awkward
		TruthPatches int
	}{seed, demo.Fleet.Size(), demo.Awkward, simulate.TruthPatches})
	if err != nil {
		return err
	}
	return os.WriteFile(name, out.Bytes(), 0o644)
}
