package store_test

import (
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study"
	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

const someHash = "$argon2id$v=19$m=8,t=1,p=1$c29tZXNhbHQ$CTFhFdXPJO1aFaMaO6Mm5c8y7cJHAph8ArZWb2GRPPc"

func newAccount(name string) study.Account {
	return study.Account{ID: study.NewID(), Name: name, PasswordHash: someHash}
}

func everyShop(a study.Account, st study.Study, role study.Role) study.Membership {
	return study.Membership{AccountID: a.ID, StudyID: st.ID, Role: role, EveryShop: true}
}

// Of many who make the first account at once, one does.
func TestFirstAccountIsOne(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	has, err := s.HasAccounts(t.Context())
	require.NoError(t, err)
	assert.False(t, has)
	var made atomic.Int64
	var all sync.WaitGroup
	for _, name := range []string{"a", "b", "c", "d", "e", "f"} {
		all.Go(func() {
			err := s.AddFirstAccount(t.Context(), newAccount(name))
			if err == nil {
				made.Add(1)
			} else {
				assert.ErrorIs(t, err, store.ErrAccounts)
			}
		})
	}
	all.Wait()
	assert.Equal(t, int64(1), made.Load())
	has, err = s.HasAccounts(t.Context())
	require.NoError(t, err)
	assert.True(t, has)
}

func TestAccountsAndWhatTheyMay(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	one, two := addStudy(t, s, "ONE"), addStudy(t, s, "TWO")
	f := sample()
	f.Shops = []study.Shop{{ID: study.NewID(), Code: "NORTH"}}
	f.Vehicles[0].ShopID = &f.Shops[0].ID
	load(t, s, one, f)
	steward := newAccount("steward")
	steward.Steward = true
	require.NoError(t, s.AddFirstAccount(t.Context(), steward))
	kw := newAccount("kw")
	kw.OperatorID = &f.People[0].ID
	limited := study.Membership{AccountID: kw.ID, StudyID: one.ID, Role: study.Operator, ShopIDs: []study.ID{f.Shops[0].ID}}
	require.NoError(t, s.AddAccount(t.Context(), kw, limited))

	got, err := s.AccountByName(t.Context(), "kw")
	require.NoError(t, err)
	assert.Equal(t, kw, got)
	got, err = s.Account(t.Context(), kw.ID)
	require.NoError(t, err)
	assert.Equal(t, kw, got)
	_, err = s.AccountByName(t.Context(), "KW")
	require.ErrorIs(t, err, study.ErrNotFound)
	_, err = s.Account(t.Context(), study.NewID())
	require.ErrorIs(t, err, study.ErrNotFound)

	access, err := s.AccessOf(t.Context(), kw, "ONE")
	require.NoError(t, err)
	assert.Equal(t, limited, access.Membership)
	assert.Equal(t, one.ID, access.Study.ID)
	_, err = s.AccessOf(t.Context(), kw, "TWO")
	require.ErrorIs(t, err, study.ErrNotFound, "a study that isn't theirs")
	_, err = s.AccessOf(t.Context(), kw, "NONE")
	require.ErrorIs(t, err, study.ErrNotFound)
	assert.Equal(t, []string{"ONE"}, codesOf(t, s, kw))
	assert.Equal(t, []string{"ONE", "TWO"}, codesOf(t, s, steward))
	access, err = s.AccessOf(t.Context(), steward, "TWO")
	require.NoError(t, err)
	assert.Equal(t, everyShop(steward, two, study.Owner), access.Membership)

	require.NoError(t, s.PutMembership(t.Context(), everyShop(kw, one, study.Reader)))
	require.NoError(t, s.PutMembership(t.Context(), everyShop(kw, two, study.Owner)))
	members, err := s.Members(t.Context(), one.ID)
	require.NoError(t, err)
	assert.Equal(t, []store.Member{
		{Account: kw, Membership: everyShop(kw, one, study.Reader), Operator: "KW"},
		{Account: steward, Membership: everyShop(steward, one, study.Owner)},
	}, members)
	require.NoError(t, s.PutMembership(t.Context(), limited))
	require.NoError(t, s.EndMembership(t.Context(), one.ID, kw.ID), "with its shops")
	require.ErrorIs(t, s.EndMembership(t.Context(), one.ID, kw.ID), study.ErrNotFound)
	assert.Equal(t, []string{"TWO"}, codesOf(t, s, kw))
}

func codesOf(t *testing.T, s *store.Store, a study.Account) (codes []string) {
	t.Helper()
	all, err := s.AccessesOf(t.Context(), a)
	require.NoError(t, err)
	for _, x := range all {
		codes = append(codes, x.Study.Code)
	}
	return codes
}

func TestAccountsRefused(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "ONE")
	kw := newAccount("kw")
	require.NoError(t, s.AddAccount(t.Context(), kw, everyShop(kw, st, study.Reader)))
	twin := newAccount("kw")
	err := s.AddAccount(t.Context(), twin, everyShop(twin, st, study.Reader))
	require.ErrorContains(t, err, "somebody else signs in by this name")
	other := newAccount("K W")
	require.ErrorContains(t, s.AddAccount(t.Context(), other, everyShop(other, st, "king")), "without spaces")
	elsewhere := study.Study{ID: study.NewID()}
	require.ErrorContains(t, s.PutMembership(t.Context(), everyShop(kw, elsewhere, study.Reader)), "no such study")
	nobody := newAccount("nobody")
	require.ErrorContains(t, s.PutMembership(t.Context(), everyShop(nobody, st, study.Reader)), "no such account")
	require.ErrorContains(t, s.AddFirstAccount(t.Context(), study.Account{ID: study.NewID(), Name: "x"}), "accounts already")
	_, err = s.SetPassword(t.Context(), kw.ID, "plain text")
	require.ErrorContains(t, err, "argon2id")
	_, err = s.SetPassword(t.Context(), study.NewID(), someHash)
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestDisableAccount(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "ONE")
	steward := newAccount("steward")
	steward.Steward = true
	require.NoError(t, s.AddFirstAccount(t.Context(), steward))
	kw := newAccount("kw")
	require.NoError(t, s.AddAccount(t.Context(), kw, everyShop(kw, st, study.Owner)))

	require.ErrorIs(t, s.DisableAccount(t.Context(), steward.ID, true), store.ErrLastSteward)
	require.ErrorIs(t, s.DisableAccount(t.Context(), study.NewID(), true), study.ErrNotFound)
	require.NoError(t, s.DisableAccount(t.Context(), kw.ID, true))
	a, err := s.Account(t.Context(), kw.ID)
	require.NoError(t, err)
	assert.True(t, a.Disabled)
	assert.Equal(t, 1, a.SessionsFrom)
	a, err = s.SetPassword(t.Context(), kw.ID, someHash)
	require.NoError(t, err)
	assert.Equal(t, 2, a.SessionsFrom)
}

