package localpg

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

func TestTemporary(t *testing.T) {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	begin := time.Now()
	s, stop, err := Temporary(ctx)
	require.NoError(t, err)
	t.Log(time.Since(begin))
	require.NoError(t, s.CreateDatabase(ctx, "a"))
	require.NoError(t, s.CreateDatabase(ctx, "a"))
	begin = time.Now()
	s2, err := Open(ctx, Options{Dir: s.dir})
	require.NoError(t, err)
	t.Log(time.Since(begin), s2.URL("a"))
	begin = time.Now()
	stop()
	t.Log(time.Since(begin))
}
