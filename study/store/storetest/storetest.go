// Package storetest gives each test a database of its own.
//
// A package that uses it hands its tests over:
//
//	func TestMain(m *testing.M) { storetest.Main(m) }
//
// The first test that asks for a database starts a throwaway server, which ends
// with the test program however that ends. BEADSPAN_TEST_DATABASE_URL may name
// a server to use instead, by a role that may create databases; databases made
// there are dropped again.
package storetest

import (
	"context"
	"crypto/rand"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"beadspan/migrations"
	"beadspan/study/store"
	"beadspan/study/store/localpg"
)

// Main runs the tests of a package, ends the server and exits.
func Main(m *testing.M) {
	os.Exit(run(m))
}

func run(m *testing.M) int {
	defer shared.stop()
	return m.Run()
}

// New returns a store on an empty, migrated database. Both are gone after the
// test.
func New(t testing.TB) *store.Store {
	t.Helper()
	s, err := store.Open(t.Context(), URL(t), slog.New(slog.NewTextHandler(t.Output(), nil)))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(s.Close)
	return s
}

// URL returns the address of an empty, migrated database that is gone after the
// test.
func URL(t testing.TB) string {
	t.Helper()
	return shared.database(t, true)
}

// Bare returns the address of a database without tables that is gone after the
// test.
func Bare(t testing.TB) string {
	t.Helper()
	return shared.database(t, false)
}

// create makes a database on the server at admin, from the template if one is
// named, and drops it after the test.
func create(t testing.TB, admin, template string) string {
	t.Helper()
	name := uniqueName("test")
	sql := `CREATE DATABASE ` + name + ` ENCODING 'UTF8'`
	if template != "" {
		sql += ` TEMPLATE ` + template
	} else {
		sql += ` TEMPLATE template0`
	}
	if err := execute(t.Context(), admin, sql); err != nil {
		t.Fatalf("make a test database: %v", err)
	}
	t.Cleanup(func() {
		if err := drop(admin, name); err != nil {
			t.Errorf("drop the test database: %v", err)
		}
	})
	return withDatabase(admin, name)
}

// drop removes a database, and the connections that a test left open in it.
// The test's own context has ended by then.
func drop(admin, name string) error {
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	return execute(ctx, admin, `DROP DATABASE IF EXISTS `+name+` WITH (FORCE)`)
}

// uniqueName makes a name that no other test program on the server has.
func uniqueName(what string) string {
	return "beadspan_" + what + "_" + strings.ToLower(rand.Text())
}

func execute(ctx context.Context, url, sql string) error {
	conn, err := pgx.Connect(ctx, url)
	if err != nil {
		return err
	}
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, sql)
	return err
}

// withDatabase changes the database that a URL names.
func withDatabase(server, name string) string {
	u, err := url.Parse(server)
	if err != nil {
		panic(err) // the driver read it before
	}
	u.Path = "/" + name
	return u.String()
}

// migrated makes the database that others are copied from.
func migrated(ctx context.Context, admin string) (template string, err error) {
	template = uniqueName("template")
	if err := execute(ctx, admin, `CREATE DATABASE `+template+` ENCODING 'UTF8' TEMPLATE template0`); err != nil {
		return "", fmt.Errorf("make the template database: %w", err)
	}
	return template, migrations.Apply(ctx, withDatabase(admin, template))
}

// startServer finds or starts the server.
func startServer(ctx context.Context) (admin string, stop func(), err error) {
	if admin = os.Getenv("BEADSPAN_TEST_DATABASE_URL"); admin != "" {
		return admin, func() {}, nil
	}
	server, stop, err := localpg.Temporary(ctx)
	if err != nil {
		return "", nil, err
	}
	return server.URL("postgres"), stop, nil
}
