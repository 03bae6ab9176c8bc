package web

import (
	"net"
	"net/http"
	"slices"
	"strings"
	"time"

	"github.com/klauspost/compress/gzhttp"
)

// wrap puts around the pages what every answer needs.
func (s *Server) wrap(next http.Handler) http.Handler {
	compress, err := gzhttp.NewWrapper(gzhttp.MinSize(1000))
	if err != nil {
		panic(err) // the options are constants
	}
	protection := http.NewCrossOriginProtection()
	protection.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.showFault(w, r, &viewer{say: languageOf(r)}, fault{http.StatusForbidden, "fault.other_site"})
	}))
	h := http.Handler(protection.Handler(next))
	h = compress(h)
	h = s.onlyLocal(h)
	h = withHeaders(h)
	h = s.recovered(h)
	return s.logged(h)
}

// contentPolicy allows nothing but what the server itself sends, and no script
// or style within a page.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; " +
	"connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

func withHeaders(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", contentPolicy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(self), geolocation=(), microphone=()")
		next.ServeHTTP(w, r)
	})
}

// onlyLocal refuses names of other machines: with one, a page of the internet
// could have its name lead here and read what the demo shows.
func (s *Server) onlyLocal(next http.Handler) http.Handler {
	if !s.opts.LocalOnly {
		return next
	}
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if name, _, err := net.SplitHostPort(host); err == nil {
			host = name
		}
		host = strings.Trim(host, "[]")
		if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
			http.Error(w, "this server answers to localhost only", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// recovered keeps a programmer's mistake in one page from ending the others.
func (s *Server) recovered(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			switch p := recover(); p {
			case nil:
			case http.ErrAbortHandler:
				panic(p)
			default:
				s.log.ErrorContext(r.Context(), "panic", "route", r.Pattern, "panic", p)
				http.Error(w, "something went wrong here; it is in the server's log", http.StatusInternalServerError)
			}
		}()
		next.ServeHTTP(w, r)
	})
}

// logged writes a line for each request. It names the route rather than the
// address, which may hold the secret of a link.
func (s *Server) logged(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		counted := &countingWriter{ResponseWriter: w, status: http.StatusOK}
		note := &requestNote{}
		r = r.WithContext(withNote(r.Context(), note))
		defer func() {
			if strings.HasPrefix(r.URL.Path, assetPrefix) && counted.status < http.StatusInternalServerError {
				return
			}
			if note.trouble != nil {
				s.log.ErrorContext(r.Context(), "request in trouble", "route", note.route, "error", note.trouble)
			}
			s.log.InfoContext(r.Context(), "request", "method", r.Method, "route", note.route, "status", counted.status,
				"bytes", counted.bytes, "took_ms", time.Since(began).Milliseconds(), "from", s.address(r), "account", note.account)
		}()
		next.ServeHTTP(counted, r)
	})
}

// countingWriter notes what was answered.
type countingWriter struct {
	http.ResponseWriter
	status int
	bytes  int64
}

// WriteHeader notes the status.
func (w *countingWriter) WriteHeader(status int) {
	w.status = status
	w.ResponseWriter.WriteHeader(status)
}

// Write counts what is sent.
func (w *countingWriter) Write(p []byte) (int, error) {
	n, err := w.ResponseWriter.Write(p)
	w.bytes += int64(n)
	return n, err
}

// Unwrap gives http.ResponseController what it needs.
func (w *countingWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }

// address is who asks, without the port.
func (s *Server) address(r *http.Request) string {
	if s.opts.BehindProxy {
		hops := strings.Split(strings.Join(r.Header.Values("X-Forwarded-For"), ","), ",")
		slices.Reverse(hops)
		if ip := net.ParseIP(strings.TrimSpace(hops[0])); ip != nil {
			return ip.String()
		}
	}
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}
