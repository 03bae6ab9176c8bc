package export

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
)

// DictionaryFile is the name under which WriteFolder describes the columns.
const DictionaryFile = "dictionary.csv"

// WriteFolder writes the tables as CSV into an empty folder, with a dictionary of
// their columns. It ends when ctx does.
func WriteFolder(ctx context.Context, dir string, r Records) error {
	if err := r.writeFolder(ctx, dir); err != nil {
		return fmt.Errorf("export study %s: %w", r.Study.Code, err)
	}
	return nil
}

func (r Records) writeFolder(ctx context.Context, dir string) (err error) {
	tables, err := r.writeTables(dir)
	if err != nil {
		return err
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	file, err := os.Create(filepath.Join(dir, DictionaryFile))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	return csv.NewWriter(file).WriteAll(dictionaryRows(tables))
}
