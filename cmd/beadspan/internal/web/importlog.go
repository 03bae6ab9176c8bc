package web

import (
	"context"
	"errors"
	"net/http"

	"github.com/google/uuid"

	"beadspan/ingest"
	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) importRoutes() []route {
	return []route{
		{pattern: "POST /studies/{study}/records/import", needs: ownership, do: s.takeLog, mostBytes: mostUploadForm},
		{pattern: "GET /studies/{study}/records/import/{upload}", needs: ownership, do: s.showLog},
		{pattern: "POST /studies/{study}/records/import/{upload}", needs: ownership, do: s.decideLog},
	}
}

// logPreview is what is in a log, and what loading it would do or did.
type logPreview struct {
	// Problems are all that is wrong with it; none where it can be loaded.
	Problems study.Problems
	// Unreadable says why it isn't a log at all; empty where it is one.
	Unreadable string
	Notices    []ingest.Notice
	Warnings   ingest.WarningGroups
	Loaded     store.Loaded
	Done       bool // it was loaded
}

// Good reports whether the log can be loaded.
func (p *logPreview) Good() bool { return len(p.Problems) == 0 && p.Unreadable == "" }

// Changes reports whether loading it changes anything.
func (p *logPreview) Changes() bool { return p.Loaded.Added != (study.Size{}) || p.Loaded.Proposed > 0 }

// takeLog takes a log, finds out what loading it would do, and leads to the
// page that tells.
func (s *Server) takeLog(w http.ResponseWriter, r *http.Request, v *viewer) error {
	x, err := s.uploads.take(r, v.account.ID, v.study.ID)
	if err != nil {
		return err
	}
	preview, err := s.readLog(r.Context(), x, true)
	if err != nil {
		s.uploads.drop(x.ID)
		return err
	}
	s.uploads.tell(x.ID, preview)
	http.Redirect(w, r, studyPath(v.study.Code, "/records/import/"+x.ID.String()), http.StatusSeeOther)
	return nil
}

// readLog reads the log and loads it, or only tries.
func (s *Server) readLog(ctx context.Context, x upload, onlyTry bool) (*logPreview, error) {
	end, err := s.uploads.begin(ctx)
	if err != nil {
		return nil, err
	}
	defer end()
	p := &logPreview{Done: !onlyTry}
	fleet, err := ingest.ReadLog(ctx, x.file, ingest.Options{
		DateOrder: x.Options.Dates, Today: s.today(), Warning: p.Warnings.Add,
		Notice: func(n ingest.Notice) { p.Notices = append(p.Notices, n) },
	})
	if err == nil {
		p.Loaded, err = s.store.LoadAs(ctx, x.Study, fleet, store.Loading{OnlyTry: onlyTry, BlanksCorrect: x.Options.Blanks})
		if err != nil && !errors.As(err, new(study.Problems)) {
			return nil, err // the database's, not the log's
		}
	}
	switch {
	case errors.As(err, &p.Problems):
		p.Done = false
	case ctx.Err() != nil:
		return nil, ctx.Err()
	case err != nil:
		p.Unreadable, p.Done = readable(err), false
	}
	return p, nil
}

// readable is the last cause of an error, without the path of the file here.
func readable(err error) string {
	for {
		inner := errors.Unwrap(err)
		if inner == nil {
			return err.Error()
		}
		err = inner
	}
}

// upload finds the upload that the address names.
func (s *Server) upload(r *http.Request, v *viewer) (upload, error) {
	id, err := uuid.Parse(r.PathValue("upload"))
	if err != nil {
		return upload{}, study.ErrNotFound
	}
	return s.uploads.find(id, v.account.ID, v.study.ID)
}

// importPage tells of a log before it is loaded, and after.
type importPage struct {
	Upload  upload
	Preview *logPreview
}

func (s *Server) showLog(w http.ResponseWriter, r *http.Request, v *viewer) error {
	x, err := s.upload(r, v)
	if err != nil {
		return err
	}
	return s.render(w, v, http.StatusOK, "import.html", v.say.text("import.title"), importPage{x, x.Preview})
}

// decideLog loads a log, or throws it away.
func (s *Server) decideLog(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	x, err := s.upload(r, v)
	if err != nil {
		return err
	}
	if r.PostForm.Get("do") != "load" {
		s.uploads.drop(x.ID)
		http.Redirect(w, r, studyPath(v.study.Code, "/records"), http.StatusSeeOther)
		return nil
	}
	if !x.Preview.Done {
		preview, err := s.readLog(r.Context(), x, false)
		if err != nil {
			return err
		}
		s.uploads.tell(x.ID, preview)
	}
	http.Redirect(w, r, studyPath(v.study.Code, "/records/import/"+x.ID.String()), http.StatusSeeOther)
	return nil
}

// importCount is how many records of one kind a log adds.
type importCount struct {
	What        string
	Added, Same int
}

// Counts tells how many records of each kind are new, and how many are stored
// already with the same content.
func (p *logPreview) Counts() []importCount {
	added, same := p.Loaded.Added, p.Loaded.Unchanged
	return []importCount{
		{"coatings", added.Coatings, same.Coatings}, {"sites", added.Sites, same.Sites}, {"shops", added.Shops, same.Shops},
		{"people", added.People, same.People}, {"vehicles", added.Vehicles, same.Vehicles}, {"patches", added.Patches, same.Patches},
		{"checkups", added.Checkups, same.Checkups}, {"readings", added.Readings, same.Readings}, {"care", added.Care, same.Care},
	}
}
