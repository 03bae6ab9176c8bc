package ingest

import (
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"beadspan/study"
)

// source is an opened log: where each of its tables can be read.
type source struct {
	tables   map[string]tableFile
	others   []string // CSV files or sheets under names that are no table's
	suffix   string   // what a table's name ends in: ".csv", or nothing for a sheet
	epoch    epoch
	problems problemList
	close    func()
}

// tableFile is a file or sheet that holds a table.
type tableFile struct {
	name string // for people
	size int64  // in bytes, about
	// open reads it into memory. The error is a refusal if the fault is the
	// file's.
	open func() (grid, error)
}

func newSource(suffix string) *source {
	return &source{tables: map[string]tableFile{}, suffix: suffix, close: func() {}}
}

// openFolder looks for tables among the files of a folder.
func openFolder(fsys fs.FS) (*source, error) {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return nil, err
	}
	src := newSource(".csv")
	for _, e := range entries {
		if e.IsDir() || !isCSV(e.Name()) {
			continue
		}
		info, err := fs.Stat(fsys, e.Name()) // through links
		if err != nil {
			return nil, err
		}
		if !info.Mode().IsRegular() {
			continue
		}
		src.addCSV(e.Name(), info.Size(), func() (io.ReadCloser, error) { return fsys.Open(e.Name()) })
	}
	return src, nil
}

// isCSV leaves out the hidden files that some systems put beside each file.
func isCSV(name string) bool {
	base := path.Base(name)
	return strings.EqualFold(path.Ext(base), ".csv") && !strings.HasPrefix(base, ".")
}

func (s *source) addCSV(name string, size int64, open func() (io.ReadCloser, error)) {
	s.add(path.Base(name[:len(name)-len(".csv")]), tableFile{
		name: name,
		size: size,
		open: func() (grid, error) {
			file, err := open()
			if err != nil {
				return nil, err
			}
			defer file.Close()
			text, err := readCSV(file, size)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", name, err)
			}
			return text, nil
		},
	})
}

// add files a table under its name, or among the others.
func (s *source) add(name string, file tableFile) {
	table := folded(name)
	first, twice := s.tables[table]
	switch {
	case !slices.Contains(Tables(), table):
		s.others = append(s.others, file.name)
	case twice:
		s.problems.add(study.Problem{File: file.name, Want: fmt.Sprintf("this table is there twice, see %s: expected it once", first.name)})
	default:
		s.tables[table] = file
	}
}

// missing says what is wrong with a log that lacks the table; nothing is if
// it may be absent, unless it seems to be there under a wrong name.
func (s *source) missing(table string, mayBe bool) string {
	near, found := nearest(table+s.suffix, s.others)
	switch {
	case found:
		return fmt.Sprintf("this table is missing; did you mean it by %q?", near)
	case mayBe:
		return ""
	}
	return "this table is missing: a log needs coatings, sites, vehicles and patches"
}