func TestInvitations(t *testing.T) {
	t.Parallel()
	s := storetest.New(t)
	st := addStudy(t, s, "ONE")
	kw := study.Account{ID: study.NewID(), Name: "kw"}
	require.NoError(t, s.AddAccount(t.Context(), kw, everyShop(kw, st, study.Reader)))
	later := time.Now().Add(time.Hour)
	invited := func(secret string) error {
		_, err := s.Invited(t.Context(), secret)
		return err
	}
	require.NoError(t, s.Invite(t.Context(), kw.ID, "first", later))
	require.NoError(t, s.Invite(t.Context(), kw.ID, "second", later))
	require.ErrorIs(t, invited("first"), study.ErrNotFound, "the newer takes its place")
	require.NoError(t, invited("second"))
	require.Error(t, s.Invite(t.Context(), study.NewID(), "third", later))

	var taken atomic.Int64
	var all sync.WaitGroup
	for range 5 {
		all.Go(func() {
			if _, err := s.TakeInvitation(t.Context(), "second", someHash); err == nil {
				taken.Add(1)
			} else {
				assert.ErrorIs(t, err, study.ErrNotFound)
			}
		})
	}
	all.Wait()
	assert.Equal(t, int64(1), taken.Load())
	a, err := s.Account(t.Context(), kw.ID)
	require.NoError(t, err)
	assert.Equal(t, someHash, a.PasswordHash)

	require.NoError(t, s.Invite(t.Context(), kw.ID, "old", time.Now().Add(-time.Second)))
	require.ErrorIs(t, invited("old"), study.ErrNotFound)
	_, err = s.TakeInvitation(t.Context(), "old", someHash)
	require.ErrorIs(t, err, study.ErrNotFound)
	require.NoError(t, s.Invite(t.Context(), kw.ID, "locked", later))
	require.NoError(t, s.DisableAccount(t.Context(), kw.ID, true))
	require.ErrorIs(t, invited("locked"), study.ErrNotFound)
	_, err = s.TakeInvitation(t.Context(), "locked", someHash)
	require.ErrorIs(t, err, study.ErrNotFound)
}

func TestSessions(t *testing.T) {
	t.Parallel()
	x := storetest.New(t).Sessions()
	_, found, err := x.Find("none")
	require.NoError(t, err)
	assert.False(t, found)
	require.NoError(t, x.Commit("token", []byte("first"), time.Now().Add(time.Hour)))
	require.NoError(t, x.Commit("token", []byte("second"), time.Now().Add(time.Hour)))
	data, found, err := x.Find("token")
	require.NoError(t, err)
	assert.True(t, found)
	assert.Equal(t, "second", string(data))
	require.NoError(t, x.Commit("old", []byte{}, time.Now().Add(-time.Second)))
	_, found, err = x.Find("old")
	require.NoError(t, err)
	assert.False(t, found)
	require.NoError(t, x.Sweep(t.Context()))
	require.NoError(t, x.Delete("token"))
	require.NoError(t, x.Delete("token"))
	_, found, err = x.Find("token")
	require.NoError(t, err)
	assert.False(t, found)
}
