package localpg

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// postmaster is what postmaster.pid says of the server on a data directory.
type postmaster struct {
	pid     int
	address address
	alive   bool // a process has the pid
	ours    bool // and it is a server on this data directory
}

// postmaster reads postmaster.pid, which Postgres writes at start and removes
// when it stops in order. After a crash or a reboot the file stays, and its pid
// may be nobody's, a zombie's or a stranger's. ok is false without the file.
func (s *Server) postmaster() (p postmaster, ok bool) {
	text, err := os.ReadFile(s.pidFile())
	if err != nil {
		return postmaster{}, false
	}
	// Its lines: pid, data directory, start time, port, socket directory, …
	lines := append(strings.Split(string(text), "\n"), make([]string, 5)...)
	// A file just being written may lack any of them.
	p.pid, _ = strconv.Atoi(strings.TrimSpace(lines[0]))
	p.address = s.ownAddress()
	if number, err := strconv.Atoi(strings.TrimSpace(lines[3])); err == nil && lines[4] != "" {
		p.address = address{dir: lines[4], port: number}
	}
	if p.pid <= 1 {
		return p, true
	}
	err = syscall.Kill(p.pid, 0)
	p.alive = err == nil || errors.Is(err, syscall.EPERM)
	p.ours = p.alive && strings.Contains(commandLine(p.pid), " -D "+s.dataDir()+" ")
	return p, true
}

func (s *Server) pidFile() string { return filepath.Join(s.dataDir(), "postmaster.pid") }

// commandLine is the command line of a process, a space after each argument.
// It is blank for a zombie.
func commandLine(pid int) string {
	line, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "cmdline"))
	if err == nil {
		return strings.ReplaceAll(string(line), "\x00", " ")
	}
	// Without /proc, as on macOS, ps tells; a zombie shows no arguments there.
	line, _ = exec.Command("ps", "-ww", "-o", "args=", "-p", strconv.Itoa(pid)).Output()
	return strings.TrimSpace(string(line)) + " "
}
