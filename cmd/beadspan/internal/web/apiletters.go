package web

import (
	"context"
	"errors"
	"fmt"
	"html"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"

	"beadspan/reports"
	"beadspan/study"
	"beadspan/study/store"
)

// apiLetter is a kept letter as programs read of it.
type apiLetter struct {
	ID       study.ID         `json:"id" format:"uuid"`
	Day      study.Day        `json:"day" format:"date" doc:"What it says is of this day, and stays so."`
	Language reports.Language `json:"language" enum:"en,de,fr"`
	Paper    reports.Paper    `json:"paper" enum:"a4,letter"`
	Version  string           `json:"version" doc:"Of the program that wrote it."`
	MadeBy   string           `json:"made_by" doc:"Name of the account."`
	SentOn   *study.Day       `json:"sent_on" doc:"Null while nobody said that it was sent."`
	SentHow  study.Sending    `json:"sent_how" doc:"printed, link or file; empty while it wasn't."`
	SentBy   string           `json:"sent_by" doc:"Name of the account that said so."`
	PDFBytes int              `json:"pdf_bytes"`
}

func newAPILetter(l store.LetterLine) apiLetter {
	out := apiLetter{ID: l.ID, Day: l.Day, Language: reports.Language(l.Language), Paper: reports.Paper(l.Paper), Version: l.Version,
		MadeBy: l.Maker, SentBy: l.Sender, PDFBytes: l.PDFBytes}
	if l.Sent != nil {
		out.SentOn, out.SentHow = &l.Sent.On, l.Sent.How
	}
	return out
}

// apiLetters lists the letters to a vehicle's customer.
type apiLetters struct {
	Body struct {
		Letters []apiLetter `json:"letters" nullable:"false" doc:"The latest first."`
	}
}

// apiMakeLetter asks for today's letter to be kept.
type apiMakeLetter struct {
	apiOfStudy
	Vehicle  string           `path:"vehicle" maxLength:"100" doc:"Code of the vehicle." example:"V001"`
	Language reports.Language `query:"language" enum:"en,de,fr" default:"en"`
	Paper    reports.Paper    `query:"paper" enum:"a4,letter" default:"a4"`
}

// apiMadeLetter answers with the letter that was kept.
type apiMadeLetter struct {
	Status     int
	RetryAfter int `header:"Retry-After"` // seconds; 0: it is ready
	Body       struct {
		Letter *apiLetter `json:"letter" doc:"Null while what it tells of is being worked out: ask again."`
	}
}

// apiLetterQuery asks for a kept letter.
type apiLetterQuery struct {
	apiOfStudy
	Vehicle string   `path:"vehicle" maxLength:"100" doc:"Code of the vehicle." example:"V001"`
	Letter  study.ID `path:"letter" format:"uuid" doc:"Id of the letter."`
	Format  string   `query:"format" enum:"pdf,html" default:"pdf"`
}

func (a *api) registerLetters() {
	const path = "/studies/{study}/vehicles/{vehicle}/letters"
	tags := []string{"letters"}
	offer(a, reading, huma.Operation{
		OperationID: "list-letters", Method: http.MethodGet, Path: path, Tags: tags,
		Summary: "List letters", Description: "Letters to a vehicle's customer that are kept.",
	}, a.listLetters)
	offer(a, logging, huma.Operation{
		OperationID: "make-letter", Method: http.MethodPost, Path: path, Tags: tags, DefaultStatus: http.StatusCreated,
		Summary: "Make a letter",
		Description: "Keeps today's letter as it is. What it tells of is worked out in the background: 202 says that it isn't ready yet, " +
			"and Retry-After when to ask again. The same letter on the same day is kept once.",
		Responses: map[string]*huma.Response{"202": {Description: "Not ready yet"}},
	}, a.makeLetter)
	binary := &huma.MediaType{Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}
	offer(a, reading, huma.Operation{
		OperationID: "get-letter", Method: http.MethodGet, Path: path + "/{letter}", Tags: tags,
		Summary: "Read a letter", Description: "A kept letter, the very bytes that were kept, or the same as a page that needs no network.",
		Responses: map[string]*huma.Response{"200": {Description: "The letter",
			Content: map[string]*huma.MediaType{"application/pdf": binary, "text/html": binary}}},
	}, a.getLetter)
}

func (a *api) listLetters(ctx context.Context, c *caller, in *apiVehicleQuery) (*apiLetters, error) {
	vehicle, err := c.records.vehicleID(ctx, in.Vehicle)
	if err != nil {
		return nil, err
	}
	list, err := c.records.letters(ctx, vehicle, lettersOnPage)
	if err != nil {
		return nil, err
	}
	out := &apiLetters{}
	out.Body.Letters = []apiLetter{}
	for _, l := range list {
		out.Body.Letters = append(out.Body.Letters, newAPILetter(l))
	}
	return out, nil
}

func (a *api) makeLetter(ctx context.Context, c *caller, in *apiMakeLetter) (*apiMadeLetter, error) {
	id, vehicle, err := a.keepLetter(ctx, c.viewer, in.Vehicle, letterForm{in.Language, in.Paper})
	if errors.Is(err, errNotReady) {
		return &apiMadeLetter{Status: http.StatusAccepted, RetryAfter: 2}, nil
	}
	if err != nil {
		return nil, err
	}
	line, err := a.store.Letter(ctx, vehicle, id)
	if err != nil {
		return nil, err
	}
	out := &apiMadeLetter{Status: http.StatusCreated}
	out.Body.Letter = new(newAPILetter(line))
	return out, nil
}

func (a *api) getLetter(ctx context.Context, c *caller, in *apiLetterQuery) (*apiFile, error) {
	vehicle, err := c.records.vehicleID(ctx, in.Vehicle)
	if err != nil {
		return nil, err
	}
	letter, err := a.store.Letter(ctx, vehicle, in.Letter)
	if err != nil {
		return nil, err
	}
	var content []byte
	if in.Format == "html" {
		content, err = a.letterDocument(ctx, in.Vehicle, letter.KeptLetter)
	} else {
		content, err = a.store.LetterPDF(ctx, vehicle, in.Letter)
	}
	if err != nil {
		return nil, err
	}
	contentType := map[string]string{"pdf": "application/pdf", "html": "text/html; charset=utf-8"}[in.Format]
	return &apiFile{func(ctx huma.Context) {
		_, w := humago.Unwrap(ctx)
		asFile(w, contentType, letterFile(in.Vehicle, letter.Day, in.Format))
		w.Write(content) //nolint:errcheck // whoever asked has left
	}}, nil
}

// letterDocument is a kept letter as a page that stands by itself.
func (s *Server) letterDocument(ctx context.Context, vehicle string, l study.KeptLetter) ([]byte, error) {
	page, err := s.keptPage(ctx, l)
	if err != nil {
		return nil, err
	}
	return fmt.Appendf(nil, `<!DOCTYPE html>
<html lang="%s">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="robots" content="noindex">
<title>%s %s</title>
<style>%s</style>
</head>
<body>
%s
</body>
</html>
`, html.EscapeString(l.Language), html.EscapeString(vehicle), l.Day, page.Style, page.Article), nil
}
