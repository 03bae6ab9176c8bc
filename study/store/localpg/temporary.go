package localpg

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"sync"
	"syscall"
)

// Temporary starts an empty server that is to be thrown away, for tests. It
// does not write its data through to the disk. stop ends it and removes all its
// files; so does the end of this process, even by kill -9. The programs are
// those that Find finds, in BEADSPAN_PG_BIN if that is set.
func Temporary(ctx context.Context) (s *Server, stop func(), err error) {
	s, stop, err = temporary(ctx, Options{BinDir: os.Getenv("BEADSPAN_PG_BIN")})
	if err != nil {
		return nil, nil, fmt.Errorf("start a temporary database server: %w", err)
	}
	return s, stop, nil
}

func temporary(ctx context.Context, o Options) (*Server, func(), error) {
	dir, err := temporaryDir()
	if err != nil {
		return nil, nil, err
	}
	o.Dir = dir
	o.Settings = map[string]string{
		"fsync":              "off",
		"synchronous_commit": "off",
		"full_page_writes":   "off",
		"max_connections":    "200", // tests run side by side
	}
	s, err := Locate(ctx, o)
	if err != nil {
		os.RemoveAll(dir)
		return nil, nil, err
	}
	stop, err := s.guard()
	if err != nil {
		os.RemoveAll(dir)
		return nil, nil, err
	}
	if err := s.Start(ctx); err != nil {
		stop()
		return nil, nil, err
	}
	return s, stop, nil
}

// temporaryDir makes a base in the system's folder for temporary files, or in
// /tmp if the account of the server cannot get to that one.
func temporaryDir() (string, error) {
	runner, err := serverAccount()
	if err != nil {
		return "", err
	}
	parent := os.TempDir()
	if runner.reaches(parent) != nil {
		parent = "/tmp"
	}
	dir, err := os.MkdirTemp(parent, "beadspan-temporary-*")
	if err != nil {
		return "", err
	}
	if runner.switched {
		return dir, os.Chmod(dir, 0o755)
	}
	return dir, nil
}

// guardScript waits until its input ends, stops the server at once and removes
// the base. The postmaster removes its pid file when the last of it has gone.
const guardScript = `
cat >/dev/null
for try in 1 2 3 4 5 6 7 8 9 10; do
	pid=$(head -n 1 "$1/postmaster.pid" 2>/dev/null) || break
	kill -QUIT "$pid" 2>/dev/null || break
	sleep 0.1
done
rm -rf -- "$2" "$3"
`

// guard starts a shell that holds one end of a pipe. The other end closes when
// stop is called or when this process ends, however it ends.
func (s *Server) guard() (stop func(), err error) {
	shell := exec.Command("/bin/sh", "-c", guardScript, "sh", s.dataDir(), s.dir, s.ownAddress().dir)
	shell.Env = []string{"PATH=/usr/bin:/bin"}
	// Ctrl-C in the terminal must not reach it before its work is done.
	shell.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	hold, err := shell.StdinPipe()
	if err != nil {
		return nil, err
	}
	if err := shell.Start(); err != nil {
		return nil, err
	}
	return sync.OnceFunc(func() {
		hold.Close()
		shell.Wait() // its trials are counted, so it ends
	}), nil
}
