package web

import (
	"errors"
	"net/http"

	"github.com/go-webauthn/webauthn/protocol"
	"github.com/go-webauthn/webauthn/webauthn"
	"github.com/google/uuid"

	"beadspan/study"
)

// beginPasskeySignIn asks the device for a signature by any passkey that it has
// for this server.
func (s *Server) beginPasskeySignIn(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	if !s.throttle.allowCall("passkeys from "+s.address(r), callsOfPasskeys) {
		return fault{http.StatusTooManyRequests, "signin.throttled"}
	}
	protocolOf, err := s.webauthn(r)
	if err != nil {
		return err
	}
	asked, kept, err := protocolOf.BeginDiscoverableLogin(webauthn.WithUserVerification(protocol.VerificationRequired))
	if err != nil {
		return err
	}
	if err := s.keepCeremony(r, sessionByPasskey, kept); err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, asked)
}

// signInByPasskey begins a session of the account whose passkey has signed.
func (s *Server) signInByPasskey(w http.ResponseWriter, r *http.Request, _ *viewer) error {
	protocolOf, err := s.webauthn(r)
	if err != nil {
		return err
	}
	kept, err := s.keptCeremony(r, sessionByPasskey)
	if err != nil {
		return err
	}
	var unreachable error // of the database, which the library would take for a wrong signature
	who, used, err := protocolOf.FinishPasskeyLogin(func(_, handle []byte) (webauthn.User, error) {
		who, err := s.passkeyHolder(r, handle)
		if err != nil && !errors.Is(err, study.ErrNotFound) {
			unreachable = err
		}
		return who, err
	}, kept, r)
	if unreachable != nil {
		return unreachable
	}
	if err != nil {
		return s.refusedByProtocol(r, err)
	}
	if used.Authenticator.CloneWarning {
		s.log.WarnContext(r.Context(), "a passkey may have been copied", "account", who.(*passkeyHolder).account.ID)
		return fault{http.StatusForbidden, "passkeys.refused"}
	}
	return s.beginByPasskey(w, r, who.(*passkeyHolder).account, used)
}

// passkeyHolder is the account that the device names.
func (s *Server) passkeyHolder(r *http.Request, handle []byte) (*passkeyHolder, error) {
	id, err := uuid.FromBytes(handle)
	if err != nil {
		return nil, study.ErrNotFound
	}
	a, err := s.store.Account(r.Context(), id)
	if err != nil {
		return nil, err
	}
	if a.Disabled {
		return nil, study.ErrNotFound
	}
	return s.holder(r, a)
}

// beginByPasskey notes the use of the passkey and begins the session.
func (s *Server) beginByPasskey(w http.ResponseWriter, r *http.Request, a study.Account, used *webauthn.Credential) error {
	record, err := recordOf(used)
	if err != nil {
		return err
	}
	if err := s.store.UsePasskey(r.Context(), a.ID, used.ID, record); err != nil {
		return err
	}
	if err := s.begin(r, a); err != nil {
		return err
	}
	return answerJSON(w, http.StatusOK, passkeyTaken{local(r.URL.Query().Get("next"))})
}
