package localpg

import (
	"archive/tar"
	"compress/gzip"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"
)

// unpackLimit is the most that a package may unpack to; the largest has 80 MB.
const unpackLimit = 1 << 30

// unpack puts the programs and the licence from an npm package into a new
// directory. Nothing that the package says can write outside of it.
func unpack(packed, dir string) error {
	if err := os.Mkdir(dir, 0o755); err != nil {
		return err
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	defer root.Close()
	file, err := os.Open(packed)
	if err != nil {
		return err
	}
	defer file.Close()
	plain, err := gzip.NewReader(file)
	if err != nil {
		return err
	}
	if err := untar(root, tar.NewReader(io.LimitReader(plain, unpackLimit))); err != nil {
		return err
	}
	if err := recreateLinks(root); err != nil {
		return err
	}
	return openToAll(root)
}

// untar writes the regular files under package/native, without that part of
// their names. There are no others: npm packages have no links.
func untar(root *os.Root, files *tar.Reader) error {
	for {
		header, err := files.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		name, native := strings.CutPrefix(header.Name, "package/native/")
		if !native && header.Name == "package/LICENSE.md" {
			name, native = "LICENSE.md", true
		}
		if !native || header.Typeflag != tar.TypeReg {
			continue
		}
		if err := writeFile(root, name, files, header.FileInfo().Mode()); err != nil {
			return err
		}
	}
}

func writeFile(root *os.Root, name string, content io.Reader, mode fs.FileMode) error {
	if err := root.MkdirAll(path.Dir(name), 0o755); err != nil {
		return err
	}
	perm := fs.FileMode(0o644)
	if mode&0o100 != 0 || path.Dir(name) == "bin" {
		perm = 0o755
	}
	file, err := root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, perm)
	if err != nil {
		return err
	}
	defer file.Close()
	if _, err := io.Copy(file, content); err != nil {
		return err
	}
	return file.Close()
}

// recreateLinks makes the symbolic links of libraries, which an npm package
// cannot hold and which this one lists in a file.
func recreateLinks(root *os.Root) error {
	const listed = "pg-symlinks.json"
	text, err := root.ReadFile(listed)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	var links []struct{ Source, Target string }
	if err := json.Unmarshal(text, &links); err != nil {
		return fmt.Errorf("read %s: %w", listed, err)
	}
	for _, link := range links {
		source := strings.TrimPrefix(link.Source, "native/")
		name := strings.TrimPrefix(link.Target, "native/")
		if !filepath.IsLocal(source) || !filepath.IsLocal(name) {
			return fmt.Errorf("%s links %s to %s, which lies outside of the package", listed, name, source)
		}
		relative, err := filepath.Rel(path.Dir(name), source)
		if err != nil {
			return err
		}
		if err := root.Symlink(relative, name); err != nil {
			return err
		}
	}
	return nil
}

// openToAll undoes what the caller's umask took: for root, another account
// runs these programs.
func openToAll(root *os.Root) error {
	return fs.WalkDir(root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.Type()&fs.ModeSymlink != 0 {
			return err
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		mode := fs.FileMode(0o644)
		if entry.IsDir() || info.Mode()&0o100 != 0 {
			mode = 0o755
		}
		return root.Chmod(name, mode)
	})
}
