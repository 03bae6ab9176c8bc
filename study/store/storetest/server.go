package storetest

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"testing"
	"time"
)

// shared is the server of this test program: one for all its tests, since
// starting one takes longer than most tests.
var shared server

type server struct {
	once     sync.Once
	admin    string // address of the database from which others are made
	template string
	end      func()
	err      error
}

// database makes a database for a test, with tables or bare.
func (s *server) database(t testing.TB, tables bool) string {
	t.Helper()
	s.once.Do(s.start)
	if s.err != nil {
		t.Fatalf("start the test database server: %v", s.err)
	}
	if !tables {
		return create(t, s.admin, "")
	}
	return create(t, s.admin, s.template)
}

func (s *server) start() {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	if s.admin, s.end, s.err = startServer(ctx); s.err != nil {
		return
	}
	s.template, s.err = migrated(ctx, s.admin)
}

// stop drops the template and ends the server, if a test ever needed one.
func (s *server) stop() {
	s.once.Do(func() { s.err = errors.New("the tests are over") })
	if s.end == nil {
		return
	}
	if s.template != "" {
		if err := drop(s.admin, s.template); err != nil {
			fmt.Fprintln(os.Stderr, "drop the template database:", err)
		}
	}
	s.end()
}
