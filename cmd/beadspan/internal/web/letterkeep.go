package web

import (
	"bytes"
	"context"
	"net/http"
	"net/url"
	"slices"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

// letterForm is how a letter is wanted.
type letterForm struct {
	Language reports.Language
	Paper    reports.Paper
}

// readLetterForm reads how a letter is wanted; what the form doesn't offer is a
// fault of whoever made it up.
func readLetterForm(form url.Values) (letterForm, error) {
	f := letterForm{reports.Language(form.Get("language")), reports.Paper(form.Get("paper"))}
	if !slices.Contains(reports.Languages(), f.Language) || !slices.Contains(reports.Papers(), f.Paper) {
		return f, fault{http.StatusBadRequest, "fault.form"}
	}
	return f, nil
}

// letterLooks are how letters of a study look, by shop.
type letterLooks struct {
	form    letterForm
	records *records
	heads   map[study.ID]study.Letterhead
	made    map[study.ID]reports.LetterLook
}

// looks reads what stands at the head of the study's letters.
func (x *records) looks(ctx context.Context, f letterForm) (*letterLooks, error) {
	heads, err := x.letterheads(ctx)
	return &letterLooks{f, x, heads, map[study.ID]reports.LetterLook{}}, err
}

// of is how letters of a shop look; nil for vehicles that name no shop. A shop
// without a letterhead of its own has the study's.
func (l *letterLooks) of(shop *study.ID) (reports.LetterLook, error) {
	key := l.records.headOf(shop)
	if _, has := l.heads[key]; !has {
		key = l.records.study.ID
	}
	if look, made := l.made[key]; made {
		return look, nil
	}
	head := l.heads[key]
	look := reports.LetterLook{Language: l.form.Language, Paper: l.form.Paper, Shop: head.Name}
	if head.LogoPNG != nil {
		var err error
		if look.Logo, err = reports.ReadLogo(bytes.NewReader(head.LogoPNG)); err != nil {
			return look, err
		}
	}
	l.made[key] = look
	return look, nil
}

// keep stores a letter as it is on paper and for a browser.
func (x *records) keep(ctx context.Context, letter *reports.Letter, vehicle study.ID, look reports.LetterLook, by study.ID) (study.ID, error) {
	var pdf bytes.Buffer
	if err := letter.WritePDF(&pdf, look); err != nil {
		return study.ID{}, err
	}
	page, err := letterText(letter, look)
	if err != nil {
		return study.ID{}, err
	}
	return x.store.KeepLetter(ctx, study.KeptLetter{
		ID: study.NewID(), VehicleID: vehicle, Day: letter.On, Language: string(look.Language), Paper: string(look.Paper),
		Version: letter.Version, MadeBy: by,
	}, store.LetterText{PDF: pdf.Bytes(), Page: page})
}
