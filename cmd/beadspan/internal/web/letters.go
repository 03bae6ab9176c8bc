package web

import (
	"context"
	"net/http"
	"slices"

	"github.com/google/uuid"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

func (s *Server) letterRoutes() []route {
	const letters = "/studies/{study}/vehicles/{vehicle}/letters"
	return []route{
		{pattern: "GET " + letters, needs: reading, do: s.showLetters},
		{pattern: "GET " + letters + "/preview", needs: reading, do: s.previewLetter},
		{pattern: "POST " + letters, needs: logging, do: s.makeLetter},
		{pattern: "GET " + letters + "/{letter}", needs: reading, do: s.showLetter},
		{pattern: "GET " + letters + "/{letter}/letter.pdf", needs: reading, do: s.sendLetterPDF},
		{pattern: "POST " + letters + "/{letter}/sent", needs: logging, do: s.markSent},
	}
}

// lettersPage lists the letters to a vehicle's customer, and has the form for one
// more.
type lettersPage struct {
	Vehicle   string // code
	Ahead     found[*vehicleAhead]
	Form      letterForm
	Languages []reports.Language
	Papers    []reports.Paper
	Sendings  []study.Sending
	Letters   []letterLine
	Link      string // shown once
}

// letterLine is a letter of the list, with the links to it.
type letterLine struct {
	store.LetterLine
	Links []sharedLine
}

// How many letters are listed: more than a vehicle's customer gets, and on the
// vehicle's own page the latest few.
const (
	lettersOnPage    = 200
	lettersAtVehicle = 3
)

// letters lists the letters to a vehicle's customer.
func (x *records) letters(ctx context.Context, vehicle study.ID, limit int) ([]store.LetterLine, error) {
	return x.store.Letters(ctx, vehicle, limit)
}

// vehicleNamed finds the vehicle that the address names. Another shop's is
// study.ErrNotFound.
func vehicleNamed(r *http.Request, v *viewer) (study.ID, error) {
	return v.records.vehicleID(r.Context(), r.PathValue("vehicle"))
}

// vehicleID finds a vehicle that the viewer may see.
func (x *records) vehicleID(ctx context.Context, code string) (study.ID, error) {
	return x.store.VehicleID(ctx, x.scope, code)
}

// letterNamed finds the letter that the address names.
func letterNamed(r *http.Request, v *viewer) (store.LetterLine, error) {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return store.LetterLine{}, err
	}
	id, err := uuid.Parse(r.PathValue("letter"))
	if err != nil {
		return store.LetterLine{}, study.ErrNotFound
	}
	return v.records.store.Letter(r.Context(), vehicle, id)
}

func (s *Server) showLetters(w http.ResponseWriter, r *http.Request, v *viewer) error {
	return s.renderLetters(w, r, v, "")
}

func (s *Server) renderLetters(w http.ResponseWriter, r *http.Request, v *viewer, link string) error {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return err
	}
	page := lettersPage{
		Vehicle: r.PathValue("vehicle"), Link: link,
		Languages: reports.Languages(), Papers: reports.Papers(), Sendings: study.Sendings(),
	}
	if page.Ahead, err = s.ahead(v, page.Vehicle); err != nil {
		return err
	}
	list, err := v.records.letters(r.Context(), vehicle, lettersOnPage)
	if err != nil {
		return err
	}
	links, err := v.records.shareLinks(r, vehicle)
	if err != nil {
		return err
	}
	page.Form = usualForm(v, list)
	for _, l := range list {
		page.Letters = append(page.Letters, letterLine{l, links[l.ID]})
	}
	return s.render(w, v, http.StatusOK, "letters.html", v.say.text("letters.of", "code", page.Vehicle), page)
}

// usualForm is what the customer got last, or else the viewer's language.
func usualForm(v *viewer, letters []store.LetterLine) letterForm {
	if len(letters) > 0 {
		return letterForm{reports.Language(letters[0].Language), reports.Paper(letters[0].Paper)}
	}
	form := letterForm{reports.Language(v.say.Tag), reports.A4}
	if v.prefs.Units == "us" {
		form.Paper = reports.USLetter
	}
	return form
}

