package table

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// small is more than what these tests read.
var small = Limits{Rows: 1000, Bytes: 1 << 20}

// TestBadCSV: what is wrong is said with its row and column; nothing is read otherwise.
func TestBadCSV(t *testing.T) {
	for name, c := range map[string]struct{ text, says string }{
		"nothing":                 {"", "there is no row with headings"},
		"headings alone":          {"Mark,Family\n,\n", "row 1: there is nothing under the headings"},
		"blank lines":             {"\n,,,\n", "there is no row with headings"},
		"no headings":             {"D-1,pulley\n", "row 1: no column is headed Mark"},
		"no family":               {"Kit\nMark,Serial\nD-1,2\n", "row 2: no column is headed Family"},
		"headings far below":      {strings.Repeat("note\n", above+1) + "Mark,Family\nD-1,pulley\n", "row 1: no column is headed Mark"},
		"two headings alike":      {"Mark,Tag No,Family\n", "row 1: the columns A (Mark) and B (Tag No) both look like \"Mark\""},
		"a comma too many":        {"Mark,Family\nD-1,pulley,rack 2\n", "row 2, column C: \"rack 2\" stands under no heading"},
		"an empty heading":        {"Mark,,Family\nD-1,x,pulley\n", "row 2, column B: \"x\" stands under no heading"},
		"a formula":               {"Mark,Family,Made\nD-1,pulley,=TODAY()\n", "row 2, column C (Made): \"=TODAY()\" is a formula"},
		"a formula in a serial":   {"Mark,Family,SN\nD-1,pulley,\"=HYPERLINK(\"\"http://x\"\")\"\n", "row 2, column C (SN): \"=HYPERLINK(\\\"http://x\\\")\" is a formula"},
		"the headings again":      {"Mark,Family,Made\nD-1,pulley,2024\nMark,Family,Made\n", "row 3 names the columns again"},
		"a quotation mark open":   {"Mark,Family\n\"D-1,pulley\n", "row 2 has a quotation mark"},
		"a quotation mark inside": {"Mark,Family\nD\"1,pulley\n", "row 2 has a quotation mark"},
		"an old workbook":         {"\xd0\xcf\x11\xe0rest", "an old workbook, or one with a password; save it as .xlsx without one"},
		"other letters":           {"Mark,Family\nM\xfc-1,pulley\n", "CSV UTF-8"},
		"wide letters":            {"\xff\xfeM\x00a\x00", "CSV UTF-8"},
		"too many":                {"Mark,Family\n" + strings.Repeat("D,p\n", small.Rows+1), "more than 1000 rows"},
	} {
		if _, err := Read([]byte(c.text), "", small); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; it should say %q", name, err, c.says)
		}
	}
}

