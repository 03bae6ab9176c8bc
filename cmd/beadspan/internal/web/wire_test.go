package web

import (
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// wire is a bad line to a server: it cuts each connection after a number of
// bytes, counted both ways.
type wire struct {
	listener net.Listener
	to       string
	// most is how many bytes the next connection carries; 0 or less: all.
	most func() int64
	cuts atomic.Int64
	open sync.WaitGroup
}

// newWire is a line to the address.
func newWire(t *testing.T, to string, most func() int64) *wire {
	t.Helper()
	listener, err := (&net.ListenConfig{}).Listen(t.Context(), "tcp", "127.0.0.1:0")
	require.NoError(t, err)
	w := &wire{listener: listener, to: to, most: most}
	w.open.Go(w.accept)
	t.Cleanup(func() {
		listener.Close()
		w.open.Wait()
	})
	return w
}

func (w *wire) accept() {
	for {
		from, err := w.listener.Accept()
		if err != nil {
			return
		}
		w.open.Go(func() { w.carry(from, w.most()) })
	}
}

// carry takes bytes both ways until one end closes or the line is cut.
func (w *wire) carry(from net.Conn, most int64) {
	to, err := net.DialTimeout("tcp", w.to, 5*time.Second)
	if err != nil {
		from.Close()
		return
	}
	var left atomic.Int64
	left.Store(most)
	var ways sync.WaitGroup
	copying := func(dst, src net.Conn) {
		defer dst.Close()
		defer src.Close()
		for buffer := make([]byte, 64); ; { // small, so that cuts fall anywhere
			n, err := src.Read(buffer)
			if most > 0 && left.Add(-int64(n)) < 0 {
				w.cuts.Add(1)
				return
			}
			if _, wrong := dst.Write(buffer[:n]); err != nil || wrong != nil {
				return
			}
		}
	}
	ways.Go(func() { copying(to, from) })
	ways.Go(func() { copying(from, to) })
	ways.Wait()
}

// A line carries what it is given, and no more than it may.
func TestWire(t *testing.T) {
	t.Parallel()
	echo := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		io.Copy(w, r.Body) //nolint:errcheck // the line may be cut
	}))
	t.Cleanup(echo.Close)
	most := int64(0)
	w := newWire(t, echo.Listener.Addr().String(), func() int64 { return most })
	get := func() error {
		client := http.Client{Transport: &http.Transport{DisableKeepAlives: true}}
		r, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+w.listener.Addr().String(), nil)
		require.NoError(t, err)
		resp, err := client.Do(r)
		if err == nil {
			resp.Body.Close()
		}
		return err
	}
	require.NoError(t, get())
	most = 40
	require.Error(t, get())
	require.Positive(t, w.cuts.Load(), "either way may be the one to be cut first, or both")
}
