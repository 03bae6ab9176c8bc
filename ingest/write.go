package ingest

import (
	"bufio"
	"encoding/csv"
	"errors"
	"fmt"
	"iter"
	"os"
	"path/filepath"

	"beadspan/study"
)

// WriteLog writes the fleet as a log of CSV files into the folder dir, which
// it makes if need be. Files of a former log there are replaced, each when its
// successor is complete.
//
// Reading the log gives back the fleet with other ids, notes without blanks
// around them, and only the shops and people that something names. Checkups
// of one vehicle on one day by one operator become one. A fleet that a log
// cannot hold is an error: one that names a coating, site, shop, patch or person
// which it doesn't have, or holds a checkup without readings.
func WriteLog(dir string, fleet study.Fleet) error {
	if err := writeLog(dir, fleet); err != nil {
		return fmt.Errorf("write log %s: %w", dir, err)
	}
	return nil
}

func writeLog(dir string, fleet study.Fleet) error {
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return err
	}
	codes := codesOf(fleet)
	return errors.Join(
		writeTable(dir, coatingTable(), coatingRows(fleet)),
		writeTable(dir, siteTable(), siteRows(fleet)),
		writeTable(dir, vehicleTable(), vehicleRows(fleet, codes)),
		writeTable(dir, patchTable(), patchRows(fleet, codes)),
		writeTable(dir, readingTable(max(1, mostDrops(fleet))), readingRows(fleet, codes)),
		writeTable(dir, careTable(), careRows(fleet, codes)),
	)
}

// rowsOf are a table's rows; after an error there are no more.
type rowsOf[T any] = iter.Seq2[*T, error]

// writeTable writes under another name first, so that no half table ever
// stands under the table's own.
func writeTable[T any](dir string, t table[T], rows rowsOf[T]) (err error) {
	name := filepath.Join(dir, t.name+".csv")
	file, err := os.CreateTemp(dir, "."+t.name+"-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, file.Close(), os.Remove(file.Name()))
		}
	}()
	if err := t.write(file, rows); err != nil {
		return fmt.Errorf("%s: %w", t.name, err)
	}
	if err := file.Chmod(0o644); err != nil {
		return err
	}
	if err := file.Close(); err != nil {
		return err
	}
	return os.Rename(file.Name(), name)
}

func (t table[T]) write(file *os.File, rows rowsOf[T]) error {
	buffer := bufio.NewWriterSize(file, 1<<16)
	out := csv.NewWriter(buffer)
	cells := make([]string, len(t.fields))
	for i, f := range t.fields {
		cells[i] = f.Name
	}
	if err := out.Write(cells); err != nil {
		return err
	}
	for record, err := range rows {
		if err != nil {
			return err
		}
		for i, f := range t.fields {
			cells[i] = f.write(record)
		}
		if err := out.Write(cells); err != nil {
			return err
		}
	}
	out.Flush()
	return errors.Join(out.Error(), buffer.Flush())
}
