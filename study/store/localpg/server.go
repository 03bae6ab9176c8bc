package localpg

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/url"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// role is the server's only role, a superuser: nobody but its owner gets in.
const role = "beadspan"

// Options say where a private server lives and how it runs.
type Options struct {
	Dir    string       // base directory; empty means DefaultDir
	BinDir string       // directory of the server programs; empty means Find them
	Log    *slog.Logger // told of what takes time; nil means silence

	// Settings are put into the server's configuration, such as
	// "work_mem": "64MB", over the package's own. They count from the next
	// start: a server that runs already keeps those it was started with.
	Settings map[string]string

	search *search // instead of the known places, for tests
}

// Server is a private server, running or not. It holds no connection and need
// not be closed.
type Server struct {
	dir      string
	programs Programs
	account  account
	settings map[string]string
	log      *slog.Logger
	password string
	address  address
}

// address is where a server's socket is.
type address struct {
	dir  string
	port int
}

// socket is the file that clients connect to.
func (a address) socket() string {
	return filepath.Join(a.dir, ".s.PGSQL."+strconv.Itoa(a.port))
}

// Open returns the running private server that o describes. It makes the data
// directory and starts the server where that is needed. Any number of processes
// may call it at once: they share one server.
//
// No server programs on the machine is a *NoProgramsError, data of another
// major version than theirs a *WrongMajorError.
func Open(ctx context.Context, o Options) (*Server, error) {
	s, err := Locate(ctx, o)
	if err != nil {
		return nil, err
	}
	if err := s.Start(ctx); err != nil {
		return nil, err
	}
	return s, nil
}

// Locate returns the private server that o describes, and makes and starts
// nothing. It fails as Open does when there are no programs for its data.
func Locate(ctx context.Context, o Options) (*Server, error) {
	s, err := locate(ctx, o)
	if err != nil {
		return nil, fmt.Errorf("find the private database server: %w", err)
	}
	return s, nil
}

func locate(ctx context.Context, o Options) (*Server, error) {
	dir, err := baseDir(o.Dir)
	if err != nil {
		return nil, err
	}
	runner, err := serverAccount()
	if err != nil {
		return nil, err
	}
	look := search{knownPlaces(), "pg_config"}
	if o.search != nil {
		look = *o.search
	}
	usable, err := look.find(ctx, dir, o.BinDir)
	if err != nil {
		return nil, err
	}
	programs, err := chooseMajor(dir, usable)
	if err != nil {
		return nil, err
	}
	log := o.Log
	if log == nil {
		log = slog.New(slog.DiscardHandler)
	}
	s := &Server{dir: dir, programs: programs, account: runner, settings: o.Settings, log: log}
	s.address = s.ownAddress()
	if pid, ok := s.postmaster(); ok && pid.ours {
		s.address = pid.address
	}
	if s.password, err = readPassword(s.passwordFile()); err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	return s, nil
}

// URL is the connection string of a database, for pgx and for the tools of
// Postgres. It holds the password: do not log it.
func (s *Server) URL(database string) string {
	// libpq takes a plus for a plus, so Values.Encode, which means a blank by
	// it, would not do.
	host := strings.ReplaceAll(url.QueryEscape(s.address.dir), "+", "%20")
	u := url.URL{
		Scheme:   "postgres",
		User:     url.UserPassword(role, s.password),
		Path:     "/" + database,
		RawQuery: fmt.Sprintf("host=%s&port=%d", host, s.address.port),
	}
	return u.String()
}

// ownAddress is where the server's socket will be when it is started by us.
func (s *Server) ownAddress() address {
	return address{dir: socketDir(s.dir, s.account.uid), port: port(s.programs.Major)}
}

func (s *Server) dataDir() string      { return dataDir(s.dir, s.programs.Major) }
func (s *Server) logFile() string      { return s.dataDir() + ".log" }
func (s *Server) lockPath() string     { return filepath.Join(s.dir, "lock") }
func (s *Server) passwordFile() string { return filepath.Join(s.dir, "password") }

// hasData tells whether the data directory was made.
func (s *Server) hasData() bool {
	_, err := os.Stat(filepath.Join(s.dataDir(), "PG_VERSION"))
	return err == nil
}

// baseDir is dir or the default, absolute and free of symbolic links, so that
// all processes know it by one name.
func baseDir(dir string) (string, error) {
	if dir == "" {
		var err error
		if dir, err = DefaultDir(); err != nil {
			return "", err
		}
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	if err := refuseShellSigns(dir); err != nil {
		return "", err
	}
	var missing string
	for at := dir; ; at = filepath.Dir(at) {
		real, err := filepath.EvalSymlinks(at)
		if err == nil {
			return filepath.Join(real, missing), nil
		}
		if !errors.Is(err, os.ErrNotExist) || at == filepath.Dir(at) {
			return "", err
		}
		missing = filepath.Join(filepath.Base(at), missing)
	}
}

// refuseShellSigns stops a path that would not come through: initdb and pg_ctl
// write it between double quotes into a command for the shell, as it is.
func refuseShellSigns(path string) error {
	if strings.ContainsAny(path, "\"$`\\\n\r") {
		return fmt.Errorf("the path %q has one of the characters \" $ ` \\ or a line break, "+
			"which the server programs cannot take: choose another", path)
	}
	return nil
}
