package export

import (
	"archive/zip"
	"context"
	"io"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress"

	"beadspan/ingest"
	"beadspan/study"
)

// rowsAtOnce is how many rows are handed to the writer together.
const rowsAtOnce = 1024

// rowsInGroup bounds the memory of a writer, which holds a group until it is
// full.
const rowsInGroup = 100_000

// writeParquet writes a file for each table. Every column may be null; dates
// are days.
func writeParquet(ctx context.Context, out *zip.Writer, tables []table) error {
	for _, t := range tables {
		// Parquet compresses by itself.
		member, err := out.CreateHeader(&zip.FileHeader{Name: "parquet/" + t.name + ".parquet", Method: zip.Store})
		if err != nil {
			return err
		}
		if err := t.writeParquet(ctx, member); err != nil {
			return err
		}
	}
	return nil
}

func (t table) writeParquet(ctx context.Context, out io.Writer) error {
	schema := t.schema()
	place := make([]int, len(t.columns)) // of each column in the schema, which sorts them
	for i, path := range schema.Columns() {
		for j, c := range t.columns {
			if c.Name == path[0] {
				place[j] = i
			}
		}
	}
	w := parquet.NewWriter(out, schema, parquet.MaxRowsPerRowGroup(rowsInGroup))
	var rows []parquet.Row
	flush := func() error {
		_, err := w.WriteRows(rows)
		rows = rows[:0]
		return err
	}
	err := t.each(ctx, func(cells []any) error {
		row := make(parquet.Row, len(cells))
		for i, cell := range cells {
			row[place[i]] = parquetValue(cell, place[i])
		}
		if rows = append(rows, row); len(rows) < rowsAtOnce {
			return nil
		}
		return flush()
	})
	if err != nil {
		return err
	}
	if err := flush(); err != nil {
		return err
	}
	return w.Close()
}

func (t table) schema() *parquet.Schema {
	group := parquet.Group{}
	for _, c := range t.columns {
		node := parquet.String()
		switch c.Kind {
		case ingest.Number:
			node = parquet.Leaf(parquet.DoubleType)
		case ingest.Whole:
			node = parquet.Int(64)
		case ingest.Date:
			node = parquet.Date()
		}
		group[c.Name] = parquet.Optional(parquet.Compressed(node, codec()))
	}
	return parquet.NewSchema(t.name, group)
}

func codec() compress.Codec { return &parquet.Zstd }

// parquetValue is a cell in its column: one definition level deep unless null.
func parquetValue(cell any, column int) parquet.Value {
	var value parquet.Value
	switch x := cell.(type) {
	case nil:
		return parquet.NullValue().Level(0, 0, column)
	case float64:
		value = parquet.DoubleValue(x)
	case int64:
		value = parquet.Int64Value(x)
	case study.Day:
		value = parquet.Int32Value(int32(x.Time().Unix() / (24 * 60 * 60))) // days since 1970, as Parquet has them
	case string:
		value = parquet.ByteArrayValue([]byte(x))
	}
	return value.Level(0, 1, column)
}
