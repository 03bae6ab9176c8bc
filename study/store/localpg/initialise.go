package localpg

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
)

// initialise makes the data directory while held, the lock file, is locked.
//
// initdb works in a directory of another name, which is renamed when all is
// done, so a data directory is complete or absent. initdb inherits the lock: if
// this process is killed, the next one waits until initdb has ended before it
// clears away what that left.
func (s *Server) initialise(ctx context.Context, held *os.File) error {
	if err := s.clearUnfinished(); err != nil {
		return err
	}
	s.log.InfoContext(ctx, "making a private database", "dir", s.dataDir(), "postgres", s.programs.Version)
	fresh, err := os.MkdirTemp(s.dir, s.unfinishedPrefix()+"*")
	if err != nil {
		return err
	}
	defer os.RemoveAll(fresh) // gone by then if all went well
	if err := s.account.own(fresh); err != nil {
		return err
	}
	passwordFile, err := s.passwordForInitdb()
	if err != nil {
		return err
	}
	defer os.Remove(passwordFile)

	// The C locale sorts alike on every machine and with every version of the
	// system's libraries, so no index goes bad when one of them changes.
	args := []string{"-D", fresh, "--username=" + role, "--pwfile=" + passwordFile,
		"--auth-local=scram-sha-256", "--auth-host=reject",
		"--encoding=UTF8", "--locale=C", "--data-checksums"}
	if s.settings["fsync"] == "off" {
		args = append(args, "--no-sync")
	}
	if err := s.run(ctx, []*os.File{held}, "initdb", args...); err != nil {
		return err
	}
	if err := appendLine(filepath.Join(fresh, "postgresql.conf"), "include '"+settingsFile+"'"); err != nil {
		return err
	}
	if err := os.Rename(fresh, s.dataDir()); err != nil {
		return err
	}
	return syncDir(s.dir)
}

// unfinishedPrefix begins the names of data directories in the making.
func (s *Server) unfinishedPrefix() string { return filepath.Base(s.dataDir()) + ".new-" }

// clearUnfinished removes what an initdb left that was cut short.
func (s *Server) clearUnfinished() error {
	left, err := filepath.Glob(filepath.Join(escapeGlob(s.dir), s.unfinishedPrefix()+"*"))
	if err != nil {
		return err
	}
	for _, dir := range left {
		if err := os.RemoveAll(dir); err != nil {
			return fmt.Errorf("remove a data directory that was never finished: %w", err)
		}
	}
	return nil
}

// passwordForInitdb copies the password to a file that initdb can read. It
// matches the names that clearUnfinished removes.
func (s *Server) passwordForInitdb() (string, error) {
	file, err := os.CreateTemp(s.dir, s.unfinishedPrefix()+"password-*")
	if err != nil {
		return "", err
	}
	defer file.Close()
	if _, err := file.WriteString(s.password + "\n"); err != nil {
		return "", err
	}
	return file.Name(), s.account.own(file.Name())
}

func appendLine(file, line string) error {
	f, err := os.OpenFile(file, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = f.WriteString("\n" + line + "\n")
	return err
}

// syncDir makes a rename in dir last through a loss of power.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer d.Close()
	return d.Sync()
}
