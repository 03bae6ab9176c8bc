package check

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"
)

// Case is one reference case: data with the numbers that other software or a
// book found in them.
type Case struct {
	ID     string // topic/name
	Data   Table  // empty where each check carries its own input
	Checks []Check
}

// Check is one analysis of a case's data.
type Check struct {
	ID        string          `json:"id"`
	Method    string          `json:"method"`
	Inputs    json.RawMessage `json:"inputs"`
	Expected  json.RawMessage `json:"expected"`
	Tolerance *Tolerance      `json:"tolerance"` // never nil once read: the case's default fills it
	Advisory  bool            `json:"advisory"`  // records what a program does; not a requirement
}

// Cases reads every case of a topic, a folder of testdata/reference, in the
// order of their names. It stops the test if there are none or if one is not
// of schema reference-case/1.
func Cases(t testing.TB, topic string) []Case {
	t.Helper()
	folder := filepath.Join(moduleRoot(t), "testdata", "reference", topic)
	paths, err := filepath.Glob(filepath.Join(folder, "*.json"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("reference cases of %q: none in %s (%v)", topic, folder, err)
	}
	cases := make([]Case, len(paths))
	for i, path := range paths {
		cases[i] = readCase(t, path)
	}
	return cases
}

// Decode reads the inputs or the expected numbers of a check into a T. Fields
// that T does not name are passed over.
func Decode[T any](t testing.TB, text json.RawMessage) T {
	t.Helper()
	var v T
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("reference case: decode %T: %v", v, err)
	}
	return v
}

func readCase(t testing.TB, path string) Case {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("reference case: %v", err)
	}
	var file struct {
		Schema string `json:"schema"`
		ID     string `json:"id"`
		Data   *struct {
			File string `json:"file"`
			Rows int    `json:"rows"`
		} `json:"data"`
		Tolerance Tolerance `json:"default_tolerance"`
		Checks    []Check   `json:"checks"`
	}
	if err := json.Unmarshal(text, &file); err != nil {
		t.Fatalf("reference case %s: %v", path, err)
	}
	if file.Schema != "reference-case/1" {
		t.Fatalf("reference case %s: schema %q, want reference-case/1", path, file.Schema)
	}
	c := Case{ID: file.ID, Checks: file.Checks}
	for i := range c.Checks {
		if c.Checks[i].Tolerance == nil {
			c.Checks[i].Tolerance = &file.Tolerance
		}
	}
	if file.Data != nil {
		c.Data = readTable(t, filepath.Join(filepath.Dir(path), file.Data.File))
		if got := c.Data.Len(); got != file.Data.Rows {
			t.Fatalf("reference case %s: %d rows of data, want %d", path, got, file.Data.Rows)
		}
	}
	return c
}

// moduleRoot is the nearest folder with a go.mod, from the package under test
// upwards: go test runs in the package's folder.
func moduleRoot(t testing.TB) string {
	t.Helper()
	folder, err := os.Getwd()
	if err != nil {
		t.Fatalf("find the module's root: %v", err)
	}
	for {
		if _, err := os.Stat(filepath.Join(folder, "go.mod")); err == nil {
			return folder
		}
		parent := filepath.Dir(folder)
		if parent == folder {
			t.Fatal("find the module's root: no go.mod above the test")
		}
		folder = parent
	}
}
