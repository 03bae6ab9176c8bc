package web

import "github.com/danielgtaylor/huma/v2"

// addExamples puts into the description what may be sent to each operation, made
// from the examples of its fields.
func addExamples(o *huma.OpenAPI) {
	for _, item := range o.Paths {
		if item.Post == nil || item.Post.RequestBody == nil {
			continue
		}
		for _, content := range item.Post.RequestBody.Content {
			content.Example = exampleOf(o.Components.Schemas, content.Schema)
		}
	}
}

// exampleOf is an example of what the schema describes; nil where its fields
// have none, so that it is left out.
func exampleOf(all huma.Registry, s *huma.Schema) any {
	if s.Ref != "" {
		s = all.SchemaFromRef(s.Ref)
	}
	switch {
	case len(s.Examples) > 0:
		return s.Examples[0]
	case len(s.Enum) > 0:
		return s.Enum[0]
	case s.Type == huma.TypeArray:
		if item := exampleOf(all, s.Items); item != nil {
			return []any{item}
		}
	case s.Type == huma.TypeObject:
		object := map[string]any{}
		for name, property := range s.Properties {
			if example := exampleOf(all, property); example != nil {
				object[name] = example
			}
		}
		if len(object) > 0 {
			return object
		}
	}
	return nil
}
