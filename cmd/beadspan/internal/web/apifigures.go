package web

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"net/http"
	"slices"
	"strconv"

	"github.com/danielgtaylor/huma/v2"

	"beadspan/reports"
	"beadspan/study"
)

// apiFigure answers with something that is worked out from all records.
type apiFigure struct {
	Status     int
	RetryAfter int `header:"Retry-After"` // seconds; 0: it is ready
	Body       struct {
		Fresh bool `json:"fresh" doc:"Of the records as they are; false: of those before the latest change, and the next is being worked out."`
		// Of the work on the next.
		Done   int64           `json:"done" doc:"Parts of the work on the next that are done."`
		Total  int64           `json:"total" doc:"Of so many; 0 while nobody knows."`
		Result json.RawMessage `json:"result" doc:"Null while it is being worked out for the first time."`
	}
}

// apiLifeQuery asks for the table of life.
type apiLifeQuery struct {
	apiOfStudy
	By string `query:"by" enum:"coating,climate" default:"coating" doc:"A row for each coating, or for each coating in each climate."`
}

// apiDueQuery asks for what is due.
type apiDueQuery struct {
	apiOfStudy
	Ahead int `query:"ahead_days" default:"0" doc:"Also what falls due within so many days: 0, 14, 30 or 90."`
}

func (a *api) registerFigures() {
	const how = " It is worked out in the background: 202 says that it isn't ready yet, and Retry-After when to ask again. The result is what "
	describe := func(id, path, summary, about, command string) huma.Operation {
		return huma.Operation{OperationID: id, Method: http.MethodGet, Path: "/studies/{study}" + path, Tags: []string{"results"},
			Summary: summary, Description: about + how + command + " prints.",
			Responses: map[string]*huma.Response{"202": {Description: "Not ready yet"}}}
	}
	offer(a, reading, describe("get-due", "/due", "Read what is due",
		"Vehicles that are due for something, the most urgent first; those that the caller may see.", "beadspan due --json"), a.getDue)
	offer(a, reading, describe("get-life", "/life", "Read how long coatings last",
		"By Turnbull's estimate, with limits from a bootstrap over vehicles.", "beadspan life --json"), a.getLife)
	offer(a, reading, describe("get-decay", "/decay", "Read how contact angles fall",
		"By one curve and by a model of the patches. Single patches are told only to who sees every shop.", "beadspan decay --json"), a.getDecay)
	offer(a, reading, describe("get-climates", "/climates", "Read life by climate",
		"Climates pooled in part, and forecasts for others.", "beadspan climate --json"), a.getClimates)
}

func (a *api) getDue(_ context.Context, c *caller, in *apiDueQuery) (*apiFigure, error) {
	if !slices.Contains(daysAhead(), in.Ahead) {
		return nil, study.Problems{{Column: "query.ahead_days", Got: strconv.Itoa(in.Ahead), Want: "expected 0, 14, 30 or 90"}}
	}
	list, err := lookUp(c.records, dueFigure(in.Ahead), a.today())
	if err != nil {
		return nil, err
	}
	return answerFigure(list, func(l *reports.DueList, w io.Writer) error { return c.records.dueOf(l, dueQuery{}).WriteJSON(w) })
}

func (a *api) getLife(_ context.Context, c *caller, in *apiLifeQuery) (*apiFigure, error) {
	return a.evidenceFor(c, func(e *evidence, w io.Writer) error {
		if in.By == "climate" {
			return e.ByClimate.WriteJSON(w)
		}
		return e.Life.WriteJSON(w)
	})
}

func (a *api) getDecay(_ context.Context, c *caller, _ *apiOfStudy) (*apiFigure, error) {
	return a.evidenceFor(c, func(e *evidence, w io.Writer) error {
		decays := append(reports.Decays{}, e.Decays...)
		for i := range decays {
			if p := decays[i].Population; p != nil && !c.records.scope.EveryShop {
				unnamed := *p
				unnamed.Panel = nil // it names vehicles
				decays[i].Population = &unnamed
			}
		}
		return decays.WriteJSON(w)
	})
}

func (a *api) getClimates(_ context.Context, c *caller, _ *apiOfStudy) (*apiFigure, error) {
	return a.evidenceFor(c, func(e *evidence, w io.Writer) error { return e.ClimateLife.WriteJSON(w) })
}

// evidenceFor answers with a part of what all records show.
func (a *api) evidenceFor(c *caller, write func(*evidence, io.Writer) error) (*apiFigure, error) {
	e, err := lookUp(c.records, evidenceFigure, a.today())
	if err != nil {
		return nil, err
	}
	return answerFigure(e, write)
}

// answerFigure answers with what is known of a figure now.
func answerFigure[T any](f found[T], write func(T, io.Writer) error) (*apiFigure, error) {
	out := &apiFigure{Status: http.StatusOK}
	out.Body.Fresh, out.Body.Done, out.Body.Total = f.Fresh, f.Done, f.Total
	if !f.Ready {
		out.Status, out.RetryAfter = http.StatusAccepted, 2
		out.Body.Result = json.RawMessage("null")
		return out, nil
	}
	var result bytes.Buffer
	if err := write(f.Value, &result); err != nil {
		return nil, err
	}
	out.Body.Result = result.Bytes()
	return out, nil
}
