package web

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestMatchPasswordReference compares with hashes in PHC form that the
// reference implementation's own tests have for the salt "somesalt":
// https://github.com/P-H-C/phc-winner-argon2/blob/master/src/test.c
// (from memory, and found right by the library that is tested here).
func TestMatchPasswordReference(t *testing.T) {
	for stored, password := range map[string]string{
		"$argon2id$v=19$m=65536,t=2,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc": "password",
		"$argon2id$v=19$m=256,t=2,p=1$c29tZXNhbHQ$nf65EOgLrQMR/uIPnA4rEsF5h7TKyQwu9U1bMCHGi/4":   "password",
	} {
		right, err := matchPassword(password, stored)
		require.NoError(t, err, stored)
		assert.True(t, right, stored)
		right, err = matchPassword(password+"x", stored)
		require.NoError(t, err, stored)
		assert.False(t, right, stored)
	}
}

func TestHashPassword(t *testing.T) {
	first, second := hashPassword(testPassword, cheap), hashPassword(testPassword, cheap)
	assert.NotEqual(t, first, second, "each has a salt of its own")
	assert.True(t, strings.HasPrefix(first, "$argon2id$v=19$m=8,t=1,p=1$"))
	right, err := matchPassword(testPassword, first)
	require.NoError(t, err)
	assert.True(t, right)
}

func TestMatchPasswordRefusesOtherHashes(t *testing.T) {
	for _, stored := range []string{
		"", "secret", "$argon2i$v=19$m=8,t=1,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
		"$argon2id$v=16$m=8,t=1,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
		"$argon2id$v=19$m=8,t=0,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
		"$argon2id$v=19$m=8,t=1,p=0$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
		"$argon2id$v=19$m=99999999,t=1,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
		"$argon2id$v=19$m=8,t=1,p=1$c29tZXNhbHQ$", "$argon2id$v=19$m=8,t=1,p=1$?$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc",
	} {
		right, err := matchPassword("", stored)
		require.ErrorIs(t, err, errHash, stored)
		assert.False(t, right, stored)
	}
}

func TestPasswordFault(t *testing.T) {
	for password, want := range map[string]string{
		"":                              "password.short",
		"ä" + strings.Repeat("x", 13):   "password.short", // characters, not bytes
		"ä" + strings.Repeat("x", 14):   "",
		strings.Repeat("x", 15):         "password.same",
		strings.Repeat("ä", 15):         "password.same",
		strings.Repeat("xy", 100):       "",
		strings.Repeat("xy", 100) + "z": "password.long",
	} {
		assert.Equal(t, want, passwordFault(password), password)
	}
}

func BenchmarkHashPassword(b *testing.B) {
	for b.Loop() {
		hashPassword(testPassword, usualCost)
	}
}
