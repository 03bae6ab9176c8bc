package main

import (
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/reports"
	"beadspan/study/store/storetest"
)

// The README's one vehicle gets its letter: too little is known of others, and
// the letter says so.
func TestLetter(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	read := func(dir, name string) []byte {
		content, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		return content
	}
	once, again := t.TempDir(), filepath.Join(t.TempDir(), "made", "when", "missing")
	said := must(t, "letter", "V-001", "--on", "2026-06-04", "--web", "--shop", "Harbour Coating Shop", "--out", once, url)
	assert.Equal(t, "wrote "+filepath.Join(once, "letter-V-001.pdf")+"\n", said)
	said = must(t, "letter", "--due", "--on", "2026-06-04", "--web", "--shop", "Harbour Coating Shop", "--out", again, url)
	assert.Contains(t, said, "letter-V-001.pdf")
	for _, name := range []string{"letter-V-001.pdf", "letter-V-001.html"} {
		assert.Equal(t, read(once, name), read(again, name), "the same records and day are the same bytes")
	}
	page := string(read(once, "letter-V-001.html"))
	assert.Contains(t, page, "That is too little to say how long it lasts.")
	assert.Contains(t, page, "Now: gentle wash")

	assert.Contains(t, must(t, "letter", "--due", "--on", "2026-06-03", "--out", once, url), "nothing is due on 2026-06-03")
}

func TestLetterRefuses(t *testing.T) {
	url := "--database-url=" + storetest.Bare(t)
	must(t, "load", smallLog(t), url)
	drawing := filepath.Join(t.TempDir(), "logo.svg")
	require.NoError(t, os.WriteFile(drawing, []byte("<svg/>"), 0o600))
	for words, args := range map[string][]string{
		`name one vehicle, or say --due`: {},
		`name one vehicle`:               {"V-001", "--due"},
		`no vehicle "V-002" on that day`: {"V-002"},
		`no vehicle "V-001" on that day`: {"V-001", "--on", "1999-01-01"},
		`is not a date like`:             {"V-001", "--on", "today"},
		`must be one of "en","de","fr"`:  {"V-001", "--language", "it"},
		`save a drawing such as SVG`:     {"V-001", "--logo", drawing},
		`confidence level 2`:             {"V-001", "--level", "2"},
	} {
		r := beadspan(t, append([]string{"letter", url, "--out", t.TempDir()}, args...)...)
		assert.Equal(t, exitUsage, r.code, args)
		assert.Contains(t, r.err, words)
	}
}

// The command and the pages write the same letters.
func TestLetterDefaults(t *testing.T) {
	replicates, has := reflect.TypeFor[letterCommand]().FieldByName("Replicates")
	require.True(t, has)
	assert.Equal(t, strconv.Itoa(reports.LetterReplicates), replicates.Tag.Get("default"))
}
