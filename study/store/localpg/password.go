package localpg

import (
	"context"
	"crypto/rand"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// readPassword reads the role's password.
func readPassword(file string) (string, error) {
	text, err := os.ReadFile(file)
	return strings.TrimSpace(string(text)), err
}

// writePassword makes a password and keeps it in file, whole or not at all.
func writePassword(file string) (string, error) {
	password := rand.Text()
	// CreateTemp makes files that their owner alone can read.
	temp, err := os.CreateTemp(filepath.Dir(file), ".password-*")
	if err != nil {
		return "", err
	}
	defer os.Remove(temp.Name())
	_, err = temp.WriteString(password + "\n")
	if err == nil {
		err = temp.Sync()
	}
	if closed := temp.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return "", err
	}
	return password, os.Rename(temp.Name(), file)
}

// resetPassword gives the role of a stopped server the password, for a base
// whose password file was lost: who may write the data directory owns the data.
func (s *Server) resetPassword(ctx context.Context, password string) error {
	cmd := exec.CommandContext(ctx, s.programs.path("postgres"), "--single", "-D", s.dataDir(), "postgres")
	cmd.Env = cleanEnv(os.Environ())
	cmd.Stdin = strings.NewReader(fmt.Sprintf("ALTER ROLE %s PASSWORD '%s'\n", role, password))
	s.account.runs(cmd)
	out, err := cmd.CombinedOutput()
	// The single-user server reports a failed statement in words alone.
	if err == nil && strings.Contains(string(out), "ERROR:") {
		err = fmt.Errorf("server refused it")
	}
	if err != nil {
		return fmt.Errorf("set a new password: %w: %s", err, strings.TrimSpace(string(out)))
	}
	return nil
}
