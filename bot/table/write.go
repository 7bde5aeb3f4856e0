package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"

	"becket/bot/table/grid"
)

// WriteCSV writes rows as CSV, under all headings.
func WriteCSV(to io.Writer, rows []Row) error {
	out := csv.NewWriter(to)
	var head []string
	for _, c := range Columns() {
		head = append(head, string(c))
	}
	_ = out.Write(head) // Error says so
	for _, r := range rows {
		var cells []string
		for _, c := range Columns() {
			cells = append(cells, defuse(r.Cells[c]))
		}
		_ = out.Write(cells)
	}
	out.Flush()
	return out.Error()
}

// begins are what a spreadsheet takes for the beginning of a formula.
const begins = "=+-@\t\r"

// defuse keeps a spreadsheet that reads CSV from working out what somebody typed.
func defuse(text string) string {
	if text != "" && (strings.ContainsRune(begins, rune(text[0])) || text[0] == '\'') {
		return "'" + text
	}
	return text
}

// reveal takes away what defuse put before a text.
func reveal(text string) string {
	if rest, ok := strings.CutPrefix(text, "'"); ok && rest != "" && (strings.ContainsRune(begins, rune(rest[0])) || rest[0] == '\'') {
		return rest
	}
	return text
}

// sheetName is what the one sheet of a workbook is called.
const sheetName = "Register"

// WriteWorkbook writes rows as a workbook (.xlsx) with one sheet, under all headings. Days are days in it, and texts stay texts,
// also when somebody types them again.
func WriteWorkbook(to io.Writer, rows []Row) error {
	book := excelize.NewFile()
	defer book.Close()
	if err := book.SetSheetName(book.GetSheetName(0), sheetName); err != nil {
		return err
	}
	looks, err := looksIn(book)
	if err != nil {
		return err
	}
	if err := onPaper(book); err != nil {
		return err
	}
	out, err := book.NewStreamWriter(sheetName)
	if err != nil {
		return err
	}
	if err := writeHead(out, looks, rows); err != nil {
		return err
	}
	for n, r := range rows {
		cells := make([]any, len(Columns()))
		for i, c := range Columns() {
			if cells[i], err = looks.cell(c, r.Cells[c]); err != nil {
				return fmt.Errorf("%s: %w", r.Cells[Mark], err)
			}
		}
		if err := out.SetRow(fmt.Sprintf("A%d", n+2), cells); err != nil {
			return err
		}
	}
	if err := out.Flush(); err != nil {
		return err
	}
	return book.Write(to)
}

// onPaper has it printed on A4, lying, all columns on a page as large as fits there, and the headings on each.
func onPaper(book *excelize.File) error {
	lying, wide, long, yes := "landscape", 1, 0, true
	a4, edge := 9, 0.4 // ECMA-376-1:2016, 18.3.1.63; inches
	if err := book.SetSheetProps(sheetName, &excelize.SheetPropsOptions{FitToPage: &yes}); err != nil {
		return err
	}
	if err := book.SetPageLayout(sheetName, &excelize.PageLayoutOptions{Size: &a4, Orientation: &lying, FitToWidth: &wide, FitToHeight: &long}); err != nil {
		return err
	}
	if err := book.SetPageMargins(sheetName, &excelize.PageLayoutMarginsOptions{Left: &edge, Right: &edge, Top: &edge, Bottom: &edge}); err != nil {
		return err
	}
	return book.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: sheetName + "!$1:$1", Scope: sheetName})
}

// headHeight is room for a heading of five narrow lines, in points.
const headHeight = 60

// widest is how many letters of a cell are seen without opening it.
const widest = 40

// writeHead writes the headings, which stay in view, over columns as wide as what stands in them.
func writeHead(out *excelize.StreamWriter, looks looks, rows []Row) error {
	heads := make([]any, len(Columns()))
	for n, c := range Columns() {
		heads[n] = excelize.Cell{StyleID: looks.head, Value: string(c)}
		letters := 0
		for _, word := range strings.Fields(string(c)) { // a heading goes over several lines
			letters = max(letters, len(word))
		}
		for _, r := range rows {
			letters = max(letters, utf8.RuneCountInString(r.Cells[c]))
		}
		if err := out.SetColWidth(n+1, n+1, float64(min(letters, widest)+2)); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"}); err != nil {
		return err
	}
	return out.SetRow("A1", heads, excelize.RowOpts{Height: headHeight})
}

// looks are the styles of a workbook's cells.
type looks struct{ head, text, day int }

func looksIn(book *excelize.File) (l looks, err error) {
	asText, asDay := 49, "yyyy-mm-dd" // 49: as text, whatever is typed (ECMA-376 part 1, 18.8.30)
	for _, one := range []struct {
		to    *int
		style excelize.Style
	}{
		{&l.head, excelize.Style{Font: &excelize.Font{Bold: true, Family: "Calibri", Size: 11}, NumFmt: asText, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}},
		{&l.text, excelize.Style{NumFmt: asText}},
		{&l.day, excelize.Style{CustomNumFmt: &asDay, Alignment: &excelize.Alignment{Horizontal: "left"}}},
	} {
		if *one.to, err = book.NewStyle(&one.style); err != nil {
			return l, err
		}
	}
	return l, nil
}

// cell is a text as the cell of its column. A day of which only the month or the year is known is a text: a workbook has none.
func (l looks) cell(c Column, text string) (any, error) {
	if text == "" {
		return nil, nil
	}
	switch c.kind() {
	case grid.Day:
		if day, err := time.Parse(time.DateOnly, text); err == nil {
			return excelize.Cell{StyleID: l.day, Value: day}, nil
		}
	case grid.Number:
		if n, err := strconv.Atoi(text); err == nil {
			return n, nil
		}
	}
	if n := len(utf16.Encode([]rune(text))); n > excelize.TotalCellChars {
		return nil, fmt.Errorf("%q has %d letters, and a cell holds %d; nothing was written", c, n, excelize.TotalCellChars)
	}
	if reveal(text) != text { // it would be taken for what defuse writes
		text = "'" + text
	}
	return excelize.Cell{StyleID: l.text, Value: text}, nil
}
