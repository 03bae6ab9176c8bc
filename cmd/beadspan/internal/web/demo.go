package web

import (
	"errors"
	"net/http"

	"beadspan/study"
	"beadspan/study/store"
)

// demoAccount is the name of whoever looks at the demo.
const demoAccount = "demo"

// signInToDemo signs in whoever asks, as the owner of the demo. The server
// offers it only where it shows the demo, on this machine.
func (s *Server) signInToDemo(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	a := study.Account{ID: study.NewID(), Name: demoAccount, Steward: true}
	err := s.store.AddFirstAccount(r.Context(), a)
	if errors.Is(err, store.ErrAccounts) {
		a, err = s.store.AccountByName(r.Context(), demoAccount)
	}
	if err != nil {
		return err
	}
	if err := s.begin(r, a); err != nil {
		return err
	}
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}
