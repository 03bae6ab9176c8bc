package localpg

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// rootDir is the base when the user is root: root's home is closed to the
// account that runs the server.
const rootDir = "/var/lib/beadspan"

// longestSocketPath is what fits the address of a Unix socket everywhere: the
// field has 104 bytes on macOS and 108 on Linux, the last one a zero.
const longestSocketPath = 100

// DefaultDir is the base directory of the user's private server: beadspan
// under XDG_DATA_HOME or the platform's folder for application data, and
// /var/lib/beadspan for root.
func DefaultDir() (string, error) {
	if os.Geteuid() == 0 {
		return rootDir, nil
	}
	if data := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(data) {
		return filepath.Join(data, "beadspan"), nil
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", fmt.Errorf("find the user's data folder: %w", err)
	}
	if runtime.GOOS == "darwin" {
		return filepath.Join(home, "Library", "Application Support", "beadspan"), nil
	}
	return filepath.Join(home, ".local", "share", "beadspan"), nil
}

// WrongMajorError says that the base holds data of major versions whose server
// programs are not on the machine, and none that could be used.
type WrongMajorError struct {
	Dir    string
	Data   []int // majors of the data found, ascending
	Usable []int // majors of the programs found, ascending
}

func (e *WrongMajorError) Error() string {
	data := e.Data[len(e.Data)-1]
	return fmt.Sprintf("%s holds data of PostgreSQL %s, but this machine has programs of %s only: "+
		"install PostgreSQL %d again (Debian, Ubuntu: 'apt-get install postgresql-%d'; macOS: 'brew install postgresql@%d') "+
		"or name its programs in BEADSPAN_PG_BIN; to move to a newer version, then run 'beadspan db backup FILE' and "+
		"'beadspan db stop', rename %s, and run 'beadspan db restore FILE' with the newer programs",
		e.Dir, list(e.Data), list(e.Usable), data, data, data, dataDir(e.Dir, data))
}

// chooseMajor returns the programs to use in base dir: the first usable ones
// for the newest data there, or for a new data directory the first of all.
func chooseMajor(dir string, usable []Programs) (Programs, error) {
	data := dataMajors(dir)
	for _, major := range slices.Backward(data) {
		for _, p := range usable {
			if p.Major == major {
				return p, nil
			}
		}
	}
	if len(data) == 0 {
		return usable[0], nil
	}
	var majors []int
	for _, p := range usable {
		majors = append(majors, p.Major)
	}
	slices.Sort(majors)
	return Programs{}, &WrongMajorError{Dir: dir, Data: data, Usable: slices.Compact(majors)}
}

// dataMajors lists the major versions that base dir has data of, ascending.
func dataMajors(dir string) []int {
	var majors []int
	files, _ := filepath.Glob(filepath.Join(escapeGlob(dir), "pg*", "PG_VERSION"))
	for _, file := range files {
		number := strings.TrimPrefix(filepath.Base(filepath.Dir(file)), "pg")
		if major, err := strconv.Atoi(number); err == nil {
			majors = append(majors, major)
		}
	}
	slices.Sort(majors)
	return majors
}

func dataDir(dir string, major int) string { return filepath.Join(dir, fmt.Sprintf("pg%d", major)) }

func fetchedDir(dir string) string { return filepath.Join(dir, "fetched") }

// port names the socket file: with no TCP it need not be free on the machine,
// only differ between the major versions of one base.
func port(major int) int { return 5400 + major }

// socketDir is run under the base. Where that makes too long an address, or has
// a comma, which clients take for the end of a host's name, it is a directory
// under /tmp that depends on the base alone, so that every process comes to the
// same one.
func socketDir(dir string, uid uint32) string {
	run := filepath.Join(dir, "run")
	if len(filepath.Join(run, ".s.PGSQL.5499")) <= longestSocketPath && !strings.Contains(run, ",") {
		return run
	}
	sum := sha256.Sum256([]byte(dir))
	return fmt.Sprintf("/tmp/beadspan-%d-%x", uid, sum[:6])
}

// makeBase makes the base directory. For root it lets the account that runs
// the server pass through; what lies inside is closed file by file.
func makeBase(dir string, a account) error {
	mode := os.FileMode(0o700)
	if a.switched {
		mode = 0o755
	}
	if _, err := os.Stat(dir); errors.Is(err, os.ErrNotExist) {
		if err := os.MkdirAll(dir, mode); err != nil {
			return err
		}
		// The caller's umask may have taken bits away.
		if err := os.Chmod(dir, mode); err != nil {
			return err
		}
	}
	return a.reaches(dir)
}

// makeSocketDir makes the socket directory. Under /tmp somebody else may have
// made it first to lay hands on the connections, so its owner is checked.
func makeSocketDir(dir string, a account) error {
	if err := os.Mkdir(dir, 0o700); err != nil && !errors.Is(err, os.ErrExist) {
		return err
	}
	info, err := os.Lstat(dir)
	if err != nil {
		return err
	}
	stat, ok := info.Sys().(*syscall.Stat_t)
	if !info.IsDir() || !ok || (stat.Uid != a.uid && stat.Uid != uint32(os.Geteuid())) {
		return fmt.Errorf("socket directory %s is not yours: remove it, or choose a data directory with a shorter path", dir)
	}
	if err := os.Chmod(dir, 0o700); err != nil {
		return err
	}
	return a.own(dir)
}

// escapeGlob keeps characters of a path from being read as a pattern.
func escapeGlob(path string) string {
	return strings.NewReplacer(`\`, `\\`, `*`, `\*`, `?`, `\?`, `[`, `\[`).Replace(path)
}

func list(numbers []int) string {
	words := make([]string, len(numbers))
	for i, n := range numbers {
		words[i] = strconv.Itoa(n)
	}
	return strings.Join(words, ", ")
}
