package web

import (
	"crypto/rand"
	"errors"
	"net/http"
	"slices"
	"time"

	"github.com/google/uuid"

	"beadspan/study"
	"beadspan/study/store"
)

// sharedFor is how long a link to a customer's letter is good.
const sharedFor = 90 * 24 * time.Hour

func (s *Server) shareRoutes() []route {
	const letters = "/studies/{study}/vehicles/{vehicle}/letters"
	return []route{
		{pattern: "POST " + letters + "/{letter}/links", needs: logging, do: s.makeLink},
		{pattern: "POST /studies/{study}/vehicles/{vehicle}/links/{link}", needs: logging, do: s.revokeLink},
		{pattern: "GET /shared/{secret}", needs: anybody, do: s.showShared},
		{pattern: "GET /shared/{secret}/letter.pdf", needs: anybody, do: s.sendShared},
	}
}

// sharedLine is a link as the list shows it.
type sharedLine struct {
	store.SharedBy
	State string // good, revoked or expired
}

// Until is the last day on which the link is good.
func (l sharedLine) Until() study.Day { return study.DayOfTime(l.Expires) }

// On is the day on which the link was made.
func (l sharedLine) On() study.Day { return study.DayOfTime(l.Made) }

// shareLinks lists the links to a vehicle's letters, by letter.
func (x *records) shareLinks(r *http.Request, vehicle study.ID) (map[study.ID][]sharedLine, error) {
	links, err := x.store.ShareLinks(r.Context(), x.study.ID, vehicle)
	if err != nil {
		return nil, err
	}
	lines := map[study.ID][]sharedLine{}
	for _, l := range links {
		lines[l.LetterID] = append(lines[l.LetterID], sharedLine{l, stateOf(l.Revoked, l.Expires)})
	}
	return lines, nil
}

// makeLink makes a link to a letter and shows it once: nobody can look it up
// again.
func (s *Server) makeLink(w http.ResponseWriter, r *http.Request, v *viewer) error {
	letter, err := letterNamed(r, v)
	if err != nil {
		return err
	}
	secret := rand.Text() // 128 bits and more
	link := study.ShareLink{ID: study.NewID(), StudyID: v.study.ID, VehicleID: letter.VehicleID, LetterID: letter.ID,
		MadeBy: v.account.ID, Expires: time.Now().Add(sharedFor)}
	if err := s.store.AddShareLink(r.Context(), link, secret); err != nil {
		return err
	}
	return s.renderLetters(w, r, v, s.origin(r)+"/shared/"+secret)
}

// revokeLink ends a link at once.
func (s *Server) revokeLink(w http.ResponseWriter, r *http.Request, v *viewer) error {
	vehicle, err := vehicleNamed(r, v)
	if err != nil {
		return err
	}
	id, err := uuid.Parse(r.PathValue("link"))
	if err != nil {
		return study.ErrNotFound
	}
	if err := s.store.RevokeShareLink(r.Context(), v.study.ID, vehicle, id); err != nil {
		return err
	}
	http.Redirect(w, r, lettersPath(v.study.Code, r.PathValue("vehicle")), http.StatusSeeOther)
	return nil
}

// showShared shows a letter to whoever has a link to it, as it was on its day,
// and nothing else.
func (s *Server) showShared(w http.ResponseWriter, r *http.Request, v *viewer) error {
	letter, err := s.shared(w, r)
	if err != nil {
		return err
	}
	page, err := s.keptPage(r.Context(), letter.KeptLetter)
	if err != nil {
		return err
	}
	page.Vehicle, page.Shared, page.PDF = letter.Vehicle, true, r.URL.Path+"/letter.pdf"
	// A customer with the link is nobody here, whoever else uses the browser, and
	// the bar speaks the letter's language.
	reader := &viewer{say: v.say, prefs: v.prefs}
	if i := slices.IndexFunc(languages, func(l *language) bool { return l.Tag == letter.Language }); i >= 0 {
		reader.say = languages[i]
	}
	return s.renderLetter(w, reader, page)
}

// sendShared sends the same letter on paper.
func (s *Server) sendShared(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	letter, err := s.shared(w, r)
	if err != nil {
		return err
	}
	pdf, err := s.store.LetterPDF(r.Context(), letter.VehicleID, letter.ID)
	if err != nil {
		return err
	}
	return sendPDF(w, letter.Vehicle, letter.Day, pdf)
}

// shared finds the letter that the address leads to, of which nobody else is to
// learn.
func (s *Server) shared(w http.ResponseWriter, r *http.Request) (store.SharedLetter, error) {
	w.Header().Set("Referrer-Policy", "no-referrer") // the address is the secret
	w.Header().Set("X-Robots-Tag", "noindex")
	letter, err := s.store.Shared(r.Context(), r.PathValue("secret"))
	if errors.Is(err, study.ErrNotFound) {
		err = fault{http.StatusNotFound, "fault.shared"}
	}
	return letter, err
}
