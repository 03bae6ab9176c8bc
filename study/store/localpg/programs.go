package localpg

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// OldestMajor is the oldest major version of Postgres that is supported.
const OldestMajor = 14

// Programs is one installation of the Postgres server programs.
type Programs struct {
	BinDir  string // holds initdb, pg_ctl and postgres
	Version string // such as "15.18"
	Major   int    // such as 15
}

// NoProgramsError says that no usable server programs are on the machine. Its
// message tells what to install.
type NoProgramsError struct {
	Refused []string // installations that were found but cannot be used, each with its reason
}

func (e *NoProgramsError) Error() string {
	var found string
	if len(e.Refused) > 0 {
		found = " (" + strings.Join(e.Refused, "; ") + ")"
	}
	return fmt.Sprintf("no PostgreSQL server programs of version %d or later found%s: install them with "+
		"'apt-get install postgresql' (Debian, Ubuntu), 'dnf install postgresql-server' (Fedora) or "+
		"'brew install postgresql@17' (macOS), fetch a copy with 'beadspan db fetch', "+
		"name their directory in BEADSPAN_PG_BIN, or name a server of yours with --database-url",
		OldestMajor, found)
}

// Find lists the usable server programs, best first: those that the machine
// has, newest first, then those that Fetch brought to dir, newest first. A
// binDir that is not empty is the only place looked at. Finding none is a
// *NoProgramsError.
func Find(ctx context.Context, dir, binDir string) ([]Programs, error) {
	return search{knownPlaces(), "pg_config"}.find(ctx, dir, binDir)
}

// search is where installations are looked for.
type search struct {
	places   []string // glob patterns of program directories
	pgConfig string   // a program that prints one more, empty for none
}

// knownPlaces are the program directories of Debian and PGDG packages, Fedora
// and PGDG rpms, openSUSE, Gentoo and Alpine, Homebrew on both kinds of Mac and
// on Linux, MacPorts, installers for macOS, and of builds from source.
func knownPlaces() []string {
	return []string{
		"/usr/lib/postgresql/*/bin",
		"/usr/pgsql-*/bin",
		"/usr/bin",
		"/usr/lib/postgresql*/bin",
		"/usr/lib64/postgresql-*/bin",
		"/usr/libexec/postgresql*",
		"/opt/homebrew/opt/postgresql*/bin",
		"/usr/local/opt/postgresql*/bin",
		"/home/linuxbrew/.linuxbrew/opt/postgresql*/bin",
		"/opt/local/lib/postgresql*/bin",
		"/Applications/*/Contents/Versions/*/bin",
		"/Library/PostgreSQL/*/bin",
		"/usr/local/pgsql/bin",
		"/usr/local/bin",
	}
}

func (s search) find(ctx context.Context, dir, binDir string) ([]Programs, error) {
	if binDir != "" {
		p, err := programsAt(ctx, binDir)
		if err != nil {
			return nil, fmt.Errorf("server programs in %s: %w", binDir, err)
		}
		return []Programs{p}, nil
	}
	found, refused := programsIn(ctx, s.candidates(ctx))
	fetched, _ := filepath.Glob(filepath.Join(escapeGlob(fetchedDir(dir)), "*", "bin"))
	cached, alsoRefused := programsIn(ctx, fetched)
	found = append(found, cached...)
	if len(found) == 0 {
		return nil, &NoProgramsError{Refused: append(refused, alsoRefused...)}
	}
	return found, nil
}

// candidates are directories that may hold server programs.
func (s search) candidates(ctx context.Context) []string {
	var dirs []string
	if s.pgConfig != "" {
		if out, err := exec.CommandContext(ctx, s.pgConfig, "--bindir").Output(); err == nil {
			dirs = append(dirs, strings.TrimSpace(string(out)))
		}
	}
	for _, place := range s.places {
		// Glob fails only on a malformed pattern, and these are constants.
		matches, _ := filepath.Glob(place)
		dirs = append(dirs, matches...)
	}
	return dirs
}

// programsIn returns what is usable in dirs, newest first, and what is not.
// A directory without a server is neither: clients alone are no fault.
func programsIn(ctx context.Context, dirs []string) (found []Programs, refused []string) {
	seen := map[string]bool{}
	for _, dir := range dirs {
		real, err := filepath.EvalSymlinks(filepath.Join(dir, "postgres"))
		if err != nil || seen[real] {
			continue
		}
		seen[real] = true
		p, err := programsAt(ctx, dir)
		if err != nil {
			refused = append(refused, fmt.Sprintf("%s: %v", dir, err))
			continue
		}
		found = append(found, p)
	}
	slices.SortStableFunc(found, func(a, b Programs) int {
		return -cmp.Or(cmp.Compare(a.Major, b.Major), cmp.Compare(minor(a.Version), minor(b.Version)))
	})
	return found, refused
}

// programsAt looks at one directory and asks the server there for its version.
func programsAt(ctx context.Context, dir string) (Programs, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return Programs{}, err
	}
	if err := refuseShellSigns(dir); err != nil {
		return Programs{}, err
	}
	for _, name := range []string{"postgres", "initdb", "pg_ctl"} {
		if _, err := exec.LookPath(filepath.Join(dir, name)); err != nil {
			return Programs{}, fmt.Errorf("no program %s", name)
		}
	}
	ask := exec.CommandContext(ctx, filepath.Join(dir, "postgres"), "--version")
	ask.Env = cleanEnv(os.Environ())
	out, err := ask.CombinedOutput()
	if err != nil {
		return Programs{}, fmt.Errorf("postgres --version: %w: %s", err, strings.TrimSpace(string(out)))
	}
	version, major, ok := parseVersion(string(out))
	if !ok {
		return Programs{}, fmt.Errorf("postgres --version said %q, which names no version", strings.TrimSpace(string(out)))
	}
	if major < OldestMajor {
		return Programs{}, fmt.Errorf("version %s is older than %d", version, OldestMajor)
	}
	return Programs{BinDir: dir, Version: version, Major: major}, nil
}

// parseVersion reads what "postgres --version" prints, such as
// "postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)" or, before a release,
// "postgres (PostgreSQL) 18beta1".
func parseVersion(said string) (version string, major int, ok bool) {
	m := regexp.MustCompile(`\(PostgreSQL\) ((\d+)\S*)`).FindStringSubmatch(said)
	if m == nil {
		return "", 0, false
	}
	major, err := strconv.Atoi(m[2])
	return m[1], major, err == nil
}

// minor is the 18 of "15.18", or 0 where there is none.
func minor(version string) int {
	_, after, _ := strings.Cut(version, ".")
	n, _ := strconv.Atoi(after)
	return n
}

// path is where the program of the given name lies.
func (p Programs) path(name string) string { return filepath.Join(p.BinDir, name) }

// has tells whether the installation has a program that not all of them have.
func (p Programs) has(name string) bool {
	_, err := exec.LookPath(p.path(name))
	return err == nil
}
