package localpg

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
)

// Schema tells how a database gets its tables. It is needed where the server
// programs come without pg_dump, as those that Fetch brings do: Backup then
// keeps the data alone.
type Schema struct {
	// VersionTable names the table whose one row has the number of the schema
	// in its column version.
	VersionTable string

	// Migrate brings the empty database at url to the schema of that number.
	Migrate func(ctx context.Context, url string, version int32) error
}

// Backup writes a database to a new file, as it is at one moment, while others
// may go on working in it. The file is whole or absent; one that exists is
// refused with an error that is os.ErrExist.
//
// It is pg_dump's custom format where there is pg_dump, else an archive of the
// tables' contents. Restore knows both.
func (s *Server) Backup(ctx context.Context, database, file string, schema Schema) error {
	err := writeNew(file, func(part string) error {
		if s.programs.has("pg_dump") {
			return s.client(ctx, "pg_dump", "--format=custom", "--no-owner", "--no-privileges",
				"--file="+part, "--dbname="+database)
		}
		return s.archive(ctx, database, part, schema)
	})
	if err != nil {
		return fmt.Errorf("back up database %s to %s: %w", database, file, err)
	}
	return nil
}

// client runs a client program of Postgres, as the caller so that it can read
// and write the caller's files. The password goes by the environment, which
// only the caller can read, not by the arguments, which all can.
func (s *Server) client(ctx context.Context, name string, args ...string) error {
	at := []string{"--host=" + s.address.dir, "--port=" + strconv.Itoa(s.address.port),
		"--username=" + role, "--no-password"}
	cmd := exec.CommandContext(ctx, s.programs.path(name), append(at, args...)...)
	cmd.Env = append(cleanEnv(os.Environ()), "PGPASSWORD="+s.password)
	out, err := cmd.CombinedOutput()
	if err == nil {
		return nil
	}
	if cause := context.Cause(ctx); cause != nil {
		err = cause
	}
	return fmt.Errorf("%s: %w: %s", name, err, lastLines(string(out)))
}

// writeNew has a file written under a name of its own beside the one wanted,
// which it gets when it is whole and on the disk.
func writeNew(file string, write func(part string) error) error {
	if _, err := os.Lstat(file); err == nil {
		return fmt.Errorf("%w: choose another name, or move that file away", os.ErrExist)
	}
	temp, err := os.CreateTemp(filepath.Dir(file), ".beadspan-backup-*")
	if err != nil {
		return err
	}
	part := temp.Name()
	defer os.Remove(part)
	if err := temp.Close(); err != nil {
		return err
	}
	if err := write(part); err != nil {
		return err
	}
	if err := syncFile(part); err != nil {
		return err
	}
	return moveNew(part, file)
}

// moveNew gives a file its name unless another took that in the meantime.
func moveNew(part, file string) error {
	err := os.Link(part, file)
	if err == nil || errors.Is(err, os.ErrExist) {
		return err
	}
	// FAT, on a memory stick, has no links: reserve the name, then replace it.
	reserved, err := os.OpenFile(file, os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if err := reserved.Close(); err != nil {
		return err
	}
	if err := os.Rename(part, file); err != nil {
		return errors.Join(err, os.Remove(file))
	}
	return nil
}

func syncFile(name string) error {
	file, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	defer file.Close()
	return file.Sync()
}

// kind tells by its first bytes what made a backup file.
func kind(file string) (string, error) {
	f, err := os.Open(file)
	if err != nil {
		return "", err
	}
	defer f.Close()
	head := make([]byte, 5)
	n, _ := f.Read(head)
	switch start := string(head[:n]); {
	case start == "PGDMP":
		return "dump", nil
	case strings.HasPrefix(start, "PK\x03\x04"):
		return "archive", nil
	}
	return "", errors.New("the file is not a backup: 'beadspan db backup' makes them")
}
