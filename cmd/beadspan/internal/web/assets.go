package web

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"hash"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strings"
	"time"

	"beadspan/reports"
)

//go:embed static
var staticFiles embed.FS

// assetPrefix begins the address of every asset.
const assetPrefix = "/assets/"

// assets are the files that pages ask for, each under an address that holds a
// hash of its content: what a browser has once it never asks for again.
type assets struct {
	byAddress map[string]asset
	addresses map[string]string // by name
}

type asset struct {
	name    string
	content []byte
	gzipped []byte // nil where compressing doesn't make it smaller
}

func readAssets() (*assets, error) {
	a := &assets{byAddress: map[string]asset{}, addresses: map[string]string{}}
	contents := map[string][]byte{}
	folders := map[string]hash.Hash{} // of all that is in a folder
	err := fs.WalkDir(staticFiles, "static", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := staticFiles.ReadFile(name)
		if err != nil {
			return err
		}
		name = strings.TrimPrefix(name, "static/")
		contents[name] = content
		folder := path.Dir(name)
		if folders[folder] == nil {
			folders[folder] = sha256.New()
		}
		folders[folder].Write(content)
		return nil
	})
	if err != nil {
		return nil, err
	}
	contents["plot.js"], contents["plot.css"] = []byte(reports.PlotScript()), []byte(reports.PlotStyle())
	for name, content := range contents {
		if err := a.add(name, content, addressOf(name, content, folders[path.Dir(name)])); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// addressOf puts a hash into the address of an asset: its own or, in a folder,
// the folder's, so that scripts of one folder may import one another by name.
func addressOf(name string, content []byte, folder hash.Hash) string {
	if dir := path.Dir(name); dir != "." {
		return assetPrefix + dir + "." + hex.EncodeToString(folder.Sum(nil)[:6]) + "/" + path.Base(name)
	}
	sum := sha256.Sum256(content)
	ext := path.Ext(name)
	return assetPrefix + strings.TrimSuffix(name, ext) + "." + hex.EncodeToString(sum[:6]) + ext
}

func (a *assets) add(name string, content []byte, address string) error {
	var gzipped bytes.Buffer
	z, err := gzip.NewWriterLevel(&gzipped, gzip.BestCompression)
	if err != nil {
		return err
	}
	if _, err := z.Write(content); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	file := asset{name: name, content: content}
	if gzipped.Len() < len(content) {
		file.gzipped = gzipped.Bytes()
	}
	a.byAddress[address], a.addresses[name] = file, address
	return nil
}

// address is where the asset of that name is; a name that isn't there is a
// programmer's mistake.
func (a *assets) address(name string) string {
	address, has := a.addresses[name]
	if !has {
		panic("no asset " + name)
	}
	return address
}

// ServeHTTP sends an asset.
func (a *assets) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	file, has := a.byAddress[r.URL.Path]
	if !has {
		http.NotFound(w, r)
		return
	}
	w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
	file.send(w, r)
}

// send answers with the file.
func (f asset) send(w http.ResponseWriter, r *http.Request) {
	h := w.Header()
	h.Set("Content-Type", mime.TypeByExtension(path.Ext(f.name)))
	h.Set("Vary", "Accept-Encoding")
	sum := sha256.Sum256(f.content)
	tag := hex.EncodeToString(sum[:8])
	content := f.content
	if f.gzipped != nil && strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		h.Set("Content-Encoding", "gzip")
		content, tag = f.gzipped, tag+"z"
	}
	h.Set("ETag", `"`+tag+`"`)
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(content))
}
