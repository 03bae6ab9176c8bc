package reports

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"bytes"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
)

// overlong is a vehicle whose names are as long and as strange as they may be.
func overlong() study.Vehicle {
	v := study.Vehicle{ID: study.NewID(), Code: strings.Repeat("W", 60), Enrolled: letterDay - 400, Garage: study.Outdoors}
	for i := range 14 {
		v.Patches = append(v.Patches, study.Patch{
			ID: study.NewID(), Code: fmt.Sprintf("P%d", i), Orientation: study.Vertical, Substrate: study.Film, Applied: letterDay - 400,
			Panel: strings.Repeat("Kotflügelverbreiterung", 4) + " äé ß œ ≥ ² µ θ ° 漢 🚗",
		})
	}
	return v
}

func TestLetterFitsItsPage(t *testing.T) {
	logo := image.NewNRGBA(image.Rect(0, 0, 600, 90))
	for i := range logo.Pix {
		logo.Pix[i] = 0x80
	}
	letters := demoLetters(t, overlong())
	letter, err := letters.Of(context.Background(), overlong().Code)
	require.NoError(t, err)
	for _, paper := range Papers() {
		for _, language := range []Language{English} {
			var buf bytes.Buffer
			look := LetterLook{Language: language, Paper: paper, Shop: strings.Repeat("Spiegelglanzwerkstatt ", 12), Logo: logo}
			require.NoError(t, letter.WritePDF(&buf, look))
			assert.Equal(t, 1, bytes.Count(buf.Bytes(), []byte("/Type /Page\n")), "pages")
			boxed(t, buf.Bytes(), paper)
		}
	}
}

// boxed checks by a program that isn't ours that all words stand within the
// margins of the page.
func boxed(t *testing.T, pdf []byte, paper Paper) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext on this machine (apt-get install poppler-utils): where words stand is not checked")
	}
	file := filepath.Join(t.TempDir(), "letter.pdf")
	require.NoError(t, os.WriteFile(file, pdf, 0o600))
	boxes, err := exec.Command("pdftotext", "-bbox", file, "-").Output()
	require.NoError(t, err)
	size := map[Paper][2]float64{A4: {595.28, 841.89}, USLetter: {612, 792}}[paper] // ISO 216; ANSI/ASME Y14.1
	words := regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">`).FindAllStringSubmatch(string(boxes), -1)
	require.Greater(t, len(words), 100)
	for _, word := range words {
		var x0, y0, x1, y1 float64
		_, err := fmt.Sscan(strings.Join(word[1:], " "), &x0, &y0, &x1, &y1)
		require.NoError(t, err)
		within := x0 >= 36 && y0 >= 30 && x1 <= size[0]-36 && y1 <= size[1]-30
		assert.True(t, within, "%v on %v", word[0], size)
	}
}

// TestLetterFontsHoldSymbols: what German, French and the field need is in the
// fonts that the file brings along.
func TestLetterFontsHoldSymbols(t *testing.T) {
	v := overlong()
	v.Code, v.Patches = "LONG", v.Patches[:1]
	v.Patches[0].Panel = "Tür θ 90° ≥ m² µm é œ ß – “x”"
	pdf := pdfOf(t, demoLetters(t, v), "LONG", LetterLook{Language: English, Paper: A4})
	assert.Contains(t, oneLine(pdfText(t, pdf)), v.Patches[0].Panel)
	assert.Equal(t, 2, bytes.Count(pdf, []byte("/FontFile2")), "both fonts are embedded")
}

func TestReadLogo(t *testing.T) {
	var buf bytes.Buffer
	gray := image.NewGray16(image.Rect(0, 0, 40, 20)) // sixteen bits, which PDF's readers don't all know
	gray.Set(3, 3, color.White)
	require.NoError(t, png.Encode(&buf, gray))
	logo, err := ReadLogo(&buf)
	require.NoError(t, err)
	assert.Equal(t, image.Point{40, 20}, logo.Bounds().Size())
	pdfOf(t, demoLetters(t), "Q020", LetterLook{Language: English, Paper: A4, Logo: logo})

	// A large one is made as small as it is printed: 600 points of its own across
	// 120 of 1/72 inch are 360 to the inch.
	for size, want := range map[image.Point]image.Point{{3000, 1000}: {600, 200}, {400, 2300}: {40, 230}, {4 << 20, 1}: {600, 1}, {600, 230}: {600, 230}} {
		buf.Reset()
		require.NoError(t, png.Encode(&buf, image.NewGray(image.Rectangle{Max: size})))
		logo, err := ReadLogo(&buf)
		require.NoError(t, err)
		assert.Equal(t, want, logo.Bounds().Size())
	}

	for words, content := range map[string]string{
		"no PNG or JPEG": `<svg xmlns="http://www.w3.org/2000/svg"/>`,
		"2 MB":           strings.Repeat("x", mostLogoBytes+1),
	} {
		_, err := ReadLogo(strings.NewReader(content))
		require.ErrorIs(t, err, ErrOptions)
		assert.ErrorContains(t, err, words)
	}
}
