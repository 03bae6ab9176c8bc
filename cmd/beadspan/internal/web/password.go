package web

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"golang.org/x/crypto/argon2"
)

// argonCost is what hashing one password costs.
type argonCost struct {
	memoryKiB uint32
	passes    uint32
	lanes     uint8
}

// usualCost is the second recommended option of RFC 9106, section 4: 64 MiB,
// three passes, four lanes.
var usualCost = argonCost{64 << 10, 3, 4}

// hashesAtOnce bounds the memory that people who sign in at once take.
const hashesAtOnce = 2

// The sizes that RFC 9106 recommends, in bytes.
const (
	saltBytes = 16
	hashBytes = 32
)

// errHash says that a stored hash can't be read.
var errHash = errors.New("the stored password hash is not one of argon2id version 19")

// hashPassword turns a password into what is stored of it, in PHC form:
//
//	$argon2id$v=19$m=65536,t=3,p=4$salt$hash
func hashPassword(password string, cost argonCost) string {
	salt := make([]byte, saltBytes)
	rand.Read(salt) // never fails: it ends the program first
	hash := argon2.IDKey([]byte(password), salt, cost.passes, cost.memoryKiB, cost.lanes, hashBytes)
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, cost.memoryKiB, cost.passes, cost.lanes,
		base64.RawStdEncoding.EncodeToString(salt), base64.RawStdEncoding.EncodeToString(hash))
}

// matchPassword reports whether password is the one that stored was made from,
// in a time that doesn't tell how much of it was right.
func matchPassword(password, stored string) (bool, error) {
	parts := strings.Split(stored, "$")
	var version int
	var cost argonCost
	if len(parts) != 6 || parts[0] != "" || parts[1] != "argon2id" {
		return false, errHash
	}
	if _, err := fmt.Sscanf(parts[2], "v=%d", &version); err != nil || version != argon2.Version {
		return false, errHash
	}
	if _, err := fmt.Sscanf(parts[3], "m=%d,t=%d,p=%d", &cost.memoryKiB, &cost.passes, &cost.lanes); err != nil || cost.unfit() {
		return false, errHash
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil {
		return false, errHash
	}
	want, err := base64.RawStdEncoding.DecodeString(parts[5])
	if err != nil || len(want) < 16 || len(want) > 64 {
		return false, errHash
	}
	got := argon2.IDKey([]byte(password), salt, cost.passes, cost.memoryKiB, cost.lanes, uint32(len(want)))
	return subtle.ConstantTimeCompare(got, want) == 1, nil
}

// unfit reports a cost that would take the server down or make the hash panic.
func (c argonCost) unfit() bool {
	return c.passes < 1 || c.passes > 10 || c.lanes < 1 || c.memoryKiB > 1<<20
}

// The length of a password in characters. NIST SP 800-63B-4, section 3.1.1.2,
// asks for 15 where a password alone signs in, and for room for 64.
const (
	shortestPassword = 15
	longestPassword  = 200
)

// passwordFault says what is wrong with a new password, by the key of its
// message; empty: nothing.
func passwordFault(password string) string {
	switch n := utf8.RuneCountInString(password); {
	case n < shortestPassword:
		return "password.short"
	case n > longestPassword:
		return "password.long"
	case strings.Trim(password, firstRune(password)) == "":
		return "password.same"
	}
	return ""
}

func firstRune(text string) string {
	_, size := utf8.DecodeRuneInString(text)
	return text[:size]
}

// hashed hashes a password when it is its turn.
func (s *Server) hashed(ctx context.Context, password string) (string, error) {
	if err := s.takeTurn(ctx); err != nil {
		return "", err
	}
	defer s.endTurn()
	return hashPassword(password, s.cost), nil
}

// matches compares a password when it is its turn.
func (s *Server) matches(ctx context.Context, password, stored string) (bool, error) {
	if err := s.takeTurn(ctx); err != nil {
		return false, err
	}
	defer s.endTurn()
	return matchPassword(password, stored)
}

func (s *Server) takeTurn(ctx context.Context) error {
	select {
	case s.hashing <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (s *Server) endTurn() { <-s.hashing }
