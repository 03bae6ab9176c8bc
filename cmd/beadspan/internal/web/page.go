package web

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"

	"beadspan/reports"
	"beadspan/study"
)

//go:embed templates
var templateFiles embed.FS

// pages are the templates, by language and name.
type pages map[*language]map[string]*template.Template

// readPages reads every template in every language. templates/base.html is
// around each page, and templates/parts.html holds what several pages have.
func readPages(a *assets) (pages, error) {
	names, err := fs.Glob(templateFiles, "templates/*.html")
	if err != nil {
		return nil, err
	}
	all := pages{}
	for _, l := range languages {
		all[l] = map[string]*template.Template{}
		for _, name := range names {
			if base := path.Base(name); base != "base.html" && base != "parts.html" {
				t, err := template.New("base.html").Funcs(functions(l, a)).
					ParseFS(templateFiles, "templates/base.html", "templates/parts.html", name)
				if err != nil {
					return nil, err
				}
				all[l][base] = t
			}
		}
	}
	return all, nil
}

// functions are what templates call, in one language.
func functions(l *language, a *assets) template.FuncMap {
	return template.FuncMap{
		"asset":     a.address,
		"t":         l.text,
		"plural":    l.plural,
		"number":    l.number,
		"decimal":   l.decimal,
		"date":      l.date,
		"moment":    l.moment,
		"percent":   func(share float64) string { return l.decimal(100*share, 0) + " %" },
		"kilobytes": func(bytes int64) string { return l.number(int((bytes + 999) / 1000)) },
		"drop":      reports.Drop,
		"unbroken":  reports.Unbroken,
		"study":     studyPath,
		"vehicle":   vehiclePath,
		"tab":       newTab,
		"rolepick":  newRolePicks,
		"photolist": newPhotoList,
		"languages": func() []*language { return languages },
	}
}

// tab is one entry of the menu.
type tab struct {
	To, Word string
	Here     bool
}

// newTab makes an entry that is marked where the page is of that template.
func newTab(here, template, to, word string) tab { return tab{to, word, here == template} }

// frame is what a template gets: the page's own data, and what every page has.
type frame struct {
	Title   string
	Version string
	Account string // name of who has signed in
	Steward bool   // who looks after every study
	Study   study.Study
	Role    study.Role
	Prefs   preferences
	Say     *language
	Here    string // the template's name, by which the menu marks where one is
	Page    any
}

// InStudy reports whether the page is of a study.
func (f frame) InStudy() bool { return f.Study.Code != "" }

// render sends a page. It is made whole before anything is sent, so that there
// are no half pages.
func (s *Server) render(w http.ResponseWriter, v *viewer, status int, name, title string, page any) error {
	t, has := s.pages[v.say][name]
	if !has {
		return fmt.Errorf("no template %s", name)
	}
	f := frame{Title: title, Version: s.opts.Version, Account: v.account.Name, Steward: v.account.Steward, Study: v.study, Role: v.role,
		Prefs: v.prefs, Say: v.say, Here: name, Page: page}
	var out bytes.Buffer
	if err := t.Execute(&out, f); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, err := w.Write(out.Bytes())
	if err != nil {
		return nil //nolint:nilerr // whoever asked has left
	}
	return nil
}
