// Package testdata holds the demo scenario for programs to carry along. The
// reference cases beside it are read from their files by tests.
package testdata

import (
	"embed"
	"io/fs"
)

//go:embed demo/*.csv
var files embed.FS

// Demo returns the files of the demo: the six tables of its log at the root,
// and truth.csv.
func Demo() fs.FS {
	demo, err := fs.Sub(files, "demo")
	if err != nil {
		panic(err) // the folder is compiled in
	}
	return demo
}
