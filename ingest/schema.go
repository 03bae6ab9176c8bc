package ingest

import (
	"bytes"
	"encoding/json"
	"io"
)

// WriteColumnsJSON writes the list of columns as a JSON Schema (draft
// 2020-12) of a log whose tables are arrays of rows. Units stand under "unit",
// which the standard leaves to us.
func WriteColumnsJSON(w io.Writer) error {
	tables, needed := object{}, []string{}
	for _, name := range Tables() {
		properties, required := object{}, []string{}
		for _, c := range Columns() {
			if c.Table != name {
				continue
			}
			properties = append(properties, member{c.Name, schemaOf(c)})
			if c.Required {
				required = append(required, c.Name)
			}
		}
		if !mayBeAbsent(name) {
			needed = append(needed, name)
		}
		tables = append(tables, member{name, object{
			{"type", "array"},
			{"maxItems", MaxRows},
			{"items", object{{"type", "object"}, {"required", required}, {"properties", properties}}},
		}})
	}
	encoder := json.NewEncoder(w)
	encoder.SetIndent("", "  ")
	return encoder.Encode(object{
		{"$schema", "https://json-schema.org/draft/2020-12/schema"},
		{"title", "beadspan log"},
		{"type", "object"},
		{"required", needed},
		{"properties", tables},
	})
}

func schemaOf(c Column) object {
	schema := object{{"description", c.Meaning}}
	switch c.Kind {
	case Number:
		schema = append(schema, member{"type", "number"})
	case Whole:
		schema = append(schema, member{"type", "integer"})
	case Date:
		schema = append(schema, member{"type", "string"}, member{"format", "date"})
	default:
		schema = append(schema, member{"type", "string"})
	}
	if c.Unit != "" {
		schema = append(schema, member{"unit", c.Unit})
	}
	if c.Allowed != nil {
		schema = append(schema, member{"enum", c.Allowed})
	}
	return append(schema, member{"examples", []any{example(c)}})
}

func example(c Column) any {
	if c.Kind == Number || c.Kind == Whole {
		return json.Number(c.Example)
	}
	return c.Example
}

// object is a JSON object that keeps the order of its members.
type object []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members in their order.
func (o object) MarshalJSON() ([]byte, error) {
	var out bytes.Buffer
	out.WriteByte('{')
	for i, m := range o {
		if i > 0 {
			out.WriteByte(',')
		}
		key, err := json.Marshal(m.key)
		if err != nil {
			return nil, err
		}
		value, err := json.Marshal(m.value)
		if err != nil {
			return nil, err
		}
		out.Write(key)
		out.WriteByte(':')
		out.Write(value)
	}
	out.WriteByte('}')
	return out.Bytes(), nil
}
