package reports

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// TestLetterOnTheWeb: a page that stands by itself, says what the PDF says, and
// tells it to those who listen.
func TestLetterOnTheWeb(t *testing.T) {
	letter, err := demoLetters(t).Of(context.Background(), "Q002")
	require.NoError(t, err)
	for _, language := range Languages() {
		look := LetterLook{Language: language, Paper: A4, Shop: `Bär & Söhne <"Lack">`}
		var page, pdf bytes.Buffer
		require.NoError(t, letter.WriteHTML(&page, look))
		require.NoError(t, letter.WritePDF(&pdf, look))
		doc, err := html.Parse(strings.NewReader(page.String()))
		require.NoError(t, err)
		heard := oneLine(textOf(doc))
		words, err := letter.page(language)
		require.NoError(t, err)
		printed := oneLine(pdfText(t, pdf.Bytes()))
		for _, said := range append(append([]string{look.Shop, words.Title, words.Of, words.Estimate, words.Origin}, words.Answers...), words.Small...) {
			assert.Contains(t, heard, said)
			assert.Contains(t, printed, oneLine(said))
		}
		assert.Contains(t, page.String(), `lang="`+string(language)+`"`)
		assert.NotContains(t, page.String(), "<script")
		assert.NotContains(t, strings.ReplaceAll(page.String(), "http://www.w3.org/2000/svg", ""), "http", "nothing comes from elsewhere")
		assert.NotContains(t, page.String(), " style=", "a content policy may forbid it")
	}
}