// TestBadWorkbooks is TestBadCSV with the sheet as well.
func TestBadWorkbooks(t *testing.T) {
	const sheet = "xl/worksheets/sheet1.xml"
	heads := []any{"Mark", "Family", "Made", "Serial"}
	one := []any{"D-1", "pulley", "2024", "7"}
	kit := func(change ...func(*excelize.File)) []byte { return workbook(t, [][]any{heads, one}, change...) }
	with := func(cells ...any) []byte { return workbook(t, [][]any{heads, one, cells}) }
	ok := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	merge := func(from, to string) func(*excelize.File) {
		return func(f *excelize.File) { ok(f.MergeCell("Kit", from, to)) }
	}
	second := func(name string, rows [][]any, visible bool) func(*excelize.File) {
		return func(f *excelize.File) {
			_, err := f.NewSheet(name)
			ok(err)
			fill(t, f, name, rows)
			ok(f.SetSheetVisible(name, visible))
		}
	}
	written := func(old, new string) func(string) string {
		return func(text string) string {
			if !strings.Contains(text, old) {
				t.Fatalf("no %q in %.600s", old, text)
			}
			return strings.Replace(text, old, new, 1)
		}
	}
	for name, c := range map[string]struct {
		file  []byte
		named string
		says  string
	}{
		"merged cells": {kit(merge("B2", "B4")), "", "sheet Kit, row 2, column B (Family): the cells from B2 to B4 are merged"},
		"two rows of headings, merged": {workbook(t, [][]any{{"Mark", "Days", "", "Family"}, {"", "Made", "Bought", ""}, {"D-1", 2024, 2024, "pulley"}}, merge("A1", "A2"), merge("B1", "C1"), merge("D1", "D2")), "",
			"sheet Kit, row 1, column A (Mark): the cells from A1 to A2 are merged"},
		"the headings again":      {workbook(t, [][]any{heads, one, heads}), "", "sheet Kit, row 3 names the columns again"},
		"a formula":               {kit(func(f *excelize.File) { ok(f.SetCellFormula("Kit", "C2", "TODAY()")) }), "", "sheet Kit, row 2, column C (Made): \"=TODAY()\" is a formula"},
		"a formula for a mark":    {kit(func(f *excelize.File) { ok(f.SetCellFormula("Kit", "A2", `"D-"&ROW()`)) }), "", "sheet Kit, row 2, column A (Mark): \"=\\\"D-\\\"&ROW()\" is a formula"},
		"an error":                {patched(t, with("D-2", "pulley", 2025), sheet, written(`<c r="C3"><v>2025</v>`, `<c r="C3" t="e"><v>#REF!</v>`)), "", "sheet Kit, row 3, column C (Made): the spreadsheet says #REF! there"},
		"a mark made a day":       {workbook(t, [][]any{heads, {39448, "pulley"}}, styled(t, "A2", "d-mmm")), "", "sheet Kit, row 2, column A (Mark): the spreadsheet has made the day 2008-01-01 of what was typed"},
		"a day made a number":     {with("D-2", "pulley", 39448), "", "sheet Kit, row 3, column C (Made): 39448 is a number and not a day"},
		"a serial cut off":        {with("D-2", "pulley", "", 1234567890123456789), "", "sheet Kit, row 3, column D (Serial): 1234567890123460000 has more digits than a spreadsheet keeps"},
		"beside the headings":     {with("D-2", "pulley", "", "", "ask Jo"), "", "sheet Kit, row 3, column E: \"ask Jo\" stands under no heading"},
		"far out":                 {patched(t, kit(), sheet, written(`</sheetData>`, `<row r="1048576"><c r="XFD1048576"><v>1</v></c></row></sheetData>`)), "", "sheet Kit, row 1048576, column XFD: \"1\" stands under no heading"},
		"no headings":             {workbook(t, [][]any{{"Kit of 2026"}, {"D-1", "pulley"}}), "", "sheet Kit, row 1: no column is headed Mark"},
		"an empty sheet":          {workbook(t, nil), "", "sheet Kit: there is no row with headings"},
		"two headings alike":      {workbook(t, [][]any{{"Mark", "Asset no", "Family"}}), "", "sheet Kit, row 1: the columns A (Mark) and B (Asset no) both look like \"Mark\""},
		"two registers":           {kit(second("Ropes", [][]any{heads}, true)), "", "the sheets Kit, Ropes all look like a register; say which sheet"},
		"no register":             {workbook(t, [][]any{{"a note"}}, second("More", [][]any{{"another"}}, true)), "", "none of the sheets Kit, More has a row that names its columns"},
		"a sheet that isn't":      {kit(second("Ropes", nil, true)), "Slings", "there is no sheet Slings; there are: Kit, Ropes"},
		"hidden, all of it":       {patched(t, kit(), "xl/workbook.xml", written(`<sheet `, `<sheet state="veryHidden" `)), "", "every sheet of this workbook is hidden: Kit (hidden)"},
		"half of a file":          {kit()[:2000], "", "damaged, or only a part of it"},
		"half of a sheet":         {patched(t, kit(), sheet, func(text string) string { return text[:len(text)/2] }), "", "damaged, and can't be read whole"},
		"the same cell twice":     {patched(t, kit(), sheet, written(`<c r="B2"`, `<c r="A2"`)), "", "sheet Kit: row 2 stands in the file twice"},
		"a text that isn't there": {patched(t, kit(), sheet, written(`<c r="A2" t="s"><v>`, `<c r="A2" t="s"><v>9`)), "", "sheet Kit, row 2, column A: the text of this cell is missing"},
		"a part that isn't there": {packed(t, "xl/workbook.xml", "<workbook/>"), "", "this workbook lacks its part xl/_rels/workbook.xml.rels"},
		"two parts of one name":   {packed(t, "xl/workbook.xml", "<workbook/>", "XL/Workbook.xml", "<workbook/>"), "", "this workbook holds XL/Workbook.xml twice"},
		"a letter, not a sheet":   {packed(t, "word/document.xml", "<document/>"), "", "this is no workbook that is read here; save it as .xlsx or as CSV"},
		"words that grow":         {patched(t, kit(), "xl/sharedStrings.xml", func(string) string { return `<!DOCTYPE a [<!ENTITY b "bbbb">]><sst><si><t>&b;&b;</t></si></sst>` }), "", "damaged, and can't be read whole"},
		"too many rows":           {patched(t, kit(), sheet, written(`</sheetData>`, strings.Repeat(`<row><c><v>1</v></c></row>`, small.Rows)+`</sheetData>`)), "", "sheet Kit: there are more than 1000 rows"},
		"too many merged":         {patched(t, kit(), sheet, written(`</sheetData>`, `</sheetData>`+strings.Repeat(`<mergeCell ref="Y8:Z9"/>`, 10_001))), "", "sheet Kit: more than 10000 places have merged cells"},
	} {
		got, err := Read(c.file, c.named, small)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, %v; it should say %q", name, got.Rows, err, c.says)
		}
	}
	if _, err := Read(kit(second("Ropes", [][]any{heads}, true)), "", Large()); !errors.As(err, new(WhichSheet)) {
		t.Errorf("whoever asks doesn't learn that it is about the sheet: %v", err)
	}
}

