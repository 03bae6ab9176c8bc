package web

import (
	"errors"
	"net/http"
	"os"
	"path/filepath"
	"slices"

	"beadspan/cmd/beadspan/internal/export"
	"beadspan/study"
	"beadspan/study/store"
)

// everyFormat asks for an export in all formats.
const everyFormat = "all"

// exportFormats lists what an export may be asked for in.
func exportFormats() []string {
	formats := []string{everyFormat}
	for _, f := range export.Formats() {
		formats = append(formats, string(f))
	}
	return formats
}

// sendExport sends everything that the viewer may see, as a zip.
func (s *Server) sendExport(w http.ResponseWriter, r *http.Request, v *viewer) error {
	formats := export.Formats()
	if asked := export.Format(r.URL.Query().Get("format")); slices.Contains(formats, asked) {
		formats = []export.Format{asked}
	}
	end, err := s.uploads.begin(r.Context()) // it takes memory too
	if err != nil {
		return err
	}
	defer end()
	known, err := v.records.everything(r)
	if err != nil {
		return err
	}
	known.Made, known.Version = s.today(), s.opts.Version
	if r.URL.Query().Get("photos") == "true" {
		known.Picture = v.records.picture
	}
	dir, err := os.MkdirTemp("", "beadspan-export-")
	if err != nil {
		return uploadFault(err)
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "export.zip")
	if err := writeExport(r, known, dir, file, formats); err != nil {
		return uploadFault(err)
	}
	return sendFile(w, r, file, "application/zip", v.study.Code+"-"+s.today().String()+".zip")
}

func writeExport(r *http.Request, known export.Records, dir, file string, formats []export.Format) (err error) {
	out, err := os.Create(file)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	work := filepath.Join(dir, "tables")
	if err := os.Mkdir(work, 0o700); err != nil {
		return err
	}
	return export.Write(r.Context(), out, known, work, formats)
}

// everything reads all that the viewer may see of the study.
func (x *records) everything(r *http.Request) (export.Records, error) {
	ctx := r.Context()
	known := export.Records{Study: x.study}
	fleet, err := x.figures.fleet(ctx, x.study.ID, x.revision)
	if err != nil {
		return known, err
	}
	known.Fleet = x.covered(fleet)
	if known.Amendments, _, err = x.amendments(ctx, store.AmendmentQuery{Limit: mostExportedAmendments}); err != nil {
		return known, err
	}
	if known.Changes, err = x.store.StudyChanges(ctx, x.study.ID); err != nil {
		return known, err
	}
	known.Photos, err = x.photos(ctx, "", 0)
	known.Photos = append([]study.KeptPhoto{}, known.Photos...)
	return known, err
}

// mostExportedAmendments is more than anybody decides on.
const mostExportedAmendments = 1_000_000

// covered is the part of the fleet that the viewer may see, with what its
// vehicles name and nothing else.
func (x *records) covered(fleet *study.Fleet) study.Fleet {
	part := study.Fleet{People: fleet.People, Shops: fleet.Shops}
	coatings, sites := map[study.ID]bool{}, map[study.ID]bool{}
	for i := range fleet.Vehicles {
		v := &fleet.Vehicles[i]
		if !x.covers(v) {
			continue
		}
		part.Vehicles = append(part.Vehicles, *v)
		sites[v.SiteID] = true
		for _, p := range v.Patches {
			coatings[p.CoatingID] = true
		}
	}
	for _, c := range fleet.Coatings {
		if coatings[c.ID] {
			part.Coatings = append(part.Coatings, c)
		}
	}
	for _, s := range fleet.Sites {
		if sites[s.ID] {
			part.Sites = append(part.Sites, s)
		}
	}
	return part
}
