package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"

	"github.com/danielgtaylor/huma/v2"
)

// apiRoutes has the page that describes the API. It is for anybody: it tells
// nothing of any study.
func (s *Server) apiRoutes() []route {
	page := newAPIPage(s.newAPI(http.NewServeMux()).OpenAPI())
	return []route{{pattern: "GET " + apiPrefix, needs: anybody, do: func(w http.ResponseWriter, r *http.Request, v *viewer) error {
		shown := page
		shown.Origin = s.origin(r)
		return s.render(w, v, http.StatusOK, "api.html", v.say.text("api.title"), shown)
	}}}
}

// apiPage describes the API to people, from the description that programs read.
type apiPage struct {
	Origin     string
	About      string
	Operations []apiOperation
	Schemas    []apiSchema
}

// apiOperation is one thing that programs may ask for.
type apiOperation struct {
	ID, Method, Path, Summary, About string
	Params                           []apiField
	Sends, Gets                      apiType
	Example                          string // of what is sent, as JSON
	Errors                           []string
}

// apiSchema is one kind of object.
type apiSchema struct {
	Name   string
	Fields []apiField
}

// apiField is a field of an object, or a parameter.
type apiField struct {
	Name     string
	Type     apiType
	Required bool
	About    string
}

// apiType is the type of a field in words, and the object that it holds.
type apiType struct {
	Words  string
	Object string // name of a schema; empty for none
}

func newAPIPage(o *huma.OpenAPI) apiPage {
	page := apiPage{About: o.Info.Description}
	for _, path := range slices.Sorted(maps.Keys(o.Paths)) {
		for _, op := range []*huma.Operation{o.Paths[path].Get, o.Paths[path].Post} {
			if op != nil {
				page.Operations = append(page.Operations, newAPIOperation(op))
			}
		}
	}
	all := o.Components.Schemas.Map()
	for _, name := range slices.Sorted(maps.Keys(all)) {
		page.Schemas = append(page.Schemas, apiSchema{name, fieldsOf(all[name])})
	}
	return page
}

func newAPIOperation(op *huma.Operation) apiOperation {
	out := apiOperation{ID: op.OperationID, Method: op.Method, Path: apiPrefix + op.Path, Summary: op.Summary, About: op.Description}
	for _, p := range op.Parameters {
		out.Params = append(out.Params, apiField{p.Name + " (" + p.In + ")", typeOf(p.Schema), p.Required, p.Description})
	}
	if op.RequestBody != nil {
		content := op.RequestBody.Content["application/json"]
		out.Sends = typeOf(content.Schema)
		if example, err := json.MarshalIndent(content.Example, "", "  "); err == nil {
			out.Example = string(example)
		}
	}
	for _, status := range slices.Sorted(maps.Keys(op.Responses)) {
		if status >= "400" {
			out.Errors = append(out.Errors, status+" "+op.Responses[status].Description)
			continue
		}
		for kind, content := range op.Responses[status].Content {
			if out.Gets = typeOf(content.Schema); kind != "application/json" {
				out.Gets = apiType{Words: kind}
			}
		}
	}
	return out
}

func fieldsOf(s *huma.Schema) []apiField {
	var fields []apiField
	for _, name := range slices.Sorted(maps.Keys(s.Properties)) {
		p := s.Properties[name]
		fields = append(fields, apiField{name, typeOf(p), slices.Contains(s.Required, name), p.Description})
	}
	return fields
}

// typeOf says in words what a schema takes.
func typeOf(s *huma.Schema) apiType {
	switch {
	case s == nil:
		return apiType{}
	case s.Ref != "":
		name := s.Ref[strings.LastIndex(s.Ref, "/")+1:]
		return apiType{"", name}
	case s.Type == huma.TypeArray:
		item := typeOf(s.Items)
		return apiType{strings.TrimSpace("list of " + item.Words), item.Object}
	case len(s.Enum) > 0:
		return apiType{"one of " + strings.Trim(fmt.Sprint(s.Enum), "[]"), ""}
	}
	words := s.Type
	if words == "" {
		words = "any JSON"
	}
	if s.Format != "" && s.Format != "double" && s.Format != "int64" {
		words += " (" + s.Format + ")"
	}
	if s.Nullable {
		words += " or null"
	}
	return apiType{words, ""}
}
