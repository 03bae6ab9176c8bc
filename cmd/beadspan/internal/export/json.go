package export

import (
	"archive/zip"
	"bufio"
	"context"
	"encoding/json"

	"beadspan/study"
)

// writeJSON writes each table as an array of objects, a line each.
func writeJSON(ctx context.Context, out *zip.Writer, tables []table) error {
	for _, t := range tables {
		member, err := out.Create("json/" + t.name + ".json")
		if err != nil {
			return err
		}
		buffer := bufio.NewWriter(member)
		if err := t.writeArray(ctx, buffer); err != nil {
			return err
		}
		if err := buffer.Flush(); err != nil {
			return err
		}
	}
	return nil
}

func (t table) writeArray(ctx context.Context, out *bufio.Writer) error {
	open := "[\n"
	err := t.each(ctx, func(cells []any) error {
		out.WriteString(open) // the buffer keeps its error until Flush
		open = ",\n"
		for i, cell := range cells {
			separator := `, "`
			if i == 0 {
				separator = `{"`
			}
			out.WriteString(separator + t.columns[i].Name + `": `)
			if day, is := cell.(study.Day); is {
				cell = day.String()
			}
			value, err := json.Marshal(cell)
			if err != nil {
				return err
			}
			out.Write(value)
		}
		return out.WriteByte('}')
	})
	if err != nil {
		return err
	}
	if open == "[\n" {
		_, err = out.WriteString("[]\n")
		return err
	}
	_, err = out.WriteString("\n]\n")
	return err
}
