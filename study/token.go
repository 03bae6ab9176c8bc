package study

import (
	"strings"
	"time"
	"unicode"
	"unicode/utf8"
)

// Token lets a program act as an account in one study. What the program shows
// is a secret that isn't kept; whoever loses it makes another token.
type Token struct {
	ID        ID
	AccountID ID
	StudyID   ID
	// Role is the most that the token may do. What its account may no longer do,
	// it may not either.
	Role    Role
	Label   string // what it is for
	Expires time.Time
	Revoked *time.Time // nil while it is good
	Used    *time.Time // last, to the minute or so; nil: never
	Made    time.Time
}

// Validate says what is wrong with t.
func (t Token) Validate() Problems {
	var ps Problems
	label(&ps, t.Label)
	oneOf(&ps, "role", t.Role, Roles())
	if t.Expires.IsZero() {
		ps.add("expires", "", "expected the time until which it is good")
	}
	return ps
}

// Good reports whether the token may still be used at that time.
func (t Token) Good(at time.Time) bool { return t.Revoked == nil && at.Before(t.Expires) }

// Within is the role that is left of r under a role that may do less.
func (r Role) Within(most Role) Role {
	switch {
	case most.MayOwn():
		return r
	case most.MayLog() && r.MayLog():
		return Operator
	}
	return Reader
}

// label says what is wrong with what people call a token or a passkey.
func label(ps *Problems, text string) {
	n := utf8.RuneCountInString(text)
	if n < 1 || n > 100 || !utf8.ValidString(text) || strings.ContainsFunc(text, unicode.IsControl) || strings.TrimSpace(text) != text {
		ps.add("label", text, "expected 1 to 100 characters that say what it is for")
	}
}

// ShareLink lets whoever has it read one letter, and nothing else.
type ShareLink struct {
	ID        ID
	StudyID   ID
	VehicleID ID
	LetterID  ID // of a letter to that vehicle's customer
	MadeBy    ID // account
	Expires   time.Time
	Revoked   *time.Time // nil while it is good
	Made      time.Time
}

// Good reports whether the link may still be used at that time.
func (l ShareLink) Good(at time.Time) bool { return l.Revoked == nil && at.Before(l.Expires) }

// Passkey is the public half of a key pair by which an account signs in; a
// phone or desk keeps the other.
type Passkey struct {
	Credential []byte // what the device calls the pair
	AccountID  ID
	Label      string
	// Record is what the protocol has to know of the pair, as JSON.
	Record []byte
	Used   *time.Time // last; nil: never
	Made   time.Time
}

// Validate says what is wrong with p.
func (p Passkey) Validate() Problems {
	var ps Problems
	label(&ps, p.Label)
	return ps
}
