package reports

import (
	"fmt"

	"codeberg.org/go-pdf/fpdf"

	"beadspan/study"
)

// Paper is what letters and reports are printed on.
type Paper string

// The papers.
const (
	A4       Paper = "a4"
	USLetter Paper = "letter"
)

// Papers lists the papers.
func Papers() []Paper { return []Paper{A4, USLetter} }

var paperSizes = map[Paper]string{A4: "A4", USLetter: "Letter"}

// newPDF begins a file without pages, made by a version of the program. Its dates
// are the day of what it says, so that the same words are the same bytes. A paper
// that there isn't is ErrOptions.
func newPDF(paper Paper, day study.Day, version string) (*fpdf.Fpdf, error) {
	size, known := paperSizes[paper]
	if !known {
		return nil, fmt.Errorf("%w: paper %q, expected a4 or letter", ErrOptions, paper)
	}
	pdf := fpdf.New("P", "pt", size, "")
	pdf.SetMargins(0, 0, 0)
	pdf.SetAutoPageBreak(false, 0)
	pdf.SetCatalogSort(true)
	pdf.SetCreationDate(day.Time())
	pdf.SetModificationDate(day.Time())
	pdf.SetCreator("beadspan "+version, true)
	pdf.SetProducer("", false)
	return pdf, nil
}
