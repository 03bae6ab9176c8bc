package ingest

import (
	"archive/zip"
	"context"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"beadspan/study"
)

// What a workbook may measure once it is unpacked.
const (
	maxWorkbookBytes = 128 << 20 // all of it: XML says in 4 bytes what CSV says in 1
	maxPartBytes     = 4 << 20   // styles, pictures and the like
	maxInMemory      = 1 << 20   // larger sheets go through temporary files
	maxStrings       = 2 * MaxRows
)

// checkParts unpacks every part of a workbook once, to count what is really in
// it, to have its checksum checked and to see that its sheets are whole. The
// library that reads the sheets believes the sizes that the archive claims,
// and takes a damaged sheet to have ended.
func checkParts(ctx context.Context, archive *zip.Reader) error {
	left := int64(maxWorkbookBytes)
	for _, member := range archive.File {
		check, most := readAway, int64(maxPartBytes)
		switch name := strings.ToLower(strings.ReplaceAll(member.Name, `\`, "/")); {
		case strings.HasPrefix(name, "xl/worksheets/sheet"):
			check, most = checkSheet, left
		case strings.HasPrefix(name, "xl/worksheets/") && strings.HasSuffix(name, ".xml"):
			check = checkSheet // the library holds a sheet by such a name in memory
		case name == "xl/sharedstrings.xml":
			check, most = checkStrings, left
		}
		used, err := checkPart(ctx, member, min(most, left), check)
		if errors.Is(err, errPartTooLarge) && most < left {
			return fmt.Errorf("%s in it is larger than %d MB: take out of the workbook what is no table", study.Shortened(member.Name), maxPartBytes>>20)
		}
		if errors.Is(err, errPartTooLarge) {
			return fmt.Errorf("unpacked it is larger than %d MB: split the log by year, or load it as CSV files", maxWorkbookBytes>>20)
		}
		if err != nil {
			return fmt.Errorf("%s in it: %w", study.Shortened(member.Name), err)
		}
		left -= used
	}
	return nil
}

var errPartTooLarge = errors.New("too large")

func checkPart(ctx context.Context, member *zip.File, most int64, check func(io.Reader) error) (used int64, err error) {
	if int64(min(member.UncompressedSize64, 1<<62)) > most {
		return 0, errPartTooLarge // the library would set so much memory aside
	}
	part, err := member.Open()
	if err != nil {
		return 0, err
	}
	defer part.Close()
	limited := &io.LimitedReader{R: interruptible(ctx, part), N: most + 1}
	err = check(limited)
	if err == nil {
		err = readAway(limited) // to the end, where the checksum is
	}
	if limited.N <= 0 {
		return 0, errPartTooLarge
	}
	return most + 1 - limited.N, err
}

func readAway(part io.Reader) error {
	_, err := io.Copy(io.Discard, part)
	return err
}

// interruptible ends a long reading when its context ends.
func interruptible(ctx context.Context, part io.Reader) readerFunc {
	return func(p []byte) (int, error) {
		if err := ctx.Err(); err != nil {
			return 0, err
		}
		return part.Read(p)
	}
}

type readerFunc func([]byte) (int, error)

// Read calls f.
func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

// checkSheet sees that a sheet's XML is whole, and that every formula in it
// has its result beside it: programs that write workbooks without calculating
// leave it out, and the cell would be read as blank.
func checkSheet(part io.Reader) error {
	var cell string
	formula, value := false, false
	return eachElement(part, func(element xml.StartElement) error {
		switch element.Name.Local {
		case "c":
			cell, formula, value = reference(element), false, false
		case "f":
			formula = true
		case "v", "is":
			value = true
		}
		return nil
	}, func(element xml.EndElement) error {
		if element.Name.Local == "c" && formula && !value {
			return fmt.Errorf("cell %s holds a formula without its result: open the workbook in a spreadsheet program and save it again", cell)
		}
		return nil
	})
}

func reference(cell xml.StartElement) string {
	for _, a := range cell.Attr {
		if a.Name.Local == "r" {
			return study.Shortened(a.Value)
		}
	}
	return ""
}

// checkStrings counts the texts that the sheets share: each takes memory, be
// it ever so short in the file.
func checkStrings(part io.Reader) error {
	n := 0
	return eachElement(part, func(element xml.StartElement) error {
		if element.Name.Local == "si" {
			n++
		}
		if n > maxStrings {
			return fmt.Errorf("expected no more than %d texts: split the log by year", maxStrings)
		}
		return nil
	}, func(xml.EndElement) error { return nil })
}

func eachElement(part io.Reader, start func(xml.StartElement) error, end func(xml.EndElement) error) error {
	decoder := xml.NewDecoder(part)
	for {
		token, err := decoder.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("the workbook is damaged (%w): open it in a spreadsheet program and save it again", err)
		}
		switch element := token.(type) {
		case xml.StartElement:
			err = start(element)
		case xml.EndElement:
			err = end(element)
		}
		if err != nil {
			return err
		}
	}
}
