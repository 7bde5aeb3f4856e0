package table

import (
	"archive/zip"
	"bytes"
	"fmt"
	"io"
	"strings"
	"testing"
	"time"

	"github.com/thedatashed/xlsxreader"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"becket/bot/table/grid"
)

// workbook makes a workbook of one sheet, Kit, with these cells; change may do more to it.
func workbook(t testing.TB, rows [][]any, change ...func(*excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	if err := f.SetSheetName("Sheet1", "Kit"); err != nil {
		t.Fatal(err)
	}
	fill(t, f, "Kit", rows)
	for _, c := range change {
		c(f)
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func fill(t testing.TB, f *excelize.File, sheet string, rows [][]any) {
	t.Helper()
	for n, cells := range rows {
		if err := f.SetSheetRow(sheet, fmt.Sprintf("A%d", n+1), &cells); err != nil {
			t.Fatal(err)
		}
	}
}

// styled shows a cell in a format.
func styled(t testing.TB, cell, format string) func(*excelize.File) {
	return func(f *excelize.File) {
		style, err := f.NewStyle(&excelize.Style{CustomNumFmt: &format})
		if err != nil {
			t.Fatal(err)
		}
		if err := f.SetCellStyle("Kit", cell, cell, style); err != nil {
			t.Fatal(err)
		}
	}
}

// patched changes the text of one part of a workbook.
func patched(t testing.TB, file []byte, part string, change func(text string) string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		if f.Name == part {
			text = []byte(change(string(text)))
		}
		to, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := to.Write(text); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestWorkbooksComeBack over any texts: here, and by two readers that share no code with ours. No cell of them is a formula.
func TestWorkbooksComeBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := anyRow(t)
		for c, text := range row.Cells { // XML 1.0, 2.2: no place for these
			text = strings.Map(func(r rune) rune {
				if r < ' ' && r != '\t' && r != '\n' || r == 0xfffe || r == 0xffff {
					return -1
				}
				return r
			}, text)
			if row.Cells[c] = strings.TrimSpace(text); row.Cells[c] == "" {
				delete(row.Cells, c)
			}
		}
		var out bytes.Buffer
		if err := WriteWorkbook(&out, []Row{row}); err != nil {
			t.Fatal(err)
		}
		back, err := Read(out.Bytes(), "", Large())
		if err != nil || len(back.Rows) != 1 || fmt.Sprintf("%q", back.Rows[0].Cells) != fmt.Sprintf("%q", row.Cells) {
			t.Fatalf("%q\ncame back as %+v, %v", row.Cells, back.Rows, err)
		}
		others, err := excelize.OpenReader(&out, excelize.Options{RawCellValue: true})
		if err != nil {
			t.Fatal(err)
		}
		for n, c := range Columns() {
			at, err := excelize.CoordinatesToCellName(n+1, 2)
			if err != nil {
				t.Fatal(err)
			}
			formula, err := others.GetCellFormula(sheetName, at)
			if err != nil || formula != "" {
				t.Fatalf("%s is the formula %q, %v", c, formula, err)
			}
			if row.Cells[c] != "" && c.kind() == grid.Text {
				if style, err := styleOf(others, at); err != nil || style != 49 { // as text, also when it is typed again
					t.Fatalf("%s is shown as %d, %v", c, style, err)
				}
			}
			text, err := others.GetCellValue(sheetName, at)
			want := row.Cells[c]
			if reveal(want) != want { // it begins as a text out of CSV does
				want = "'" + want
			}
			if err != nil || c.kind() == grid.Text && text != want {
				t.Fatalf("%s reads %q, %v; it is %q", c, text, err, want)
			}
		}
	})
}

// styleOf is the number of the format that a cell is shown in (ECMA-376 part 1, 18.8.30).
func styleOf(book *excelize.File, cell string) (int, error) {
	n, err := book.GetCellStyle(sheetName, cell)
	if err != nil {
		return 0, err
	}
	style, err := book.GetStyle(n)
	if err != nil {
		return 0, err
	}
	return style.NumFmt, nil
}

// TestWorkbookByAnotherReader: days are days to it, in the order of the columns.
func TestWorkbookByAnotherReader(t *testing.T) {
	var out bytes.Buffer
	err := WriteWorkbook(&out, []Row{{Cells: map[Column]string{
		Mark: "K-1", Family: "connector", Serial: "00123", Made: "2008-01-01", Bought: "2020-02", Interval: "6", Place: "=1+1 été",
	}}})
	if err != nil {
		t.Fatal(err)
	}
	other, err := xlsxreader.NewReader(out.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for row := range other.ReadRows("Register") {
		if row.Error != nil {
			t.Fatal(row.Error)
		}
		for _, c := range row.Cells {
			if row.Index == 2 && c.Value != "" {
				got = append(got, fmt.Sprintf("%s %s %s", c.Column, c.Type, c.Value))
			}
		}
	}
	want := "A string K-1;B string connector;E string 00123;G datetime 2008-01-01;J numerical 6;N string =1+1 été;O string 2020-02"
	if strings.Join(got, ";") != want {
		t.Errorf("it reads\n%s\nwant\n%s", strings.Join(got, ";"), want)
	}
}

// TestDaysInWorkbooks: 1 January 2008 is number 39448 (Microsoft's own example for DATE, from memory), and 1462 less where days
// are counted from 1904 (ECMA-376 part 1, 18.17.4.1).
func TestDaysInWorkbooks(t *testing.T) {
	heads := []any{"Mark", "Family", "Made"}
	from1904 := func(f *excelize.File) {
		yes := true
		if err := f.SetWorkbookProps(&excelize.WorkbookPropsOptions{Date1904: &yes}); err != nil {
			t.Fatal(err)
		}
	}
	for name, c := range map[string]struct {
		cell   any
		format string
		change func(*excelize.File)
		want   string // empty: refused
	}{
		"a day":                {39448, "dd/mm/yyyy", nil, "2008-01-01"},
		"with a time":          {39448.75, "yyyy\\-mm\\-dd hh:mm", nil, "2008-01-01"},
		"in other words":       {39448, "[$-409]d mmm yyyy;@", nil, "2008-01-01"},
		"a month":              {39448, "mmm-yy", nil, "2008-01-01"},
		"counted from 1904":    {37986, "dd/mm/yyyy", from1904, "2008-01-01"},
		"a year as a number":   {2008, "General", nil, "2008"},
		"a year with a format": {2008, "0", nil, "2008"},
		"a text":               {"1 January 2008", "General", nil, "1 January 2008"},
		"no format":            {39448, "General", nil, ""},
		"minutes":              {39448, "mm:ss", nil, ""},
		"a word in a format":   {39448, `"day "0`, nil, ""},
	} {
		changes := []func(*excelize.File){styled(t, "C2", c.format)}
		if c.change != nil {
			changes = append(changes, c.change)
		}
		got, err := Read(workbook(t, [][]any{heads, {"D-1", "pulley", c.cell}}, changes...), "", Large())
		switch {
		case c.want == "" && err == nil:
			t.Errorf("%s was read as %q", name, got.Rows[0].Cells[Made])
		case c.want != "" && (err != nil || got.Rows[0].Cells[Made] != c.want):
			t.Errorf("%s: %v, %v; it is %s", name, got.Rows, err, c.want)
		}
	}
}

// TestWhatWorkbooksHold is read as it is seen.
func TestWhatWorkbooksHold(t *testing.T) {
	heads := []any{"Mark", "Family", "Serial"}
	rich := func(f *excelize.File) {
		if err := f.SetCellRichText("Kit", "C2", []excelize.RichTextRun{{Text: "22"}, {Text: "-7", Font: &excelize.Font{Bold: true}}}); err != nil {
			t.Fatal(err)
		}
	}
	for name, c := range map[string]struct {
		cell   any
		change func(*excelize.File)
		want   string
	}{
		"a number":                 {221180, nil, "221180"},
		"zeros in front, as shown": {123, styled(t, "C2", "00000"), "00123"},
		"with a point":             {8.2, nil, "8.2"},
		"what reckoning leaves":    {8.1999999999999993, nil, "8.2"},
		"large, as it is typed":    {2.2118e11, nil, "221180000000"},
		"a text":                   {"=1+1", nil, "=1+1"},
		"as CSV would write it":    {"'=1+1", nil, "=1+1"},
		"in two looks":             {nil, rich, "22-7"},
		"yes":                      {true, nil, "TRUE"},
	} {
		var changes []func(*excelize.File)
		if c.change != nil {
			changes = append(changes, c.change)
		}
		got, err := Read(workbook(t, [][]any{heads, {"D-1", "pulley", c.cell}}, changes...), "", Large())
		if err != nil || len(got.Rows) != 1 || got.Rows[0].Cells[Serial] != c.want {
			t.Errorf("%s: %+v, %v; it is %q", name, got.Rows, err, c.want)
		}
	}
}

// TestWhichSheetIsRead is said.
func TestWhichSheetIsRead(t *testing.T) {
	kit := [][]any{{"Mark", "Family"}, {"D-1", "pulley"}}
	file := workbook(t, kit, func(f *excelize.File) {
		for _, name := range []string{"Notes", "Old"} {
			if _, err := f.NewSheet(name); err != nil {
				t.Fatal(err)
			}
		}
		fill(t, f, "Notes", [][]any{{"Ask Jo about the ropes"}})
		fill(t, f, "Old", [][]any{{"Mark", "Family"}, {"D-9", "pulley"}})
		if err := f.SetSheetVisible("Old", false); err != nil {
			t.Fatal(err)
		}
		if err := f.SetRowVisible("Kit", 2, false); err != nil {
			t.Fatal(err)
		}
	})
	for named, want := range map[string]string{
		"":    "D-1 Read from the sheet Kit; not from Notes, Old (hidden). Rows that the file hides are read too: 2.",
		"old": "D-9 Read from the sheet Old; not from Kit, Notes.",
	} {
		got, err := Read(file, named, Large())
		if err != nil {
			t.Fatal(err)
		}
		if said := got.Rows[0].Cells[Mark] + " " + strings.Join(got.Told(), " "); said != want {
			t.Errorf("%q: %s; want %s", named, said, want)
		}
	}
}

// BenchmarkWorkbook writes and reads workbooks of 5,000 rows and of 50,000, and tells how many times longer the latter takes.
func BenchmarkWorkbook(b *testing.B) {
	const few, many, mostTimes = 5_000, 50_000, 15
	took := map[int]time.Duration{}
	for _, rows := range []int{few, many} {
		all := make([]Row, rows)
		for n := range all {
			all[n].Cells = map[Column]string{Mark: fmt.Sprintf("K-%05d", n), Family: "connector", Serial: fmt.Sprint(n), Made: "2024-03-05"}
		}
		began := time.Now()
		var out bytes.Buffer
		if err := WriteWorkbook(&out, all); err != nil {
			b.Fatal(err)
		}
		back, err := Read(out.Bytes(), "", Large())
		if err != nil || len(back.Rows) != rows {
			b.Fatalf("%d of %d rows, %v", len(back.Rows), rows, err)
		}
		took[rows] = time.Since(began)
	}
	if took[many] > mostTimes*took[few] {
		b.Errorf("%d rows take %v, and %d take %v", many, took[many], few, took[few])
	}
	b.ReportMetric(float64(took[many].Milliseconds()), "workbook-ms")
	b.ReportMetric(float64(took[many])/float64(took[few]), "workbook-ratio")
	b.ReportMetric(0, "ns/op")
}
