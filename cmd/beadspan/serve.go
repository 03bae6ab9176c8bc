package main

import (
	"context"
	"crypto/rand"
	"crypto/tls"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"time"

	"beadspan/cmd/beadspan/internal/web"
	"beadspan/study/store"
)

type serveCommand struct {
	serveFlags
	Listen string `default:"${listen}" placeholder:"HOST:PORT" help:"Address to answer at."`
}

// usualListen is where the server answers when nobody says otherwise.
const usualListen = "127.0.0.1:8455"

type serveFlags struct {
	TLSCert     string `name:"tls-cert" type:"existingfile" placeholder:"FILE" help:"Certificate for https, with its chain, in PEM."`
	TLSKey      string `name:"tls-key" type:"existingfile" placeholder:"FILE" help:"Private key of the certificate, in PEM."`
	BehindProxy bool   `name:"behind-proxy" help:"A proxy before this server speaks https with the browsers and names their addresses in X-Forwarded-For."`
}

// Help explains the command with an example.
func (serveCommand) Help() string {
	return `Serves the wash bay and the office to browsers until it is stopped with Ctrl-C. By
default only this machine reaches it. To let phones in, give it a certificate, or put
it behind a proxy that has one: passwords and readings must not cross a network in the
clear, and a phone logs without a network only where it came by https.

Whoever comes first makes the first account; from beyond this machine the set-up code
that is printed here is needed for that. With --demo it shows the demo fleet, on this
machine only.

Example:
  beadspan serve
  beadspan serve --listen :443 --tls-cert shop.crt --tls-key shop.key`
}

// Run serves until it is stopped.
func (c serveCommand) Run(ctx context.Context, a *app) error {
	if err := c.check(c.Listen, a.Demo); err != nil {
		return err
	}
	s, err := a.openStore(ctx)
	if err != nil {
		return err
	}
	defer s.Close()
	listener, err := (&net.ListenConfig{}).Listen(ctx, "tcp", c.Listen)
	if err != nil {
		return fmt.Errorf("listen at %s (another --listen HOST:PORT may be free): %w", c.Listen, err)
	}
	return a.serve(ctx, s, c.serveFlags, listener, slog.New(slog.NewTextHandler(a.err, nil)))
}

// check refuses what would send passwords over a network in the clear.
func (f serveFlags) check(listen string, demo bool) error {
	switch {
	case (f.TLSCert == "") != (f.TLSKey == ""):
		return usageError("serve: --tls-cert and --tls-key belong together")
	case demo && !isLoopback(listen):
		return usageError(fmt.Sprintf("serve: the demo lets in whoever asks, so it listens on this machine only: leave out --listen %s", listen))
	case !f.secure() && !isLoopback(listen):
		return usageError(fmt.Sprintf("serve: %s can be reached from other machines, and passwords would cross the network in the clear: "+
			"give --tls-cert and --tls-key, or --behind-proxy, or listen on 127.0.0.1", listen))
	}
	return nil
}

// secure reports whether browsers come by https.
func (f serveFlags) secure() bool { return f.TLSCert != "" || f.BehindProxy }

// isLoopback reports whether only this machine reaches the address.
func isLoopback(listen string) bool {
	host, _, err := net.SplitHostPort(listen)
	if err != nil {
		return false
	}
	ip := net.ParseIP(host)
	return host == "localhost" || (ip != nil && ip.IsLoopback())
}

// serve answers until ctx ends, then lets running requests end. It closes the
// listener.
func (a *app) serve(ctx context.Context, s *store.Store, f serveFlags, listener net.Listener, log *slog.Logger) error {
	defer listener.Close()
	local := isLoopback(listener.Addr().String()) && !f.BehindProxy
	code := ""
	if !local {
		code = rand.Text()[:12]
	}
	pages, err := web.New(web.Options{
		Store: s, Log: log, Version: version, Secure: f.secure(), BehindProxy: f.BehindProxy,
		LocalOnly: local, Demo: a.Demo, SetupCode: code, Backup: a.backup(),
	})
	if err != nil {
		return err
	}
	defer pages.Close()
	if err := a.sayWhere(ctx, s, f, listener.Addr(), code); err != nil {
		return err
	}
	return serveUntil(ctx, httpServer(pages, log), listener, f)
}

// backup writes a backup of the program's own database; nil where the records
// are in another.
func (a *app) backup() func(ctx context.Context, file string) error {
	if a.DatabaseURL != "" {
		return nil
	}
	return func(ctx context.Context, file string) error {
		server, err := a.server(ctx)
		if err != nil {
			return err
		}
		return server.Backup(ctx, a.database(), file, schema)
	}
}

// httpServer bounds how long and how much anybody may take.
func httpServer(pages http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler:           pages,
		ReadHeaderTimeout: 10 * time.Second,
		ReadTimeout:       5 * time.Minute, // a log of readings over a bad line
		WriteTimeout:      5 * time.Minute,
		IdleTimeout:       2 * time.Minute,
		MaxHeaderBytes:    64 << 10,
		ErrorLog:          slog.NewLogLogger(log.Handler(), slog.LevelWarn),
		TLSConfig:         &tls.Config{MinVersion: tls.VersionTLS12},
	}
}

// sayWhere prints where to point a browser, and the set-up code where one is
// needed.
func (a *app) sayWhere(ctx context.Context, s *store.Store, f serveFlags, at net.Addr, code string) error {
	scheme := "http"
	if f.TLSCert != "" {
		scheme = "https"
	}
	fmt.Fprintf(a.out, "beadspan answers at %s://%s (stop it with Ctrl-C)\n", scheme, at)
	if code == "" {
		return nil
	}
	has, err := s.HasAccounts(ctx)
	if err == nil && !has {
		fmt.Fprintf(a.out, "set-up code for the first account: %s\n", code)
	}
	return err
}

// goodbye is how long running requests may take to end.
const goodbye = 20 * time.Second

// serveUntil answers until ctx ends.
func serveUntil(ctx context.Context, server *http.Server, listener net.Listener, f serveFlags) error {
	ended := make(chan error, 1)
	go func() {
		if f.TLSCert != "" {
			ended <- server.ServeTLS(listener, f.TLSCert, f.TLSKey)
		} else {
			ended <- server.Serve(listener)
		}
	}()
	select {
	case err := <-ended:
		return fmt.Errorf("serve: %w", err)
	case <-ctx.Done():
	}
	within, cancel := context.WithTimeout(context.WithoutCancel(ctx), goodbye)
	defer cancel()
	err := server.Shutdown(within)
	<-ended
	if errors.Is(err, context.DeadlineExceeded) {
		server.Close()
		return errors.New("serve: some requests did not end in time and were cut off")
	}
	return err
}
