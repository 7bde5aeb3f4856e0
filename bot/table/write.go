package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"

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
	out, err := book.NewStreamWriter(sheetName)
	if err != nil {
		return err
	}
	if err := writeHead(out, looks); err != nil {
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

// writeHead writes the headings, which stay in view.
func writeHead(out *excelize.StreamWriter, looks looks) error {
	heads := make([]any, len(Columns()))
	for n, c := range Columns() {
		heads[n] = excelize.Cell{StyleID: looks.head, Value: string(c)}
		if err := out.SetColWidth(n+1, n+1, max(12, float64(len(c))+2)); err != nil {
			return err
		}
	}
	if err := out.SetPanes(&excelize.Panes{Freeze: true, XSplit: 1, YSplit: 1, TopLeftCell: "B2", ActivePane: "bottomRight"}); err != nil {
		return err
	}
	return out.SetRow("A1", heads)
}

// looks are the styles of a workbook's cells.
type looks struct{ head, text, day int }

func looksIn(book *excelize.File) (l looks, err error) {
	asText, asDay := 49, "yyyy-mm-dd" // 49: as text, whatever is typed (ECMA-376 part 1, 18.8.30)
	for _, one := range []struct {
		to    *int
		style excelize.Style
	}{
		{&l.head, excelize.Style{Font: &excelize.Font{Bold: true}, NumFmt: asText}},
		{&l.text, excelize.Style{NumFmt: asText}},
		{&l.day, excelize.Style{CustomNumFmt: &asDay}},
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
