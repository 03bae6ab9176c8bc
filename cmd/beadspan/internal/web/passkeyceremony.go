package web

import (
	"encoding/json"
	"net"
	"net/http"
	"time"

	"github.com/go-webauthn/webauthn/webauthn"

	"beadspan/study"
)

// callsOfPasskeys is how often one address may begin to sign in by a passkey:
// each begins a session.
var callsOfPasskeys = pace{30, 5 * time.Second}

// webauthn is the protocol of passkeys for the name by which the browser
// reached this server: that is what its passkeys are bound to.
func (s *Server) webauthn(r *http.Request) (*webauthn.WebAuthn, error) {
	host := r.Host
	if name, _, err := net.SplitHostPort(host); err == nil {
		host = name
	}
	w, err := webauthn.New(&webauthn.Config{RPID: host, RPDisplayName: "beadspan", RPOrigins: []string{s.origin(r)}})
	if err != nil || net.ParseIP(host) != nil {
		return nil, fault{http.StatusBadRequest, "passkeys.host"} // passkeys need a name
	}
	return w, nil
}

// passkeyHolder is an account as the protocol sees it.
type passkeyHolder struct {
	account     study.Account
	credentials []webauthn.Credential
}

// WebAuthnID is what the device hands back to say whose passkey it is.
func (h *passkeyHolder) WebAuthnID() []byte { return h.account.ID[:] }

// WebAuthnName is what the device shows.
func (h *passkeyHolder) WebAuthnName() string { return h.account.Name }

// WebAuthnDisplayName is what the device shows.
func (h *passkeyHolder) WebAuthnDisplayName() string { return h.account.Name }

// WebAuthnCredentials are the account's passkeys.
func (h *passkeyHolder) WebAuthnCredentials() []webauthn.Credential { return h.credentials }

// holder reads an account's passkeys.
func (s *Server) holder(r *http.Request, a study.Account) (*passkeyHolder, error) {
	passkeys, err := s.store.Passkeys(r.Context(), a.ID)
	if err != nil {
		return nil, err
	}
	h := &passkeyHolder{account: a}
	for _, p := range passkeys {
		var c webauthn.Credential
		if err := json.Unmarshal(p.Record, &c); err != nil {
			return nil, err
		}
		h.credentials = append(h.credentials, c)
	}
	return h, nil
}

func (s *Server) passkeyCeremony(r *http.Request, a study.Account) (*webauthn.WebAuthn, *passkeyHolder, error) {
	protocolOf, err := s.webauthn(r)
	if err != nil {
		return nil, nil, err
	}
	who, err := s.holder(r, a)
	return protocolOf, who, err
}

// recordOf is what is stored of a key pair.
func recordOf(c *webauthn.Credential) ([]byte, error) { return json.Marshal(c) }

// keepCeremony keeps in the session what the device was asked.
func (s *Server) keepCeremony(r *http.Request, key string, asked *webauthn.SessionData) error {
	text, err := json.Marshal(asked)
	if err != nil {
		return err
	}
	s.sessions.Put(r.Context(), key, string(text))
	return nil
}

// keptCeremony takes it out again: each question is answered once.
func (s *Server) keptCeremony(r *http.Request, key string) (webauthn.SessionData, error) {
	var asked webauthn.SessionData
	if err := json.Unmarshal([]byte(s.sessions.PopString(r.Context(), key)), &asked); err != nil {
		return asked, fault{http.StatusBadRequest, "passkeys.refused"} // nothing was asked
	}
	return asked, nil
}

// refusedByProtocol says that an answer of a device isn't what was asked for.
func (s *Server) refusedByProtocol(r *http.Request, err error) error {
	s.log.InfoContext(r.Context(), "passkey refused", "error", err)
	return fault{http.StatusForbidden, "passkeys.refused"}
}
