package study

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestAccountValidate(t *testing.T) {
	for _, name := range []string{"kw", "kw@shop.example", "åsa", strings.Repeat("é", 100)} {
		assert.Empty(t, Account{Name: name}.Validate(), name)
	}
	for _, name := range []string{"", "k w", "KW", "k\u00a0w", "k\x00w", "k\xffw", strings.Repeat("x", 101)} {
		assert.NotEmpty(t, Account{Name: name}.Validate(), name)
	}
	assert.Equal(t, "åsa", AccountName(" ÅSA\t"))
}

func TestMembershipValidate(t *testing.T) {
	shops := []ID{NewID()}
	for m, want := range map[*Membership]string{
		{Role: Owner, EveryShop: true}:                  "",
		{Role: Reader, EveryShop: true}:                 "",
		{Role: Operator, ShopIDs: shops}:                "",
		{Role: Owner, ShopIDs: shops}:                   "an owner has every shop",
		{Role: Reader}:                                  "at least one",
		{Role: Reader, EveryShop: true, ShopIDs: shops}: "either every shop or a list",
		{Role: "king", EveryShop: true}:                 "expected one of owner, operator, reader",
		{Role: "", EveryShop: true}:                     "expected one of owner, operator, reader",
	} {
		if want == "" {
			assert.Empty(t, m.Validate(), m)
		} else {
			assert.ErrorContains(t, m.Validate(), want)
		}
	}
}

func TestRolesMay(t *testing.T) {
	assert.Equal(t, []bool{true, true, false}, []bool{Owner.MayLog(), Operator.MayLog(), Reader.MayLog()})
	assert.Equal(t, []bool{true, false, false}, []bool{Owner.MayOwn(), Operator.MayOwn(), Reader.MayOwn()})
}
