package web

import (
	"archive/zip"
	"errors"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) letterRunRoutes() []route {
	const run = "/studies/{study}/letters/runs/{run}"
	return []route{
		{pattern: "GET /studies/{study}/letters", needs: logging, do: s.showDueLetters},
		{pattern: "POST /studies/{study}/letters", needs: logging, do: s.beginLetters},
		{pattern: "GET " + run, needs: logging, do: s.showRun},
		{pattern: "POST " + run, needs: logging, do: s.markRunSent},
		{pattern: "GET " + run + "/letters.zip", needs: logging, do: s.sendRun},
	}
}

// dueLettersPage is a form for letters to the customers of vehicles that are due.
type dueLettersPage struct {
	duePage
	Form      letterForm
	Languages []reports.Language
	Papers    []reports.Paper
	LastSent  map[study.ID]study.Day // by vehicle
	Desk      found[*lettersDesk]
}

// mostLettersAtOnce is how many letters one run makes.
const mostLettersAtOnce = 500

// lettersApart is for how many days after a letter another isn't proposed. House
// rule.
const lettersApart = 28

// Proposed reports whether a vehicle's customer is to get a letter, unless
// somebody says otherwise.
func (p dueLettersPage) Proposed(v *study.Vehicle) bool {
	last := p.Last(v)
	return last == nil || p.List.Value.Horizon.On-*last >= lettersApart
}

// Last is the day on which a letter to a vehicle's customer was sent last; nil for
// none.
func (p dueLettersPage) Last(v *study.Vehicle) *study.Day {
	last, sent := p.LastSent[v.ID]
	if !sent {
		return nil
	}
	return &last
}

// showDueLetters lists the vehicles that are due, to choose from.
func (s *Server) showDueLetters(w http.ResponseWriter, r *http.Request, v *viewer) error {
	page := dueLettersPage{
		duePage: duePage{Query: readDueQuery(r), Aheads: daysAhead(), Kinds: study.DueKinds()},
		Form:    usualForm(v, nil), Languages: reports.Languages(), Papers: reports.Papers(),
	}
	var err error
	if page.List, err = lookUp(v.records, dueFigure(page.Query.Ahead), s.today()); err != nil {
		return err
	}
	if page.Desk, err = lookUp(v.records, lettersFigure(s.opts.Version), s.today()); err != nil {
		return err
	}
	if page.List.Fresh && page.Desk.Fresh {
		if page.LastSent, err = s.store.LastSent(r.Context(), v.records.scope); err != nil {
			return err
		}
		page.choose(v, mostLettersAtOnce)
	}
	return s.render(w, v, http.StatusOK, "dueletters.html", v.say.text("dueletters.title"), page)
}

// beginLetters has letters made in the background.
func (s *Server) beginLetters(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	form, err := readLetterForm(r.PostForm)
	if err != nil {
		return err
	}
	desk, err := lookUp(v.records, lettersFigure(s.opts.Version), s.today())
	if err != nil {
		return err
	}
	if !desk.Fresh {
		return errNotReady
	}
	run := &letterRun{ID: study.NewID(), Account: v.account.ID, Study: v.study.ID, Day: s.today(), desk: desk.Value, records: v.records}
	if run.to, err = s.addressees(r, v); err != nil {
		return err
	}
	run.progress.Total = len(run.to)
	if run.looks, err = v.records.looks(r.Context(), form); err != nil {
		return err
	}
	run = s.startRun(run)
	http.Redirect(w, r, runPath(v.study.Code, run.ID), http.StatusSeeOther)
	return nil
}

// addressees are the vehicles that were chosen, each of which the viewer must be
// able to see.
func (s *Server) addressees(r *http.Request, v *viewer) ([]store.VehicleRef, error) {
	chosen := r.PostForm["vehicle"]
	if len(chosen) == 0 {
		return nil, fault{http.StatusUnprocessableEntity, "fault.none_chosen"}
	}
	if len(chosen) > mostLettersAtOnce {
		return nil, fault{http.StatusUnprocessableEntity, "fault.too_many_chosen"}
	}
	slices.Sort(chosen)
	chosen = slices.Compact(chosen)
	vehicles, err := s.store.VehiclesByCode(r.Context(), v.records.scope, chosen)
	if err != nil {
		return nil, err
	}
	if len(vehicles) < len(chosen) {
		return nil, study.ErrNotFound
	}
	return vehicles, nil
}

func runPath(code string, run study.ID) string {
	return studyPath(code, "/letters/runs/"+run.String())
}

// runPage shows how far a run has come.
type runPage struct {
	letterProgress
	Run      study.ID
	Sendings []study.Sending
	Noted    bool // that all were sent
}

func (s *Server) showRun(w http.ResponseWriter, r *http.Request, v *viewer) error {
	run, err := s.runNamed(r, v)
	if err != nil {
		return err
	}
	page := runPage{run.soFar(), run.ID, study.Sendings(), r.URL.Query().Has("sent")}
	return s.render(w, v, http.StatusOK, "letterrun.html", v.say.text("dueletters.title"), page)
}

// markRunSent notes that all letters of a run reached their customers.
func (s *Server) markRunSent(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	run, err := s.runNamed(r, v)
	if err != nil {
		return err
	}
	how, err := readSending(r)
	if err != nil {
		return err
	}
	sent := study.LetterSent{On: s.today(), By: v.account.ID, How: how}
	for _, l := range run.soFar().Kept {
		if err := s.store.SendLetter(r.Context(), l.Vehicle, l.Letter, sent); err != nil {
			return err
		}
	}
	http.Redirect(w, r, runPath(v.study.Code, run.ID)+"?sent", http.StatusSeeOther)
	return nil
}

// sendRun sends the letters of a run as PDFs in a zip: the same letters, the same
// bytes.
func (s *Server) sendRun(w http.ResponseWriter, r *http.Request, v *viewer) error {
	run, err := s.runNamed(r, v)
	if err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "beadspan-letters-")
	if err != nil {
		return uploadFault(err)
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "letters.zip")
	if err := s.writeRun(r, run, file); err != nil {
		return uploadFault(err)
	}
	return sendFile(w, r, file, "application/zip", v.study.Code+"-letters-"+run.Day.String()+".zip")
}

func (s *Server) writeRun(r *http.Request, run *letterRun, file string) (err error) {
	out, err := os.Create(file)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, out.Close()) }()
	z := zip.NewWriter(out)
	for _, l := range run.soFar().Kept {
		pdf, err := s.store.LetterPDF(r.Context(), l.Vehicle, l.Letter)
		if err != nil {
			return err
		}
		// PDFs are packed already.
		entry, err := z.CreateHeader(&zip.FileHeader{Name: letterFile(l.Code, run.Day, "pdf"), Method: zip.Store, Modified: run.Day.Time()})
		if err != nil {
			return err
		}
		if _, err := entry.Write(pdf); err != nil {
			return fmt.Errorf("write %s: %w", file, err)
		}
	}
	return z.Close()
}
