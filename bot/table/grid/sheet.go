package grid

import (
	"cmp"
	"encoding/xml"
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// mostMerged is more places with merged cells than any register has.
const mostMerged = 10_000

// Read reads a sheet. Its errors say what to change.
func (w *Workbook) Read(s Sheet, mostRows int) (Grid, error) {
	r := sheetReader{book: w, grid: Grid{Sheet: s.Name}, mostRows: mostRows}
	if err := w.walk(s.part, r.element); err != nil {
		return Grid{}, err
	}
	return r.grid, r.sort()
}

// sheetReader gathers the rows of a sheet in which something stands.
type sheetReader struct {
	book     *Workbook
	grid     Grid
	mostRows int
	line     int  // of the row that is read now
	hidden   bool // it is
	column   int  // of the cell that comes next, where it doesn't say
}

func (r *sheetReader) element(in *xml.Decoder, at xml.StartElement) error {
	switch at.Name.Local {
	case "row":
		r.line++
		if n, err := strconv.Atoi(attribute(at, "r")); err == nil {
			r.line = n
		}
		r.hidden, r.column = isTrue(attribute(at, "hidden")), 0
	case "c":
		return r.cell(in, at)
	case "mergeCell":
		area, ok := areaOf(attribute(at, "ref"))
		if ok {
			r.grid.Merged = append(r.grid.Merged, area)
		}
		if len(r.grid.Merged) > mostMerged {
			return said{fmt.Errorf("sheet %s: more than %d places have merged cells; unmerge them", r.grid.Sheet, mostMerged)}
		}
	}
	return nil
}

// cell reads one cell (ECMA-376 part 1, 18.3.1.4).
func (r *sheetReader) cell(in *xml.Decoder, at xml.StartElement) error {
	if line, column, ok := place(attribute(at, "r")); ok {
		r.line, r.column = line, column
	}
	var c struct {
		Value   string    `xml:"v"`
		Inline  *richText `xml:"is"`
		Formula *struct {
			Text string `xml:",chardata"`
		} `xml:"f"`
	}
	if err := in.DecodeElement(&c, &at); err != nil {
		return err
	}
	one := Cell{Column: r.column, Text: c.Value, Kind: Text}
	r.column++
	switch attribute(at, "t") {
	case "s":
		n, err := strconv.Atoi(strings.TrimSpace(c.Value))
		if err != nil || n < 0 || n >= len(r.book.texts) {
			return said{fmt.Errorf("sheet %s, row %d, column %s: the text of this cell is missing from the workbook; save it again", r.grid.Sheet, r.line, Letter(one.Column))}
		}
		one.Text = r.book.texts[n]
	case "inlineStr":
		if c.Inline != nil {
			one.Text = c.Inline.plain()
		}
	case "str":
		one.Text = unescape(c.Value)
	case "b":
		one.Text = strings.ToUpper(strconv.FormatBool(isTrue(c.Value)))
	case "e":
		one.Kind = Broken
	case "d":
		one.Kind = Day
		one.Text, _, _ = strings.Cut(c.Value, "T")
	default:
		r.number(&one, attribute(at, "s"))
	}
	if c.Formula != nil {
		one.Kind = Formula
		if c.Formula.Text != "" {
			one.Text = "=" + c.Formula.Text
		}
	}
	return r.keep(one)
}

// number makes of a cell what its style shows.
func (r *sheetReader) number(one *Cell, style string) {
	shown := format{}
	if n, err := strconv.Atoi(style); err == nil && n >= 0 && n < len(r.book.formats) {
		shown = r.book.formats[n]
	}
	written, n, ok := number(strings.TrimSpace(one.Text), shown)
	if !ok {
		return
	}
	one.Text, one.Kind = written, Number
	if !shown.day {
		return
	}
	if day, ok := r.book.days.day(n); ok {
		one.Text, one.Kind = day, Day
	}
}

// keep puts a cell into its row, if anything stands in it.
func (r *sheetReader) keep(one Cell) error {
	if one.Kind != Formula && strings.Trim(one.Text, " \u00a0\t\r\n") == "" {
		return nil
	}
	rows := r.grid.Rows
	if n := len(rows); n == 0 || rows[n-1].Line != r.line {
		if n == r.mostRows {
			return said{tooManyRows("sheet "+r.grid.Sheet+": ", r.mostRows)}
		}
		rows = append(rows, Row{Line: r.line, Hidden: r.hidden})
		r.grid.Rows = rows
	}
	last := &rows[len(rows)-1]
	last.Cells = append(last.Cells, one)
	return nil
}

// sort puts rows and cells in order, and refuses two that say they are one.
func (r *sheetReader) sort() error {
	slices.SortStableFunc(r.grid.Rows, func(a, b Row) int { return cmp.Compare(a.Line, b.Line) })
	for n, row := range r.grid.Rows {
		slices.SortStableFunc(row.Cells, func(a, b Cell) int { return cmp.Compare(a.Column, b.Column) })
		twice := n > 0 && r.grid.Rows[n-1].Line == row.Line
		for i := 1; i < len(row.Cells); i++ {
			twice = twice || row.Cells[i-1].Column == row.Cells[i].Column
		}
		if twice {
			return fmt.Errorf("sheet %s: row %d stands in the file twice, so nobody can say what counts; save it again", r.grid.Sheet, row.Line)
		}
	}
	return nil
}

// place reads where a cell stands, like B7.
func place(name string) (line, column int, ok bool) {
	letters := strings.TrimRight(name, "0123456789")
	if len(letters) == 0 || len(letters) > 3 {
		return 0, 0, false
	}
	for _, letter := range letters {
		if letter < 'A' || letter > 'Z' {
			return 0, 0, false
		}
		column = column*26 + int(letter-'A') + 1
	}
	line, err := strconv.Atoi(name[len(letters):])
	return line, column - 1, err == nil && line > 0
}

// areaOf reads an area, like A1:B7.
func areaOf(name string) (Area, bool) {
	from, to, _ := strings.Cut(name, ":")
	line, column, ok := place(from)
	last, lastColumn, okToo := place(to)
	return Area{line, column, last, lastColumn}, ok && okToo
}
