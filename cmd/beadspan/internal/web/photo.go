package web

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) photoRoutes() []route {
	photo := "/studies/{study}/vehicles/{vehicle}/photos/{photo}"
	return []route{
		{pattern: "GET /studies/{study}/vehicles/{vehicle}/photos", needs: reading, do: s.showPhotos},
		{pattern: "GET " + photo, needs: reading, do: s.showPhoto},
		{pattern: "POST " + photo, needs: ownership, do: s.removePhoto},
		{pattern: "GET " + photo + "/large.jpg", needs: reading, do: s.sendPhoto(false)},
		{pattern: "GET " + photo + "/small.jpg", needs: reading, do: s.sendPhoto(true)},
		{pattern: "POST /studies/{study}/photos", needs: logging, do: asJSON(s.takePhoto), mostBytes: study.MostSentPhotoBytes + 1},
	}
}

// photosOnVehicle is how many photos a vehicle's page shows; all are on a page
// of their own.
const photosOnVehicle = 8

// photosPage shows all photos of a vehicle, panel by panel.
type photosPage struct {
	Vehicle string // code
	Panels  []panelPhotos
}

// panelPhotos are those of one panel, the latest first.
type panelPhotos struct {
	Patch, Panel string
	Photos       []study.KeptPhoto
}

// photoList is a list of photos of one study, for templates.
type photoList struct {
	Study  string // code
	Photos []photoThumb
}

// photoThumb is a photo with the size of its small picture.
type photoThumb struct {
	study.KeptPhoto
	SmallWidth, SmallHeight int
}

func newPhotoList(studyCode string, photos []study.KeptPhoto) photoList {
	list := photoList{Study: studyCode}
	for _, k := range photos {
		width, height := k.SmallSize()
		list.Photos = append(list.Photos, photoThumb{k, width, height})
	}
	return list
}

func (s *Server) showPhotos(w http.ResponseWriter, r *http.Request, v *viewer) error {
	vehicle := r.PathValue("vehicle")
	photos, err := v.records.photos(r.Context(), vehicle, 0)
	if err != nil {
		return err
	}
	if len(photos) == 0 { // whether there is such a vehicle is for the viewer's eyes only
		if _, err := v.records.vehicle(r.Context(), vehicle); err != nil {
			return err
		}
	}
	page := photosPage{Vehicle: vehicle}
	at := map[string]int{}
	for _, p := range photos {
		i, has := at[p.Patch]
		if !has {
			i = len(page.Panels)
			at[p.Patch] = i
			page.Panels = append(page.Panels, panelPhotos{Patch: p.Patch, Panel: p.Panel})
		}
		page.Panels[i].Photos = append(page.Panels[i].Photos, p)
	}
	return s.render(w, v, http.StatusOK, "photos.html", v.say.text("photos.title", "vehicle", vehicle), page)
}

// photoPage shows one photo as large as it is kept.
type photoPage struct {
	study.KeptPhoto
	Why      string // for removing it, as typed
	Problems study.Problems
}

// Size is the picture's, in bytes.
func (p photoPage) Size() int64 { return int64(p.Bytes) }

func (s *Server) showPhoto(w http.ResponseWriter, r *http.Request, v *viewer) error {
	k, _, err := v.records.photo(r, true)
	if err != nil {
		return err
	}
	return s.renderPhoto(w, v, http.StatusOK, photoPage{KeptPhoto: k})
}

func (s *Server) renderPhoto(w http.ResponseWriter, v *viewer, status int, page photoPage) error {
	return s.render(w, v, status, "photo.html", photoWords(v.say, page.KeptPhoto), page)
}

// photoWords say what a photo shows.
func photoWords(l *language, k study.KeptPhoto) string {
	return l.text("photo.alt", "panel", k.Panel, "patch", k.Patch, "stage", l.text(fmt.Sprintf("stage.%s", k.Stage)), "day", k.Day)
}

// removePhoto empties a photo for good.
func (s *Server) removePhoto(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	k, _, err := v.records.photo(r, true)
	if err != nil {
		return err
	}
	page := photoPage{KeptPhoto: k, Why: strings.TrimSpace(r.PostForm.Get("why"))}
	err = v.records.removePhoto(r.Context(), k, v.account.ID, page.Why)
	if errors.As(err, &page.Problems) {
		return s.renderPhoto(w, v, http.StatusUnprocessableEntity, page)
	}
	if err != nil {
		return err
	}
	http.Redirect(w, r, vehiclePath(v.study.Code, k.Vehicle)+"/photos", http.StatusSeeOther)
	return nil
}

// sendPhoto sends a picture. A browser may keep it, and asks each time whether
// it still may show it: a photo may be removed, and who saw it may have left.
func (s *Server) sendPhoto(small bool) handler {
	return func(w http.ResponseWriter, r *http.Request, v *viewer) error {
		k, jpeg, err := v.records.photo(r, small)
		if err != nil {
			return err
		}
		h := w.Header()
		h.Set("Content-Type", "image/jpeg")
		h.Set("Cache-Control", "private, no-cache")
		h.Set("ETag", fmt.Sprintf(`"%x"`, k.SHA256[:12]))
		http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(jpeg))
		return nil
	}
}

// photos lists the photos of a vehicle, the latest first; most 0: all.
func (x *records) photos(ctx context.Context, vehicle string, most int) ([]study.KeptPhoto, error) {
	return x.store.Photos(ctx, x.scope, store.PhotoQuery{Vehicle: vehicle, Limit: most})
}

// photo reads the photo that the address names.
func (x *records) photo(r *http.Request, small bool) (study.KeptPhoto, []byte, error) {
	id, err := uuid.Parse(r.PathValue("photo"))
	if err != nil {
		return study.KeptPhoto{}, nil, study.ErrNotFound
	}
	return x.store.Photo(r.Context(), x.scope, r.PathValue("vehicle"), id, small)
}

// picture reads a listed photo as large as it is kept.
func (x *records) picture(ctx context.Context, k study.KeptPhoto) ([]byte, error) {
	_, jpeg, err := x.store.Photo(ctx, x.scope, k.Vehicle, k.ID, false)
	return jpeg, err
}

// removePhoto empties a photo, for a reason.
func (x *records) removePhoto(ctx context.Context, k study.KeptPhoto, by study.ID, why string) error {
	if !x.role.MayOwn() {
		return errRole
	}
	return x.store.RemovePhoto(ctx, x.scope, k.Vehicle, k.ID, by, why)
}
