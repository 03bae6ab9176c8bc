package store_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store/storetest"
)

func TestTokens(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	a, st := newAccount("kw"), addStudy(t, s, "S1")
	require.NoError(t, s.AddFirstAccount(t.Context(), a))
	tomorrow := time.Now().Add(24 * time.Hour)
	token := study.Token{ID: study.NewID(), AccountID: a.ID, StudyID: st.ID, Role: study.Operator, Label: "lift gate", Expires: tomorrow}
	past := token
	past.ID, past.Expires = study.NewID(), time.Now().Add(-time.Minute)
	require.NoError(t, s.AddToken(t.Context(), token, "secret"))
	require.NoError(t, s.AddToken(t.Context(), past, "old secret"))

	found, err := s.TokenOf(t.Context(), "secret")
	require.NoError(t, err)
	assert.Equal(t, token.ID, found.ID)
	assert.Equal(t, study.Operator, found.Role)
	assert.True(t, found.Good(time.Now()))
	for _, wrong := range []string{"", "Secret", "old secret", "secret\x00"} {
		_, err := s.TokenOf(t.Context(), wrong)
		assert.ErrorIs(t, err, study.ErrNotFound, "%q", wrong)
	}

	list, err := s.Tokens(t.Context(), a.ID)
	require.NoError(t, err)
	require.Len(t, list, 2)
	used := map[study.ID]bool{list[0].ID: list[0].Used != nil, list[1].ID: list[1].Used != nil}
	assert.Equal(t, map[study.ID]bool{token.ID: true, past.ID: false}, used)

	require.ErrorIs(t, s.RevokeToken(t.Context(), study.NewID(), token.ID), study.ErrNotFound, "another account's")
	require.NoError(t, s.RevokeToken(t.Context(), a.ID, token.ID))
	require.NoError(t, s.RevokeToken(t.Context(), a.ID, token.ID), "twice is once")
	_, err = s.TokenOf(t.Context(), "secret")
	require.ErrorIs(t, err, study.ErrNotFound)

	var problems study.Problems
	require.ErrorAs(t, s.AddToken(t.Context(), study.Token{ID: study.NewID(), Role: "king"}, "x"), &problems)
	assert.Len(t, problems, 3, "label, role and time")
}

func TestPasskeys(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	a := newAccount("kw")
	require.NoError(t, s.AddFirstAccount(t.Context(), a))
	key := study.Passkey{Credential: []byte{0, 1, 255}, AccountID: a.ID, Label: "phone", Record: []byte(`{"n": 1}`)}
	require.NoError(t, s.AddPasskey(t.Context(), key))
	require.NoError(t, s.UsePasskey(t.Context(), a.ID, key.Credential, []byte(`{"n": 2}`)))
	list, err := s.Passkeys(t.Context(), a.ID)
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, key.Credential, list[0].Credential)
	assert.JSONEq(t, `{"n": 2}`, string(list[0].Record))
	assert.NotNil(t, list[0].Used)

	require.ErrorIs(t, s.UsePasskey(t.Context(), study.NewID(), key.Credential, []byte(`{}`)), study.ErrNotFound)
	require.ErrorIs(t, s.RemovePasskey(t.Context(), study.NewID(), key.Credential), study.ErrNotFound, "another account's")
	require.NoError(t, s.RemovePasskey(t.Context(), a.ID, key.Credential))
	list, err = s.Passkeys(t.Context(), a.ID)
	require.NoError(t, err)
	assert.Empty(t, list)
	var problems study.Problems
	require.ErrorAs(t, s.AddPasskey(t.Context(), study.Passkey{Label: " "}), &problems)
}
