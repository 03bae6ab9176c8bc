package web

import (
	"crypto/rand"
	"errors"
	"net/http"
	"time"

	"beadspan/study"
)

// invitationsLast is how long a link for choosing a password is good.
const invitationsLast = 7 * 24 * time.Hour

func (s *Server) invitationRoutes() []route {
	return []route{
		{pattern: "GET /invitation/{secret}", needs: anybody, do: s.showInvitation},
		{pattern: "POST /invitation/{secret}", needs: anybody, do: s.takeInvitation},
	}
}

// invitationPage is the form in which somebody invited chooses a password.
type invitationPage struct {
	Name  string
	Fault string // key of what is wrong; empty at first
}

func (s *Server) showInvitation(w http.ResponseWriter, r *http.Request, v *viewer) error {
	a, err := s.store.Invited(r.Context(), r.PathValue("secret"))
	if err != nil {
		return gone(err)
	}
	return s.renderInvitation(w, v, http.StatusOK, invitationPage{Name: a.Name})
}

func (s *Server) renderInvitation(w http.ResponseWriter, v *viewer, status int, page invitationPage) error {
	return s.render(w, v, status, "invitation.html", v.say.text("invitation.title"), page)
}

// takeInvitation stores the password and signs in.
func (s *Server) takeInvitation(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	a, err := s.store.Invited(r.Context(), r.PathValue("secret"))
	if err != nil {
		return gone(err)
	}
	if wrong := passwordFault(r.PostForm.Get("password")); wrong != "" {
		return s.renderInvitation(w, v, http.StatusUnprocessableEntity, invitationPage{a.Name, wrong})
	}
	hash, err := s.hashed(r.Context(), r.PostForm.Get("password"))
	if err != nil {
		return err
	}
	if a, err = s.store.TakeInvitation(r.Context(), r.PathValue("secret"), hash); err != nil {
		return gone(err)
	}
	if err := s.begin(r, a); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// gone says of a link that isn't good any more what to do.
func gone(err error) error {
	if errors.Is(err, study.ErrNotFound) {
		return fault{http.StatusNotFound, "fault.invitation"}
	}
	return err
}

// invite makes a link by which the account chooses a password, in place of an
// earlier one.
func (s *Server) invite(r *http.Request, accountID study.ID) (path string, err error) {
	secret := rand.Text() // 128 bits and more
	if err := s.store.Invite(r.Context(), accountID, secret, time.Now().Add(invitationsLast)); err != nil {
		return "", err
	}
	return "/invitation/" + secret, nil
}
