package web

import (
	"net/http"
	"net/url"
)

// studyPath is the address of a page of the study: rest is empty or begins
// with a slash.
func studyPath(study, rest string) string {
	return "/studies/" + url.PathEscape(study) + rest
}

// vehiclePath is the address of a vehicle's page.
func vehiclePath(study, code string) string {
	return studyPath(study, "/vehicles/"+url.PathEscape(code))
}

// lettersPath is the address of the letters to a vehicle's customer.
func lettersPath(study, code string) string { return vehiclePath(study, code) + "/letters" }

// bayPath is the address of a vehicle in the bay.
func bayPath(study, code string) string {
	return studyPath(study, "/bay/"+url.PathEscape(code))
}

// origin is how the browser reached this server, for a link to hand to
// somebody else.
func (s *Server) origin(r *http.Request) string {
	if s.opts.Secure {
		return "https://" + r.Host
	}
	return "http://" + r.Host
}
