package ingest

import (
	"bytes"
	"unicode/utf8"

	"golang.org/x/text/encoding/unicode"
)

// decode turns what a file holds into UTF-8 with line feeds.
//
// UTF-8 is read with or without a byte order mark, UTF-16 with one, as
// spreadsheets write "Unicode text". The older one-byte encodings are
// refused: which one it is cannot be told, and a wrong guess spoils names
// without a word.
func decode(raw []byte) ([]byte, error) {
	text := raw
	switch {
	case bytes.HasPrefix(raw, []byte("PK\x03\x04")):
		return nil, refusal{want: "it is a zip or a workbook inside: save the table as CSV, or load the workbook by itself"}
	case bytes.HasPrefix(raw, []byte{0xEF, 0xBB, 0xBF}):
		text = raw[3:]
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}), bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		if len(raw)%2 == 1 {
			return nil, refusal{want: "its last letter is cut in half: save it again as CSV UTF-8"}
		}
		decoded, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(raw)
		if err != nil {
			return nil, refusal{want: "it begins like UTF-16 but isn't: save it as CSV UTF-8"}
		}
		if i := bytes.IndexRune(decoded, utf8.RuneError); i >= 0 {
			return nil, refusal{rowAt(decoded, i), "there is half a letter here: save the table again as CSV UTF-8"}
		}
		text = decoded
	}
	if i := bytes.IndexByte(text, 0); i >= 0 {
		return nil, refusal{rowAt(text, i), "it is not a text file: expected CSV, saved as CSV UTF-8"}
	}
	if i := firstInvalid(text); i >= 0 {
		return nil, refusal{rowAt(text, i), "there is a letter here that isn't UTF-8: save the table as CSV UTF-8 (in a spreadsheet, Save as, file type CSV UTF-8)"}
	}
	return withLineFeeds(text), nil
}

func firstInvalid(text []byte) int {
	if utf8.Valid(text) {
		return -1
	}
	for i := 0; ; {
		r, size := utf8.DecodeRune(text[i:])
		if r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
}

// rowAt counts the lines, whichever way they end, up to the i-th byte.
func rowAt(text []byte, i int) int {
	before := text[:i]
	ends := bytes.Count(before, []byte("\n")) + bytes.Count(before, []byte("\r")) - bytes.Count(before, []byte("\r\n"))
	return ends + 1
}

// withLineFeeds also ends lines where old programs write a bare carriage
// return.
func withLineFeeds(text []byte) []byte {
	if bytes.IndexByte(text, '\r') < 0 {
		return text
	}
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}
