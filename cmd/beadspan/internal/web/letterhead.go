package web

import (
	"bytes"
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"image/png"
	"io"
	"net/http"
	"slices"
	"strings"

	"github.com/google/uuid"

	"beadspan/reports"
	"beadspan/study"
)

func (s *Server) letterheadRoutes() []route {
	return []route{
		{pattern: "GET /studies/{study}/letterheads", needs: ownership, do: s.showLetterheads},
		{pattern: "POST /studies/{study}/letterheads/{head}", needs: ownership, do: s.saveLetterhead, mostBytes: mostLetterheadForm},
	}
}

// mostLetterheadForm is enough for the largest logo that reports.ReadLogo takes,
// and the fields around it.
const mostLetterheadForm = 2<<20 + 64<<10

// letterheadsPage has a form for what stands at the head of each shop's letters.
type letterheadsPage struct {
	Heads []letterheadForm
	Saved bool
}

// letterheadForm is one of them.
type letterheadForm struct {
	ID       study.ID // the shop's, or the study's for vehicles that name no shop
	Shop     string   // code; empty for those
	Name     string
	Logo     template.URL // empty for none
	Problems study.Problems
}

func (s *Server) showLetterheads(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderLetterheads(w, r, v, http.StatusOK, nil)
}

// renderLetterheads shows the forms; one that was refused as it was filled in.
func (s *Server) renderLetterheads(w http.ResponseWriter, r *http.Request, v *viewer, status int, refused *letterheadForm) error {
	heads, err := v.records.letterheads(r.Context())
	if err != nil {
		return err
	}
	shops, err := v.records.shops(r.Context())
	if err != nil {
		return err
	}
	page := letterheadsPage{Saved: r.URL.Query().Has("saved")}
	for _, shop := range append(shops, study.Shop{ID: v.study.ID}) {
		form := letterheadForm{ID: shop.ID, Shop: shop.Code}
		head := heads[shop.ID]
		form.Name = head.Name
		if head.LogoPNG != nil {
			form.Logo = template.URL("data:image/png;base64," + base64.StdEncoding.EncodeToString(head.LogoPNG)) //nolint:gosec // we wrote it
		}
		if refused != nil && refused.ID == form.ID {
			form.Name, form.Problems = refused.Name, refused.Problems
		}
		page.Heads = append(page.Heads, form)
	}
	return s.render(w, v, status, "letterheads.html", v.say.text("letterhead.title"), page)
}

// letterheads are those of the study, by the id of the shop, or of the study for
// vehicles that name no shop.
func (x *records) letterheads(ctx context.Context) (map[study.ID]study.Letterhead, error) {
	list, err := x.store.Letterheads(ctx, x.study.ID)
	if err != nil {
		return nil, err
	}
	heads := map[study.ID]study.Letterhead{}
	for _, h := range list {
		heads[x.headOf(h.ShopID)] = h
	}
	return heads, nil
}

// headOf is the key of a shop's letterhead.
func (x *records) headOf(shop *study.ID) study.ID {
	if shop == nil {
		return x.study.ID
	}
	return *shop
}

// saveLetterhead stores a name and, if there is one in the form, a logo.
func (s *Server) saveLetterhead(w http.ResponseWriter, r *http.Request, v *viewer) error {
	shops, err := v.records.shops(r.Context())
	if err != nil {
		return err
	}
	id, err := uuid.Parse(r.PathValue("head"))
	if err != nil || id != v.study.ID && !slices.ContainsFunc(shops, func(s study.Shop) bool { return s.ID == id }) {
		return study.ErrNotFound
	}
	heads, err := v.records.letterheads(r.Context())
	if err != nil {
		return err
	}
	head := study.Letterhead{StudyID: v.study.ID, LogoPNG: heads[id].LogoPNG}
	if id != v.study.ID {
		head.ShopID = &id
	}
	err = readLetterhead(r, &head)
	if err == nil {
		err = s.store.PutLetterhead(r.Context(), head)
	}
	refused := letterheadForm{ID: id, Name: head.Name}
	if errors.As(err, &refused.Problems) {
		return s.renderLetterheads(w, r, v, http.StatusUnprocessableEntity, &refused)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/letterheads?saved"), http.StatusSeeOther)
	return nil
}

// readLetterhead reads the form over what is there. A logo is stored as the
// program would draw it, so that nothing else of the file is kept.
func readLetterhead(r *http.Request, head *study.Letterhead) error {
	form, err := r.MultipartReader()
	if err != nil {
		return fault{http.StatusBadRequest, "fault.form"}
	}
	for {
		part, err := form.NextPart()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return uploadFault(malformed(err))
		}
		content, err := io.ReadAll(part)
		if err != nil {
			return uploadFault(malformed(err))
		}
		switch name := part.FormName(); {
		case name == "name":
			head.Name = strings.TrimSpace(string(content))
		case name == "no_logo":
			head.LogoPNG = nil
		case name == "logo" && len(content) > 0:
			if head.LogoPNG, err = logoPNG(content); err != nil {
				return err
			}
		}
	}
}

// logoPNG is a logo as letters have it.
func logoPNG(content []byte) ([]byte, error) {
	logo, err := reports.ReadLogo(bytes.NewReader(content))
	if errors.Is(err, reports.ErrOptions) {
		_, want, _ := strings.Cut(err.Error(), ": ")
		return nil, study.Problems{{Column: "logo", Want: want}}
	}
	if err != nil {
		return nil, err
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, logo); err != nil {
		return nil, fmt.Errorf("write a logo: %w", err)
	}
	return buf.Bytes(), nil
}
