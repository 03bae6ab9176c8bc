package store_test

import (
	"bytes"
	"log/slog"
	"net/url"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"beadspan/study/store"
	"beadspan/study/store/storetest"
)

// What the database says beside its answers is in the log, and nobody's news
// unless it warns.
func TestNoticesAreLogged(t *testing.T) {
	t.Parallel()
	address, err := url.Parse(storetest.URL(t))
	require.NoError(t, err)
	query := address.Query()
	query.Set("client_min_messages", "debug5")
	address.RawQuery = query.Encode()
	said := func(level slog.Level) string {
		var out bytes.Buffer
		s, err := store.Open(t.Context(), address.String(), slog.New(slog.NewTextHandler(&out, &slog.HandlerOptions{Level: level})))
		require.NoError(t, err)
		_, err = s.Studies(t.Context())
		require.NoError(t, err)
		s.Close()
		return out.String()
	}
	assert.Contains(t, said(slog.LevelDebug), "the database says")
	assert.Empty(t, said(slog.LevelInfo))
}
