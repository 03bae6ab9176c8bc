package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"github.com/jackc/pgx/v5/pgconn"
)

const (
	// startPatience bounds the wait for what a killed server left: its orphans
	// end, and its zombie is reaped, within a second or two.
	startPatience = 15 * time.Second
	// readyPatience bounds the wait for a server to come up, which after a
	// crash takes as long as reading the log of its last minutes again.
	readyPatience = 5 * time.Minute
	// logLimit is the size from which a log is put aside at the next start.
	logLimit = 16 << 20
)

// Start makes the data directory if need be, starts the server if it is not
// running, and returns when it takes connections.
func (s *Server) Start(ctx context.Context) error {
	if s.ping(ctx) == nil {
		return nil
	}
	if err := s.start(ctx); err != nil {
		return fmt.Errorf("start the private database server: %w", err)
	}
	return nil
}

func (s *Server) start(ctx context.Context) error {
	if err := makeBase(s.dir, s.account); err != nil {
		return err
	}
	if err := s.account.reaches(s.programs.BinDir); err != nil {
		return err
	}
	lock, err := lockFile(ctx, s.lockPath())
	if err != nil {
		return err
	}
	defer lock.Close()
	if err := s.ensurePassword(ctx); err != nil {
		return err
	}
	if !s.hasData() {
		if err := s.initialise(ctx, lock); err != nil {
			return err
		}
	}
	if err := s.ensureRunning(ctx); err != nil {
		return err
	}
	return s.awaitReady(ctx)
}

// ensurePassword reads the password, or makes one for a base that has none.
func (s *Server) ensurePassword(ctx context.Context) (err error) {
	if s.password, err = readPassword(s.passwordFile()); err == nil && s.password != "" {
		return nil
	}
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if s.hasData() {
		if err := s.shutDown(ctx); err != nil {
			return err
		}
	}
	if s.password, err = writePassword(s.passwordFile()); err != nil || !s.hasData() {
		return err
	}
	s.log.WarnContext(ctx, "the password file was lost; setting a new password", "file", s.passwordFile())
	if err := s.resetPassword(ctx, s.password); err != nil {
		return errors.Join(err, os.Remove(s.passwordFile()))
	}
	return nil
}

// ensureRunning starts the server unless one runs on the data directory.
func (s *Server) ensureRunning(ctx context.Context) error {
	for deadline := time.Now().Add(startPatience); ; {
		if p, ok := s.postmaster(); ok && p.ours {
			if !s.socketLost(p) {
				return nil
			}
			s.log.WarnContext(ctx, "the server's socket was removed; restarting it", "socket", p.address.socket())
			if err := s.shutDown(ctx); err != nil {
				return err
			}
		} else if ok && p.alive {
			// A zombie or a stranger has the pid, and Postgres would take it
			// for a server. Orphans of a killed one still keep a second away:
			// Postgres checks who is attached to the shared memory that it
			// finds by the data directory's inode.
			if err := os.Remove(s.pidFile()); err != nil && !errors.Is(err, os.ErrNotExist) {
				return err
			}
		}
		err := s.launch(ctx)
		if err == nil || !errors.Is(err, errPredecessor) || time.Now().After(deadline) {
			return err
		}
		if ended := pause(ctx, 100*time.Millisecond); ended != nil {
			return fmt.Errorf("%w: %w", ended, err)
		}
	}
}

// errPredecessor is a start that failed because an earlier server is not quite
// gone.
var errPredecessor = errors.New("an earlier server has not ended yet")

// launch starts the server by pg_ctl, which detaches it from this process and
// its terminal.
func (s *Server) launch(ctx context.Context) error {
	s.log.DebugContext(ctx, "starting the private database server", "dir", s.dataDir())
	if err := makeSocketDir(s.ownAddress().dir, s.account); err != nil {
		return err
	}
	if err := s.writeSettings(); err != nil {
		return err
	}
	before, err := s.prepareLog()
	if err != nil {
		return err
	}
	limit := fmt.Sprint(int(readyPatience.Seconds()))
	err = s.run(ctx, nil, "pg_ctl", "start", "-w", "-t", limit, "-s", "-D", s.dataDir(), "-l", s.logFile())
	if err == nil {
		return nil
	}
	said := s.logSince(before)
	for _, sign := range []string{`lock file "postmaster.pid"`, "pre-existing shared memory block", ".lock\" already exists"} {
		if strings.Contains(said, sign) {
			return fmt.Errorf("%w: %w: %s", errPredecessor, err, lastLines(said))
		}
	}
	return fmt.Errorf("%w; %s says: %s", err, s.logFile(), lastLines(said))
}

// awaitReady waits until the server takes a connection.
func (s *Server) awaitReady(ctx context.Context) error {
	for deadline := time.Now().Add(readyPatience); ; {
		p, running := s.postmaster()
		if running {
			s.address = p.address
		}
		err := s.ping(ctx)
		if err == nil {
			return nil
		}
		var refusal *pgconn.PgError
		if errors.As(err, &refusal) && strings.HasPrefix(refusal.Code, "28") {
			return fmt.Errorf("the password in %s is not the server's; remove that file and try again, "+
				"and a new password is set: %w", s.passwordFile(), err)
		}
		if !running || !p.ours {
			return fmt.Errorf("the server ended at once; see %s: %w", s.logFile(), err)
		}
		if time.Now().After(deadline) {
			return fmt.Errorf("the server did not come up in %v; see %s: %w", readyPatience, s.logFile(), err)
		}
		if ended := pause(ctx, 50*time.Millisecond); ended != nil {
			return fmt.Errorf("%w while waiting for the server: %w", ended, err)
		}
	}
}

// ping makes one connection and closes it.
func (s *Server) ping(ctx context.Context) error {
	if s.password == "" {
		return errors.New("no password yet")
	}
	ctx, cancel := context.WithTimeout(ctx, 10*time.Second)
	defer cancel()
	conn, err := pgconn.Connect(ctx, s.URL("postgres"))
	if err != nil {
		return err
	}
	return conn.Close(ctx)
}

// socketLost tells whether a server's socket was removed under it, as cleaners
// of /tmp do. A server that is just starting has none yet, and is given time.
func (s *Server) socketLost(p postmaster) bool {
	if _, err := os.Stat(p.address.socket()); err == nil {
		return false
	}
	info, err := os.Stat(s.pidFile())
	return err == nil && time.Since(info.ModTime()) > startPatience
}
