package reports

import (
	"context"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestLetterLanguagesSayTheSame: each language has every block, and no block is
// left that nothing says.
func TestLetterLanguagesSayTheSame(t *testing.T) {
	blocks := map[Language][]string{}
	for _, language := range Languages() {
		text, err := os.ReadFile("letters/" + string(language) + ".tmpl")
		require.NoError(t, err)
		for _, found := range regexp.MustCompile(`define "([^"]+)"`).FindAllStringSubmatch(string(text), -1) {
			blocks[language] = append(blocks[language], found[1])
		}
		slices.Sort(blocks[language])
	}
	assert.Equal(t, blocks[English], blocks[German])
	assert.Equal(t, blocks[English], blocks[French])

	var code strings.Builder
	for _, file := range []string{"letter.go", "letteranswer.go", "letterpage.go", "lettersections.go", "lettervoice.go"} {
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		code.Write(text)
	}
	for _, block := range blocks[English] {
		family := regexp.MustCompile(`\.[^.]+$`).ReplaceAllString(block, ".")
		said := strings.Contains(code.String(), `"`+block+`"`) || strings.Contains(code.String(), `"`+family+`"`) ||
			strings.Contains(code.String(), `extreme("`+strings.TrimSuffix(family, ".")+`"`)
		assert.True(t, said, "nothing says %s", block)
	}
}

func TestLetterInNoLanguage(t *testing.T) {
	letter, err := demoLetters(t).Of(context.Background(), "Q020")
	require.NoError(t, err)
	err = letter.WritePDF(os.Stderr, LetterLook{Language: "it", Paper: A4})
	require.ErrorIs(t, err, ErrOptions)
	assert.ErrorContains(t, err, "en, de and fr")
	assert.ErrorIs(t, letter.WritePDF(os.Stderr, LetterLook{Language: English, Paper: "a5"}), ErrOptions)
}
