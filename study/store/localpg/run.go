package localpg

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// run runs a server program as the server's account. What it prints goes to a
// file that is read afterwards: a server started by the program keeps its
// output open, and a pipe would have us wait for the server's end. The files in
// held stay open in the program.
func (s *Server) run(ctx context.Context, held []*os.File, name string, args ...string) error {
	output, err := os.CreateTemp("", "beadspan-output-*")
	if err != nil {
		return err
	}
	defer output.Close()
	// Nameless, it cannot be left behind if this process is killed.
	if err := os.Remove(output.Name()); err != nil {
		return err
	}

	cmd := exec.CommandContext(ctx, s.programs.path(name), args...)
	cmd.Env = cleanEnv(os.Environ())
	cmd.Stdout, cmd.Stderr = output, output
	cmd.ExtraFiles = held
	s.account.runs(cmd)
	if err := cmd.Run(); err != nil {
		if cause := context.Cause(ctx); cause != nil {
			err = cause
		}
		text, _ := io.ReadAll(io.NewSectionReader(output, 0, 64<<10))
		return fmt.Errorf("%s: %w: %s", name, err, lastLines(string(text)))
	}
	return nil
}

// cleanEnv drops what would change where the programs look or what language
// they speak: we read some of their messages.
func cleanEnv(env []string) []string {
	kept := slices.DeleteFunc(slices.Clone(env), func(entry string) bool {
		return strings.HasPrefix(entry, "PG") || strings.HasPrefix(entry, "LC_") || strings.HasPrefix(entry, "LANG")
	})
	return append(kept, "LC_ALL=C")
}
