package reports

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html/template"
	"image/png"
	"io"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// letterView is a letter's page as its template reads it.
type letterView struct {
	*letterPage
	Style   template.CSS
	Shop    string
	Logo    template.URL // empty for none
	Picture template.HTML
	Keys    []letterKey
}

// letterKey is a panel's mark in the chart.
type letterKey struct {
	Mark  template.HTML
	Panel string
}

// letterChartWidth is how wide the chart is drawn, in CSS pixels.
const letterChartWidth = 330

// WriteHTML writes the letter as a page that stands by itself, with the words of
// WritePDF: no network, no scripts. The paper is of no account.
func (l *Letter) WriteHTML(w io.Writer, look LetterLook) error {
	if err := l.writeHTML(w, "letter.html", look); err != nil {
		return fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	return nil
}

// Article is the letter's part of such a page, for a page around it, and its
// style sheet.
func (l *Letter) Article(look LetterLook) (article template.HTML, style template.CSS, err error) {
	var buf bytes.Buffer
	if err := l.writeHTML(&buf, "letter", look); err != nil {
		return "", "", fmt.Errorf("letter for vehicle %q: %w", l.Vehicle, err)
	}
	sheet, err := letterFiles.ReadFile("letters/letter.css")
	return template.HTML(buf.String()), template.CSS(sheet), err // the template escaped every text
}

func (l *Letter) writeHTML(w io.Writer, block string, look LetterLook) error {
	view, err := l.view(look)
	if err != nil {
		return err
	}
	parsed, err := template.New("letter.html").Funcs(template.FuncMap{"drop": Drop}).ParseFS(letterFiles, "letters/letter.html")
	if err != nil {
		return err
	}
	var buf bytes.Buffer // so that no half page is written
	if err := parsed.ExecuteTemplate(&buf, block, view); err != nil {
		return err
	}
	_, err = buf.WriteTo(w)
	return err
}

func (l *Letter) view(look LetterLook) (*letterView, error) {
	page, err := l.page(look.Language)
	if err != nil {
		return nil, err
	}
	style, err := letterFiles.ReadFile("letters/letter.css")
	if err != nil {
		return nil, err
	}
	v := &letterView{letterPage: page, Style: template.CSS(style), Shop: look.Shop}
	if look.Logo != nil {
		var buf bytes.Buffer
		if err := png.Encode(&buf, look.Logo); err != nil {
			return nil, err
		}
		v.Logo = template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(buf.Bytes()))
	}
	if page.Chart == nil {
		return v, nil
	}
	if v.Picture, err = page.Chart.Inline(page.Chart.Name, letterChartWidth); err != nil {
		return nil, err
	}
	for i, panel := range page.ChartKeys {
		mark, err := letterMarkSVG(i)
		if err != nil {
			return nil, err
		}
		v.Keys = append(v.Keys, letterKey{mark, panel})
	}
	return v, nil
}

// letterMarkSVG is a panel's mark by itself; the panel's name stands beside it.
func letterMarkSVG(number int) (template.HTML, error) {
	const side vg.Length = 10
	canvas := vgsvg.NewWith(vgsvg.UseWH(side, side))
	letterMark(draw.New(canvas), number, 4, vg.Point{X: side / 2, Y: side / 2})
	var buf bytes.Buffer
	if _, err := canvas.WriteTo(&buf); err != nil {
		return "", err
	}
	open := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" width="%[1]g" height="%[1]g" viewBox="0 0 %[1]g %[1]g" aria-hidden="true" focusable="false">`, float64(side))
	return template.HTML(styles.ReplaceAllStringFunc(opening.ReplaceAllLiteralString(buf.String(), open), asAttributes)), nil
}
