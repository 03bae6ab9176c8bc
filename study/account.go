package study

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// Account is somebody who may sign in. Whom the records name as operator is a
// Person, who needs no account.
type Account struct {
	ID   ID
	Name string // to sign in by: lower case
	// PasswordHash is empty until the account has chosen a password.
	PasswordHash string
	// Steward owns every study, those to come too.
	Steward  bool
	Disabled bool
	// SessionsFrom counts the times that all sessions were ended; a session is
	// of the count at its start.
	SessionsFrom int
	// OperatorID is the person whose readings the account logs; nil for none.
	OperatorID *ID
}

// AccountName is name as accounts are known by: without blanks around it, in
// lower case, so that nobody fails to sign in over a capital.
func AccountName(name string) string {
	return strings.ToLower(strings.TrimSpace(name))
}

// Validate says what is wrong with a.
func (a Account) Validate() Problems {
	var ps Problems
	unfit := func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) }
	if n := utf8.RuneCountInString(a.Name); n < 1 || n > 100 || !utf8.ValidString(a.Name) || strings.ContainsFunc(a.Name, unfit) {
		ps.add("name", a.Name, "expected 1 to 100 characters without spaces")
	}
	if a.Name != AccountName(a.Name) {
		ps.add("name", a.Name, "expected lower case")
	}
	return ps
}

// Role says what an account may do in a study.
type Role string

// The roles, the one that may do most first.
const (
	Owner    Role = "owner"    // everything
	Operator Role = "operator" // look, and log what is done in the bay
	Reader   Role = "reader"   // look
)

// Roles lists the roles, the one that may do most first.
func Roles() []Role { return []Role{Owner, Operator, Reader} }

// MayLog reports whether the role logs checkups, care and coating jobs.
func (r Role) MayLog() bool { return r == Owner || r == Operator }

// MayOwn reports whether the role changes protocol, people and records.
func (r Role) MayOwn() bool { return r == Owner }

// Membership is what an account may do in one study.
type Membership struct {
	AccountID ID
	StudyID   ID
	Role      Role
	// EveryShop: all vehicles of the study; else those of the shops in ShopIDs.
	EveryShop bool
	ShopIDs   []ID
}

// Validate says what is wrong with m.
func (m Membership) Validate() Problems {
	var ps Problems
	oneOf(&ps, "role", m.Role, Roles())
	switch {
	case m.Role == Owner && !m.EveryShop:
		ps.add("shops", "", "an owner has every shop")
	case m.EveryShop && len(m.ShopIDs) > 0:
		ps.add("shops", "", "expected either every shop or a list of shops")
	case !m.EveryShop && len(m.ShopIDs) == 0:
		ps.add("shops", "", "expected every shop or at least one")
	}
	return ps
}