// packed makes an office file of parts, a name and a text each.
func packed(t testing.TB, parts ...string) []byte {
	t.Helper()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for n := 0; n < len(parts); n += 2 {
		to, err := w.Create(parts[n])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write([]byte(parts[n+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestAWorkbookThatUnpacksToVeryMuch is refused when so much has come out of it, whatever size it says it has, and takes
// no memory for it.
func TestAWorkbookThatUnpacksToVeryMuch(t *testing.T) {
	const most = 1 << 20
	kit := workbook(t, [][]any{{"Mark", "Family"}, {"D-1", "pulley"}})
	blank := patched(t, kit, "xl/worksheets/sheet1.xml", func(text string) string {
		return strings.Replace(text, "<sheetData>", "<sheetData>"+strings.Repeat(" ", 8<<20), 1)
	})
	far := patched(t, kit, "xl/worksheets/sheet1.xml", func(text string) string {
		rows := ""
		for n := range 2_000 {
			rows += fmt.Sprintf(`<row r="%d"><c r="XFD%[1]d"><v>1</v></c></row>`, n+10)
		}
		return strings.Replace(text, "</sheetData>", rows+"</sheetData>", 1)
	})
	lying := bytes.Clone(blank) // says in its list that each part has one byte (APPNOTE 4.3.12: 24 bytes in)
	for at := range lying {
		if bytes.HasPrefix(lying[at:], []byte("PK\x01\x02")) {
			copy(lying[at+24:], []byte{1, 0, 0, 0})
		}
	}
	var before, after runtime.MemStats
	for name, c := range map[string]struct {
		file []byte
		says string
	}{
		"blanks":     {blank, "this workbook unpacks to more than 1 MB"},
		"cells":      {far, "sheet Kit, row 10, column XFD: \"1\" stands under no heading"},
		"its length": {lying, "damaged"},
	} {
		if len(c.file) > most/8 {
			t.Fatalf("%s: %d bytes, which proves nothing", name, len(c.file))
		}
		runtime.ReadMemStats(&before)
		if _, err := Read(c.file, "", Limits{10_000, most}); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; it should say %q", name, err, c.says)
		}
		runtime.ReadMemStats(&after)
		if took := after.TotalAlloc - before.TotalAlloc; took > 10*most {
			t.Errorf("%s takes %d MB", name, took>>20)
		}
	}
}

// FuzzSheet: no text of a sheet makes it fall over, or read without an end.
func FuzzSheet(f *testing.F) {
	f.Add(`<worksheet><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Mark</t></is></c><c t="inlineStr"><is><t>Family</t></is></c></row><row><c><v>1</v></c><c s="2"><v>39448</v></c></row></sheetData><mergeCells><mergeCell ref="A1:B2"/></mergeCells></worksheet>`)
	f.Fuzz(func(t *testing.T, sheet string) {
		_, _ = Read(packed(t, "xl/worksheets/sheet1.xml", sheet,
			"xl/workbook.xml", `<workbook xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Kit" r:id="a"/></sheets></workbook>`,
			"xl/_rels/workbook.xml.rels", `<Relationships><Relationship Id="a" Type="x/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`), "", Limits{1000, 1 << 20})
	})
}
