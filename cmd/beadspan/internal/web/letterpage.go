package web

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"errors"
	"html/template"
	"net/http"
	"strings"

	"beadspan/reports"
	"beadspan/study"
)

// letterPage is a letter as a page that looks like itself, not like the
// application: its own style sheet, and a bar above.
type letterPage struct {
	Style   template.CSS
	Article template.HTML

	Vehicle  string // code
	Day      study.Day
	Language string // of the letter
	// Form is that of a letter that isn't kept yet; nil for one that is.
	Form *letterForm
	// PDF is the address of the same on paper; empty while it isn't kept.
	PDF string
	// Shared: whoever reads it came by a link.
	Shared bool
}

// styleEnd is what parts a letter's style sheet from its article where it is kept.
const styleEnd = "</style>\n"

// letterText is a letter for a browser, as it is kept.
func letterText(letter *reports.Letter, look reports.LetterLook) ([]byte, error) {
	article, style, err := letter.Article(look)
	return []byte("<style>" + string(style) + styleEnd + string(article)), err
}

// newLetterPage takes a letter apart that letterText put together.
func newLetterPage(text []byte) (letterPage, error) {
	style, article, found := bytes.Cut(text, []byte(styleEnd))
	if !found {
		return letterPage{}, errors.New("a kept letter has no style sheet")
	}
	style = bytes.TrimPrefix(style, []byte("<style>"))
	return letterPage{Style: template.CSS(style), Article: template.HTML(article)}, nil //nolint:gosec // the program wrote both
}

// renderLetter shows a letter. The content policy lets its style sheet in by its
// hash, and no other.
func (s *Server) renderLetter(w http.ResponseWriter, v *viewer, page letterPage) error {
	sum := sha256.Sum256([]byte(page.Style))
	own := "style-src 'self' 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	w.Header().Set("Content-Security-Policy", strings.Replace(contentPolicy, "style-src 'self'", own, 1))
	title := v.say.text("letter.about", "code", page.Vehicle, "day", page.Day)
	return s.render(w, v, http.StatusOK, "letter.html", title, page)
}

// sendPDF sends a letter on paper.
func sendPDF(w http.ResponseWriter, vehicle string, day study.Day, pdf []byte) error {
	asFile(w, "application/pdf", letterFile(vehicle, day, "pdf"))
	if _, err := w.Write(pdf); err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}

// letterFile is the name of a letter's file; a code may hold a slash.
func letterFile(vehicle string, day study.Day, ending string) string {
	return "letter-" + strings.ReplaceAll(vehicle, "/", "--") + "-" + day.String() + "." + ending
}
