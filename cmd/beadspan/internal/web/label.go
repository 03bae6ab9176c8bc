package web

import (
	"context"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"strings"

	"github.com/skip2/go-qrcode"

	"beadspan/study/store"
)

func (s *Server) labelRoutes() []route {
	return []route{{pattern: "GET /studies/{study}/labels", needs: logging, do: s.showLabels}}
}

// Label is what a vehicle wears: its code in letters, and as a QR code the
// address at which a phone opens it in the bay.
type Label struct {
	Study   string // code
	Vehicle string // code
	QR      template.HTML
}

// NewLabel makes the label of a vehicle for the server at origin, such as
// https://shop.example.
func NewLabel(origin, study, vehicle string) (Label, error) {
	qr, err := drawQR(strings.TrimSuffix(origin, "/") + bayPath(study, vehicle))
	return Label{study, vehicle, qr}, err
}

// drawQR draws text as a QR code (ISO/IEC 18004) that stays readable with 15 %
// of it gone, with the quiet zone of four modules that it needs.
func drawQR(text string) (template.HTML, error) {
	code, err := qrcode.New(text, qrcode.Medium)
	if err != nil {
		return "", fmt.Errorf("draw %s as a QR code: %w", text, err)
	}
	modules := code.Bitmap()
	var path strings.Builder
	for y, row := range modules {
		for x := 0; x < len(row); x++ {
			begin := x
			for x < len(row) && row[x] {
				x++
			}
			if x > begin {
				fmt.Fprintf(&path, "M%d %dh%dv1h-%dz", begin, y, x-begin, x-begin)
			}
		}
	}
	n := len(modules)
	return template.HTML(fmt.Sprintf(`<svg class="qr" viewBox="0 0 %d %d" aria-hidden="true" focusable="false" shape-rendering="crispEdges">`+
		`<path fill="#fff" d="M0 0h%dv%dH0z"/><path fill="#000" d="%s"/></svg>`, n, n, n, n, path.String())), nil //nolint:gosec // numbers only
}

// labelsPage is a sheet of labels.
type labelsPage struct {
	For    string // codes as typed in
	Labels []Label
	Most   int // vehicles that one sheet shows; 0: all are here
}

// mostLabels keeps a sheet within what a browser prints at once.
const mostLabels = 500

func (s *Server) showLabels(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := labelsPage{For: r.URL.Query().Get("for")}
	codes := strings.Fields(page.For)
	if len(codes) > mostLabels {
		codes, page.Most = codes[:mostLabels], mostLabels
	}
	if len(codes) == 0 {
		lines, more, err := v.records.vehicles(r.Context(), store.VehicleQuery{Limit: mostLabels})
		if err != nil {
			return err
		}
		if more {
			page.Most = mostLabels
		}
		for _, l := range lines {
			codes = append(codes, l.Code)
		}
	} else if err := v.records.haveAll(r.Context(), codes); err != nil {
		return err
	}
	for _, code := range codes {
		label, err := NewLabel(s.origin(r), v.study.Code, code)
		if err != nil {
			return err
		}
		page.Labels = append(page.Labels, label)
	}
	return s.render(w, v, http.StatusOK, "labels.html", v.say.text("labels.title"), page)
}

// haveAll returns study.ErrNotFound unless the viewer may see all the vehicles.
func (x *records) haveAll(ctx context.Context, codes []string) error {
	for _, code := range codes {
		if _, err := x.vehicle(ctx, code); err != nil {
			return err
		}
	}
	return nil
}

// WriteLabels writes a sheet of labels as a page of its own, to print from any
// browser.
func WriteLabels(w io.Writer, labels []Label) error {
	style, err := staticFiles.ReadFile("static/labels.css")
	if err != nil {
		return err
	}
	return labelSheet.Execute(w, struct {
		Style  template.CSS
		Labels []Label
	}{template.CSS(style), labels}) //nolint:gosec // a file of the program
}

var labelSheet = template.Must(template.ParseFS(templateFiles, "templates/labelsheet.html"))
