package web

import (
	"net/http"
	"slices"
)

// need is what somebody must be to ask for a page.
type need int

const (
	anybody     need = iota // also without an account
	account                 // signed in
	stewardship             // looks after every study
	reading                 // sees the study named in the address
	logging                 // logs what is done in the bay
	ownership               // changes the study's protocol, people and records
)

// handler answers one request with a page. What it returns becomes the page of
// that error.
type handler func(w http.ResponseWriter, r *http.Request, v *viewer) error

// route is one address and who may ask for it. A pattern with {study} is of
// that study, and needs at least reading.
type route struct {
	pattern string
	needs   need
	do      handler
	// mostBytes bounds the body of a request; 0 is mostFormBytes.
	mostBytes int64
}

// mostFormBytes is enough for any form that people fill in.
const mostFormBytes = 256 << 10

// routes lists all pages, those of each concept beside its handlers.
func (s *Server) routes() []route {
	return slices.Concat(
		s.setupRoutes(),
		s.setupStudyRoutes(),
		s.setupPageRoutes(),
		s.signInRoutes(),
		s.invitationRoutes(),
		s.settingsRoutes(),
		s.homeRoutes(),
		s.vehicleRoutes(),
		s.officeRoutes(),
		s.peopleRoutes(),
		s.passkeyRoutes(),
		s.tokenRoutes(),
		s.shareRoutes(),
		s.letterRoutes(),
		s.letterheadRoutes(),
		s.letterRunRoutes(),
		s.apiRoutes(),
		s.bayRoutes(),
		s.photoRoutes(),
		s.labelRoutes(),
	)
}

func (s *Server) mux() http.Handler {
	mux := http.NewServeMux()
	mux.Handle("GET "+assetPrefix, s.assets)
	pages := http.NewServeMux()
	for _, rt := range s.routes() {
		pages.Handle(rt.pattern, s.page(rt))
	}
	pages.Handle("/", s.page(route{pattern: "/", needs: anybody, do: func(http.ResponseWriter, *http.Request, *viewer) error {
		return fault{http.StatusNotFound, "fault.not_found"}
	}}))
	mux.Handle("/", s.sessions.LoadAndSave(pages))
	mux.Handle(apiPrefix, s.sessions.LoadAndSave(pages)) // its page, rather than a way to the line below
	mux.Handle(apiPrefix+"/", s.sessions.LoadAndSave(s.apiHandler()))
	return mux
}

// page finds out who asks, turns away whoever may not, and turns what the
// handler returns into an answer.
func (s *Server) page(rt route) http.Handler {
	most := rt.mostBytes
	if most == 0 {
		most = mostFormBytes
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Body = http.MaxBytesReader(w, r.Body, most)
		w.Header().Set("Cache-Control", "no-store") // pages hold what is not everybody's
		noteOf(r.Context()).route = rt.pattern
		v, err := s.viewer(r, rt.needs)
		if err == nil {
			err = rt.do(w, r, v)
		}
		if err != nil {
			s.fail(w, r, v, err)
		}
	})
}
