package web

import (
	"encoding/base64"
	"errors"
	"net/http"
	"strings"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"

	"beadspan/study"
)

func (s *Server) passkeyRoutes() []route {
	return []route{
		{pattern: "GET /passkeys", needs: account, do: s.showPasskeys},
		{pattern: "POST /passkeys/begin", needs: account, do: s.beginPasskey},
		{pattern: "POST /passkeys", needs: account, do: s.addPasskey},
		{pattern: "POST /passkeys/remove", needs: account, do: s.removePasskey},
		{pattern: "POST /sign-in/passkey/begin", needs: anybody, do: s.beginPasskeySignIn},
		{pattern: "POST /sign-in/passkey", needs: anybody, do: s.signInByPasskey},
	}
}

// What a session keeps between the two halves of what a device is asked.
const (
	sessionNewPasskey = "new passkey"
	sessionByPasskey  = "by passkey"
)

// passkeysPage lists the passkeys of whoever looks.
type passkeysPage struct {
	Passkeys []passkeyLine
}

// passkeyLine is a passkey as the list shows it.
type passkeyLine struct {
	study.Passkey
}

// Name is what the device calls the key pair, for a form.
func (l passkeyLine) Name() string { return base64.RawURLEncoding.EncodeToString(l.Credential) }

// On is the day on which the passkey was made.
func (l passkeyLine) On() study.Day { return study.DayOfTime(l.Made) }

// LastUsed is the day on which the passkey was used last; nil for never.
func (l passkeyLine) LastUsed() *study.Day {
	if l.Used == nil {
		return nil
	}
	day := study.DayOfTime(*l.Used)
	return &day
}

func (s *Server) showPasskeys(w http.ResponseWriter, r *http.Request, v *viewer) error {
	passkeys, err := s.store.Passkeys(r.Context(), v.account.ID)
	if err != nil {
		return err
	}
	var page passkeysPage
	for _, p := range passkeys {
		page.Passkeys = append(page.Passkeys, passkeyLine{p})
	}
	return s.render(w, v, http.StatusOK, "passkeys.html", v.say.text("passkeys.title"), page)
}

// beginPasskey asks the device for a new key pair.
func (s *Server) beginPasskey(w http.ResponseWriter, r *http.Request, v *viewer) error {
	protocolOf, who, err := s.passkeyCeremony(r, v.account)
	if err != nil {
		return err
	}
	var known []protocol.CredentialDescriptor
	for _, c := range who.credentials {
		known = append(known, c.Descriptor())
	}
	asked, kept, err := protocolOf.BeginRegistration(who, webauthn.WithExclusions(known),
		// The device says who signs in, and asks its person for a finger or PIN:
		// what a password and a second factor do together.
		webauthn.WithAuthenticatorSelection(protocol.AuthenticatorSelection{
			RequireResidentKey: protocol.ResidentKeyRequired(),
			ResidentKey:        protocol.ResidentKeyRequirementRequired,
			UserVerification:   protocol.VerificationRequired,
		}))
	if err != nil {
		return err
	}
	if err := s.keepCeremony(r, sessionNewPasskey, kept); err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, asked)
}

// addPasskey stores the public half of the key pair that the device has made.
func (s *Server) addPasskey(w http.ResponseWriter, r *http.Request, v *viewer) error {
	protocolOf, who, err := s.passkeyCeremony(r, v.account)
	if err != nil {
		return err
	}
	kept, err := s.keptCeremony(r, sessionNewPasskey)
	if err != nil {
		return err
	}
	made, err := protocolOf.FinishRegistration(who, kept, r)
	if err != nil {
		return s.refusedByProtocol(r, err)
	}
	record, err := recordOf(made)
	if err != nil {
		return err
	}
	p := study.Passkey{Credential: made.ID, AccountID: v.account.ID, Label: strings.TrimSpace(r.URL.Query().Get("label")), Record: record}
	err = s.store.AddPasskey(r.Context(), p)
	var problems study.Problems
	if errors.As(err, &problems) {
		return fault{http.StatusUnprocessableEntity, "passkeys.label_wrong"}
	}
	if err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, passkeyTaken{"/passkeys"})
}

// passkeyTaken says where to go on.
type passkeyTaken struct {
	To string `json:"to"`
}

// removePasskey forgets a passkey: the device keeps its half, which opens
// nothing any more.
func (s *Server) removePasskey(w http.ResponseWriter, r *http.Request, v *viewer) error {
	if err := parseForm(r); err != nil {
		return err
	}
	credential, err := base64.RawURLEncoding.DecodeString(r.PostForm.Get("credential"))
	if err != nil {
		return study.ErrNotFound
	}
	if err := s.store.RemovePasskey(r.Context(), v.account.ID, credential); err != nil {
		return err
	}
	http.Redirect(w, r, "/passkeys", http.StatusSeeOther)
	return nil
}
