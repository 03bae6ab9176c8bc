package reports

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/testdata/demo/simulate"
)

// letterDay is the day of the letters in tests: a few months before the demo's
// records end.
var letterDay = study.DayOf(2026, 4, 1)

// demoLetters are those of the demo's simulated fleet, with whatever vehicles
// are added.
func demoLetters(t testing.TB, more ...study.Vehicle) *Letters {
	fleet := simulate.Fleet(1)
	for _, v := range more {
		v.SiteID = fleet.Sites[0].ID
		for i := range v.Patches {
			v.Patches[i].CoatingID = fleet.Coatings[1].ID
		}
		fleet.Vehicles = append(fleet.Vehicles, v)
	}
	letters, err := NewLetters(fleet, LetterOptions{
		Study: study.Study{ID: study.NewID(), Code: "demo", Protocol: study.DefaultProtocol(), CarePlan: study.DefaultCarePlan()},
		On:    letterDay, Salt: func(study.Site) study.SaltSeason { return study.SaltSeason{0: true, 11: true} },
		Level: 0.95, BootstrapReplicates: 99, Seed: 1, Version: "test",
	})
	require.NoError(t, err)
	return letters
}

func pdfOf(t testing.TB, letters *Letters, vehicle string, look LetterLook) []byte {
	letter, err := letters.Of(context.Background(), vehicle)
	require.NoError(t, err)
	var buf bytes.Buffer
	require.NoError(t, letter.WritePDF(&buf, look))
	return buf.Bytes()
}

// pdfText reads a PDF by a program that isn't ours, line by line across the page.
func pdfText(t testing.TB, pdf []byte) string { return pdfTextBy(t, pdf, "-layout") }

// inColumns reads a PDF in the order in which it was written.
func inColumns(t testing.TB, pdf []byte) string { return pdfTextBy(t, pdf, "-raw") }

func pdfTextBy(t testing.TB, pdf []byte, order string) string {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine (apt-get install poppler-utils): the letter's text is not read back")
	}
	file := filepath.Join(t.TempDir(), "letter.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	text, err := exec.Command("pdftotext", "-enc", "UTF-8", order, file, "-").Output()
	require.NoError(t, err)
	return string(text)
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

// TestLetterIsReproducible: the same records are the same bytes, also in a letter
// made among others.
func TestLetterIsReproducible(t *testing.T) {
	look := LetterLook{Language: English, Paper: A4, Shop: "Harbour Coating Shop"}
	alone := pdfOf(t, demoLetters(t), "Q020", look)
	letters := demoLetters(t)
	pdfOf(t, letters, "Q002", look)
	assert.Equal(t, alone, pdfOf(t, letters, "Q020", look))
	assert.NotEqual(t, alone, pdfOf(t, letters, "Q002", look))
}

func TestLetterOfNobody(t *testing.T) {
	letters := demoLetters(t)
	_, err := letters.Of(context.Background(), "Q999")
	assert.ErrorIs(t, err, study.ErrNotFound)
}
