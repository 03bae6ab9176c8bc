package web

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"net/http"
	"slices"
	"strings"
)

// bayAssets begins the names of the assets that the bay keeps on the phone,
// beside the style of all pages.
const bayAssets = "bay/"

// workerSetting is what the service worker keeps on the phone.
type workerSetting struct {
	Version string   `json:"version"`
	Assets  []string `json:"assets"`
}

func newWorkerSetting(a *assets) workerSetting {
	var set workerSetting
	sum := sha256.New()
	for name, address := range a.addresses {
		if strings.HasPrefix(name, bayAssets) || strings.HasSuffix(name, ".css") || strings.HasSuffix(name, ".svg") {
			set.Assets = append(set.Assets, address)
		}
	}
	slices.Sort(set.Assets)
	for _, address := range set.Assets {
		sum.Write([]byte(address))
	}
	set.Version = hex.EncodeToString(sum.Sum(nil)[:8])
	return set
}

// sendWorker sends the service worker, from the root so that it may serve all
// pages of the bay. Its text changes with any asset, by which the browser finds
// that there is a new one.
func (s *Server) sendWorker(w http.ResponseWriter, _ *http.Request, _ *viewer) error {
	setting, err := json.Marshal(newWorkerSetting(s.assets))
	if err != nil {
		return err
	}
	source, err := staticFiles.ReadFile("static/worker.js")
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, err = w.Write(slices.Concat([]byte("const setting = "), setting, []byte(";\n"), source))
	if err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}

// manifest lets a phone keep the bay beside its other programs.
type manifest struct {
	ID         string         `json:"id"`
	Name       string         `json:"name"`
	ShortName  string         `json:"short_name"`
	Lang       string         `json:"lang"`
	StartURL   string         `json:"start_url"`
	Scope      string         `json:"scope"`
	Display    string         `json:"display"`
	Background string         `json:"background_color"`
	Theme      string         `json:"theme_color"`
	Icons      []manifestIcon `json:"icons"`
}

type manifestIcon struct {
	Src     string `json:"src"`
	Sizes   string `json:"sizes"`
	Type    string `json:"type"`
	Purpose string `json:"purpose,omitempty"`
}

func (s *Server) sendManifest(w http.ResponseWriter, _ *http.Request, v *viewer) error {
	start := studyPath(v.study.Code, "/bay")
	body, err := json.Marshal(manifest{
		ID: start, Name: "beadspan " + v.study.Code, ShortName: "beadspan", Lang: v.say.Tag,
		StartURL: start, Scope: "/", Display: "standalone", Background: "#ffffff", Theme: "#0b4f5c",
		Icons: []manifestIcon{
			{s.assets.address("bay/icon-192.png"), "192x192", "image/png", ""},
			{s.assets.address("bay/icon-512.png"), "512x512", "image/png", ""},
			{s.assets.address("bay/icon-512.png"), "512x512", "image/png", "maskable"},
		},
	})
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/manifest+json")
	_, err = w.Write(body)
	if err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}
