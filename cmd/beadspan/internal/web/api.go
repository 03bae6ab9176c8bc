package web

import (
	"context"
	"encoding/json"
	"net/http"
	"reflect"
	"strings"
	"time"

	"github.com/danielgtaylor/huma/v2"
	"github.com/danielgtaylor/huma/v2/adapters/humago"
)

// apiPrefix begins the address of everything that programs ask for.
const apiPrefix = "/api"

// api is what programs may ask for: the same things as the pages, as JSON. Its
// operations describe themselves, in OpenAPI and on a page.
type api struct {
	*Server
	huma.API
}

// newAPI describes the operations and puts them on mux.
func (s *Server) newAPI(mux *http.ServeMux) *api {
	a := &api{s, humago.NewWithPrefix(mux, apiPrefix, apiConfig(s.opts.Version))}
	a.registerStudies()
	a.registerVehicles()
	a.registerLetters()
	a.registerLog()
	a.registerFigures()
	a.registerExport()
	addExamples(a.OpenAPI())
	return a
}

// apiConfig says what the description says of the API as a whole.
func apiConfig(version string) huma.Config {
	registry := huma.NewMapRegistry("#/components/schemas/", func(t reflect.Type, hint string) string {
		return strings.TrimPrefix(huma.DefaultSchemaNamer(t, hint), "Api")
	})
	return huma.Config{
		OpenAPI: &huma.OpenAPI{
			OpenAPI: "3.1.0",
			Info: &huma.Info{
				Title:   "beadspan",
				Version: version,
				Description: "Studies of how long coatings last on vehicles: look at them, and log what is done in the bay. " +
					"A durability figure is an estimate, never a warranty.",
			},
			Components: &huma.Components{
				Schemas: registry,
				SecuritySchemes: map[string]*huma.SecurityScheme{
					"token": {Type: "http", Scheme: "bearer",
						Description: "A token of one study and role, made on the page Tokens and shown there once."},
				},
			},
		},
		// The description is served by page and file of our own: the library's
		// page asks other servers for its script.
		Formats:       huma.DefaultFormats,
		DefaultFormat: "application/json",
		// A parameter that nobody knows is most likely mistyped.
		RejectUnknownQueryParameters: true,
	}
}

// mostAPIBytes is enough for a day's visits of many vehicles.
const mostAPIBytes = 2 << 20

// offer adds an operation for those who are what it needs. Who calls is found
// out before anything else is looked at.
func offer[I, O any](a *api, needs need, op huma.Operation, do func(ctx context.Context, c *caller, in *I) (*O, error)) {
	op.Middlewares = huma.Middlewares{a.admit(needs)}
	op.Security = []map[string][]string{{"token": {}}}
	op.MaxBodyBytes = mostAPIBytes
	op.BodyReadTimeout = 2 * time.Minute // over a bad line
	op.Errors = append(op.Errors, http.StatusUnauthorized, http.StatusTooManyRequests, http.StatusServiceUnavailable)
	if needs >= reading {
		op.Errors = append(op.Errors, http.StatusNotFound)
	}
	if needs > reading {
		op.Errors = append(op.Errors, http.StatusForbidden)
	}
	huma.Register(a.API, op, func(ctx context.Context, in *I) (*O, error) {
		out, err := do(ctx, callerOf(ctx), in)
		if err != nil {
			return nil, a.problemOf(ctx, err)
		}
		return out, nil
	})
}

// apiHandler answers everything below apiPrefix.
func (s *Server) apiHandler() http.Handler {
	operations := http.NewServeMux()
	a := s.newAPI(operations)
	description, err := json.MarshalIndent(a.OpenAPI(), "", " ")
	if err != nil {
		panic(err) // it is the same in every run
	}
	operations.HandleFunc("GET "+apiPrefix+"/openapi.json", func(w http.ResponseWriter, r *http.Request) {
		noteOf(r.Context()).route = "GET /api/openapi.json"
		w.Header().Set("Content-Type", "application/openapi+json")
		w.Write(description) //nolint:errcheck // whoever asked has left
	})
	operations.HandleFunc(apiPrefix+"/", func(w http.ResponseWriter, _ *http.Request) {
		writeProblem(w, &huma.ErrorModel{Status: http.StatusNotFound, Title: http.StatusText(http.StatusNotFound),
			Detail: "there is no such address or it isn't asked for by this method: " + apiPrefix + " lists all"})
	})
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-store")
		operations.ServeHTTP(goneWriter{w}, r)
	})
}

// goneWriter takes what is written to somebody who has left: the library takes
// that for a mistake in the program.
type goneWriter struct{ http.ResponseWriter }

// Write reports all as written.
func (w goneWriter) Write(p []byte) (int, error) {
	if n, err := w.ResponseWriter.Write(p); err != nil {
		return n + len(p[n:]), nil //nolint:nilerr // nobody is left to tell
	}
	return len(p), nil
}

// Unwrap gives http.ResponseController what it needs.
func (w goneWriter) Unwrap() http.ResponseWriter { return w.ResponseWriter }