// previewLetter shows today's letter, of which nothing is kept.
func (s *Server) previewLetter(w http.ResponseWriter, r *http.Request, v *viewer) error {
	form, err := readLetterForm(r.URL.Query())
	if err != nil {
		return err
	}
	letter, look, _, err := s.letterAsked(r.Context(), v, r.PathValue("vehicle"), form)
	if err != nil {
		return err
	}
	text, err := letterText(letter, look)
	if err != nil {
		return err
	}
	page, err := newLetterPage(text)
	if err != nil {
		return err
	}
	page.Vehicle, page.Day, page.Language, page.Form = letter.Vehicle, letter.On, string(form.Language), &form
	return s.renderLetter(w, v, page)
}

// letterAsked is today's letter about a vehicle, and how it is to look.
func (s *Server) letterAsked(ctx context.Context, v *viewer, code string, form letterForm) (*reports.Letter, reports.LetterLook, study.ID, error) {
	fleet, err := v.records.vehicle(ctx, code)
	if err != nil {
		return nil, reports.LetterLook{}, study.ID{}, err
	}
	vehicle := fleet.Vehicles[0]
	letter, err := s.letterToday(ctx, v, vehicle.Code)
	if err != nil {
		return nil, reports.LetterLook{}, study.ID{}, err
	}
	looks, err := v.records.looks(ctx, form)
	if err != nil {
		return nil, reports.LetterLook{}, study.ID{}, err
	}
	look, err := looks.of(vehicle.ShopID)
	return letter, look, vehicle.ID, err
}

// makeLetter keeps today's letter, and shows it.
func (s *Server) makeLetter(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	form, err := readLetterForm(r.PostForm)
	if err != nil {
		return err
	}
	id, _, err := s.keepLetter(r.Context(), v, r.PathValue("vehicle"), form)
	if err != nil {
		return err
	}
	http.Redirect(w, r, lettersPath(v.study.Code, r.PathValue("vehicle"))+"/"+id.String(), http.StatusSeeOther)
	return nil
}

// keepLetter keeps today's letter about a vehicle.
func (s *Server) keepLetter(ctx context.Context, v *viewer, code string, form letterForm) (letter, vehicle study.ID, err error) {
	today, look, vehicle, err := s.letterAsked(ctx, v, code, form)
	if err == nil {
		letter, err = v.records.keep(ctx, today, vehicle, look, v.account.ID)
	}
	return letter, vehicle, err
}

// showLetter shows a letter as it was kept.
func (s *Server) showLetter(w http.ResponseWriter, r *http.Request, v *viewer) error {
	letter, err := letterNamed(r, v)
	if err != nil {
		return err
	}
	page, err := s.keptPage(r.Context(), letter.KeptLetter)
	if err != nil {
		return err
	}
	page.Vehicle = r.PathValue("vehicle")
	page.PDF = lettersPath(v.study.Code, page.Vehicle) + "/" + letter.ID.String() + "/letter.pdf"
	return s.renderLetter(w, v, page)
}

// keptPage is the page of a kept letter.
func (s *Server) keptPage(ctx context.Context, l study.KeptLetter) (letterPage, error) {
	text, err := s.store.LetterPage(ctx, l.VehicleID, l.ID)
	if err != nil {
		return letterPage{}, err
	}
	page, err := newLetterPage(text)
	page.Day, page.Language = l.Day, l.Language
	return page, err
}

// sendLetterPDF sends a letter on paper as it was kept.
func (s *Server) sendLetterPDF(w http.ResponseWriter, r *http.Request, v *viewer) error {
	letter, err := letterNamed(r, v)
	if err != nil {
		return err
	}
	pdf, err := s.store.LetterPDF(r.Context(), letter.VehicleID, letter.ID)
	if err != nil {
		return err
	}
	return sendPDF(w, r.PathValue("vehicle"), letter.Day, pdf)
}

// markSent notes that a letter reached its customer.
func (s *Server) markSent(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	letter, err := letterNamed(r, v)
	if err != nil {
		return err
	}
	how, err := readSending(r)
	if err != nil {
		return err
	}
	sent := study.LetterSent{On: s.today(), By: v.account.ID, How: how}
	if err := s.store.SendLetter(r.Context(), letter.VehicleID, letter.ID, sent); err != nil {
		return err
	}
	http.Redirect(w, r, lettersPath(v.study.Code, r.PathValue("vehicle")), http.StatusSeeOther)
	return nil
}

// readSending reads how a letter reached its customer.
func readSending(r *http.Request) (study.Sending, error) {
	how := study.Sending(r.PostForm.Get("how"))
	if !slices.Contains(study.Sendings(), how) {
		return "", fault{http.StatusBadRequest, "fault.form"}
	}
	return how, nil
}
