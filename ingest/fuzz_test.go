package ingest

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"beadspan/study"
)

// Whatever a CSV file holds, it is read or refused, and what is read is valid
// and reads back.
func FuzzReadLogFS(f *testing.F) {
	small := smallLog()
	for _, text := range small {
		f.Add([]byte(text))
	}
	f.Add([]byte("\xff\xfec\x00o\x00d\x00e\x00"))
	f.Add([]byte("sep=;\rcode;\"na\"\"me\"\rC-20;\"\r"))
	f.Fuzz(func(t *testing.T, text []byte) {
		for _, name := range Tables() {
			fsys := fstest.MapFS{}
			for other, text := range small {
				fsys[other] = &fstest.MapFile{Data: []byte(text)}
			}
			fsys[name+".csv"] = &fstest.MapFile{Data: text}
			fleet, err := ReadLogFS(t.Context(), fsys, Options{Today: lastDay, DateOrder: DayMonthYear})
			checkRead(t, fleet, err)
		}
	})
}

// Whatever is called a zip or a workbook, it is read or refused.
func FuzzReadPacked(f *testing.F) {
	small := smallLog()
	for _, name := range []string{"workbook-1900.xlsx", "workbook-1904.xlsx"} {
		packed, err := os.ReadFile(filepath.Join("..", "testdata", "logs", name))
		if err != nil {
			f.Fatal(err)
		}
		f.Add(packed)
	}
	f.Add(zipped(f, small))
	f.Fuzz(func(t *testing.T, packed []byte) {
		src, err := openPacked(t.Context(), bytes.NewReader(packed), int64(len(packed)))
		if err != nil {
			return
		}
		defer src.close()
		fleet, err := readSource(t.Context(), src, Options{Today: lastDay})
		checkRead(t, fleet, err)
	})
}

// Whatever the parts of a workbook hold, they are read or refused.
func FuzzWorkbookParts(f *testing.F) {
	f.Add([]byte(`<c r="B2" t="s"><v>0</v></c>`), []byte(`<si><t>x</t></si>`), []byte(`<xf numFmtId="9"/>`))
	f.Add([]byte(`<c r="XFD2" t="d"><v>2023-03-15</v></c><c/><c t="b"><v>1</v></c>`), []byte(``), []byte(`<xf numFmtId="164"/>`))
	f.Add([]byte(`<c r="A3" s="1"><f>A1</f><v>0.1</v></c></row><row r="1048576">`), []byte(`<si><r><t>y</t></r></si>`), []byte(`<xf/>`))
	f.Fuzz(func(t *testing.T, cells, texts, styles []byte) {
		packed := madeWorkbook(t, cells, texts, styles)
		src, err := openPacked(t.Context(), bytes.NewReader(packed), int64(len(packed)))
		if err != nil {
			return
		}
		defer src.close()
		fleet, err := readSource(t.Context(), src, Options{Today: lastDay})
		checkRead(t, fleet, err)
	})
}

// madeWorkbook is a workbook with one sheet, coatings, whose second row, shared
// texts and cell styles are given.
func madeWorkbook(t *testing.T, cells, texts, styles []byte) []byte {
	const main = ` xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"`
	const rels = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`
	const office = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	return zipped(t, map[string]string{
		"[Content_Types].xml": `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>`,
		"_rels/.rels":         rels + `<Relationship Id="rId1" Type="` + office + `/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/_rels/workbook.xml.rels": rels + `<Relationship Id="rId1" Type="` + office + `/worksheet" Target="worksheets/sheet1.xml"/>` +
			`<Relationship Id="rId2" Type="` + office + `/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/workbook.xml": `<workbook` + main + ` xmlns:r="` + office + `"><sheets><sheet name="coatings" sheetId="1" r:id="rId1"/></sheets></workbook>`,
		"xl/worksheets/sheet1.xml": `<worksheet` + main + `><sheetData><row r="1"><c r="A1" t="str"><v>code</v></c><c r="B1" t="str"><v>note</v></c></row><row r="2">` +
			string(cells) + `</row></sheetData></worksheet>`,
		"xl/sharedStrings.xml": `<sst` + main + `>` + string(texts) + `</sst>`,
		"xl/styles.xml":        `<styleSheet` + main + `><numFmts><numFmt numFmtId="164" formatCode="0.0 %"/></numFmts><cellXfs>` + string(styles) + `</cellXfs></styleSheet>`,
	})
}

func checkRead(t *testing.T, fleet study.Fleet, err error) {
	t.Helper()
	if err != nil {
		if size := fleet.Size(); size != (study.Size{}) {
			t.Errorf("%v beside %v", size, err)
		}
		return
	}
	var found study.Problems
	for _, c := range fleet.Coatings {
		found = append(found, c.Validate()...)
	}
	for _, v := range fleet.Vehicles {
		found = append(found, v.Validate()...)
		for _, p := range v.Patches {
			found = append(found, p.Validate()...)
		}
		for _, c := range v.Checkups {
			for _, r := range c.Readings {
				found = append(found, r.Validate()...)
				if !utf8.ValidString(r.Note) {
					t.Errorf("note %q", r.Note)
				}
			}
		}
	}
	if len(found) > 0 {
		t.Error(found)
	}
	if err := WriteLog(t.TempDir(), fleet); err != nil {
		t.Error(err)
	}
}
