package web

import (
	"context"
	"net/http"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"
)

// apiExportQuery asks for the records themselves.
type apiExportQuery struct {
	apiOfStudy
	Format string `query:"format" enum:"all,csv,xlsx,json,parquet" default:"all"`
	Photos bool   `query:"photos" doc:"With the pictures of panels, up to a gigabyte of them"`
}

// apiFile answers with a file.
type apiFile struct {
	Body func(huma.Context)
}

func (a *api) registerExport() {
	offer(a, reading, huma.Operation{
		OperationID: "export", Method: http.MethodGet, Path: "/studies/{study}/export", Tags: []string{"records"},
		Summary:     "Export the records",
		Description: "A zip of everything that the caller may see, with a dictionary of its columns. The CSV files can be loaded again.",
		Responses: map[string]*huma.Response{"200": {Description: "The zip",
			Content: map[string]*huma.MediaType{"application/zip": {Schema: &huma.Schema{Type: huma.TypeString, Format: "binary"}}}}},
	}, a.export)
}

// export sends what the page Records sends.
func (a *api) export(_ context.Context, c *caller, _ *apiExportQuery) (*apiFile, error) {
	return &apiFile{func(ctx huma.Context) {
		r, w := humago.Unwrap(ctx)
		if err := a.sendExport(w, r, c.viewer); err != nil {
			writeProblem(w, a.problemOf(r.Context(), err))
		}
	}}, nil
}
