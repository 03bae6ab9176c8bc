package web

import (
	"context"
	"net/url"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/webauthn"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// withAuthenticator gives the browser a device that keeps passkeys, whose
// person agrees to everything.
func withAuthenticator() chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		if _, err := cdp.Call(ctx, t, webauthn.Enable, webauthn.EnableParams{}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, t, webauthn.AddVirtualAuthenticator, webauthn.AddVirtualAuthenticatorParams{
			Options: &webauthn.VirtualAuthenticatorOptions{
				Protocol: webauthn.AuthenticatorProtocolCtap2, Transport: webauthn.AuthenticatorTransportInternal,
				HasResidentKey: true, HasUserVerification: true, IsUserVerified: true, AutomaticPresenceSimulation: true,
			},
		})
		return err
	})
}

// Somebody makes a passkey, signs out, and signs in by it; once it is removed
// it opens nothing.
func TestPasskeyInABrowser(t *testing.T) {
	x := newSite(t, Options{})
	u, err := url.Parse(x.url)
	require.NoError(t, err)
	x.url = "http://localhost:" + u.Port() // a passkey is bound to a name
	a := x.steward(t, "kw")
	ctx := signedInBrowser(t, x, "kw")
	lookedAt(t, ctx, x.url+"/passkeys", "passkeys-none")
	require.NoError(t, chromedp.Do(ctx, withAuthenticator(),
		chromedp.Navigate(x.url+"/passkeys"),
		chromedp.SendKeys(`input[name=label]`, "the bay's phone"),
		chromedp.Click(`form[data-passkey] button`),
		chromedp.WaitVisible(`.people h2`),
	))
	kept, err := x.db.Passkeys(t.Context(), a.ID)
	require.NoError(t, err)
	require.Len(t, kept, 1)
	assert.Equal(t, "the bay's phone", kept[0].Label)
	assert.Nil(t, kept[0].Used)
	lookedAt(t, ctx, x.url+"/passkeys", "passkeys")

	signOut := func() {
		require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(x.url+"/settings"), chromedp.Click(`.who summary`),
			chromedp.Click(`form[action="/sign-out"] button`), chromedp.WaitVisible(`input[name=password]`)))
	}
	signOut()
	require.NoError(t, chromedp.Do(ctx,
		chromedp.Navigate(x.url+"/sign-in?next="+url.QueryEscape("/studies/S1/vehicles/V001")),
		chromedp.Click(`form[data-passkey] button`),
		chromedp.WaitVisible(`.who summary`),
	))
	at, err := chromedp.Run(ctx, chromedp.Location())
	require.NoError(t, err)
	assert.True(t, strings.HasSuffix(at, "/studies/S1/vehicles/V001"), at)
	kept, err = x.db.Passkeys(t.Context(), a.ID)
	require.NoError(t, err)
	assert.NotNil(t, kept[0].Used)

	require.NoError(t, x.db.RemovePasskey(t.Context(), a.ID, kept[0].Credential))
	signOut()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate(x.url+"/sign-in"), chromedp.Click(`form[data-passkey] button`),
		chromedp.WaitVisible(`form[data-passkey] [role=alert]`)))
}
