// Package table reads and writes a register as people keep it in a spreadsheet: a row an item, columns under headings in
// their own words, dates as they write them. It knows nothing of what is in the record.
package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Column is what a column is about.
type Column string

// The columns that are written, in this order; all but Mark and Family may be missing when a table is read.
const (
	Mark     Column = "Mark"
	Family   Column = "Family"
	Maker    Column = "Maker"
	Model    Column = "Model"
	Serial   Column = "Serial number"
	Batch    Column = "Batch"
	Made     Column = "Made"
	FirstUse Column = "First use"
	Use      Column = "For"
	Interval Column = "Interval in months"
	LifeMade Column = "Life from made, years"
	LifeUse  Column = "Life from first use, years"
	Holder   Column = "With"
	Place    Column = "Place"
	Bought   Column = "Bought"
	Examined Column = "Last inspected"
	Status   Column = "Status"
)

// Columns lists them in order.
func Columns() []Column {
	return []Column{Mark, Family, Maker, Model, Serial, Batch, Made, FirstUse, Use, Interval, LifeMade, LifeUse, Holder, Place, Bought, Examined, Status}
}

// headings are other words that people have for a column, written as plainly as heading makes them.
func (c Column) headings() []string {
	switch c {
	case Mark:
		return []string{"our mark", "id", "item", "item no", "item number", "item id", "tag", "tag no", "tag number", "asset", "asset no", "asset id", "asset number", "equipment no", "equipment id", "our number", "label", "inventory no", "inventory number", "ref", "reference", "kit no"}
	case Family:
		return []string{"kind", "type", "category", "kind of kit", "equipment type", "device", "flow"}
	case Maker:
		return []string{"manufacturer", "make", "brand", "mfr"}
	case Model:
		return []string{"product", "product name", "model name"}
	case Serial:
		return []string{"serial", "serial no", "sn", "s n", "serial nr", "makers number", "makers serial"}
	case Batch:
		return []string{"lot", "batch no", "lot no", "batch number"}
	case Made:
		return []string{"date made", "manufactured", "date of manufacture", "manufacture date", "manufacturing date", "dom", "year", "year made", "year of manufacture", "mfg date", "production date"}
	case FirstUse:
		return []string{"first used", "date of first use", "first use date", "in use since", "in service", "in service since", "date in service", "into service", "date put into service", "put into service"}
	case Use:
		return []string{"use", "used for", "people or goods", "class of use"}
	case Interval:
		return []string{"interval", "inspection interval", "interval months", "months"}
	case Holder:
		return []string{"holder", "held by", "issued to", "user", "who has it"}
	case Place:
		return []string{"location", "where", "stored", "store", "kept in"}
	case Bought:
		return []string{"purchased", "date of purchase", "purchase date", "date bought"}
	case Examined:
		return []string{"last inspection", "last inspection date", "last examined", "last examination", "last checked", "last check", "inspected", "inspection date", "date inspected", "date of last inspection"}
	case Status:
		return []string{"verdict", "result", "state", "condition", "pass fail", "outcome"}
	}
	return nil
}

// heading makes a heading plain, so that "Serial No." and "serial no" are one.
func heading(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ReplaceAll(strings.ToLower(text), "'", ""), func(r rune) bool {
		return strings.ContainsRune(" \t\r\n.:,;/_-()#*?", r)
	}), " ")
}

// columnOf guesses what stands under a heading.
func columnOf(text string) (Column, bool) {
	plain := heading(text)
	for _, c := range Columns() {
		if plain == heading(string(c)) {
			return c, true
		}
		for _, other := range c.headings() {
			if plain == other {
				return c, true
			}
		}
	}
	return "", false
}

// Row is one item as it stands in the table.
type Row struct {
	Line  int // in the file, from 1
	Cells map[Column]string
}

// Table is a register that was read.
type Table struct {
	Rows   []Row
	Names  map[Column]string // the letter and the heading of each column that was understood
	Unread []string          // headings of columns that nothing is taken from
	headed map[int]bool      // which columns have a heading at all
}

// At says where something stands, as spreadsheets number it.
func (t Table) At(r Row, c Column) string {
	return fmt.Sprintf("row %d, column %s", r.Line, t.Names[c])
}

// mostRows is more than any store has.
const mostRows = 100_000

// Read reads a table from CSV, with commas, semicolons or tabs. Its errors say what to change, and where.
func Read(text []byte) (Table, error) {
	t := Table{Names: map[Column]string{}, headed: map[int]bool{}}
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	switch {
	case bytes.HasPrefix(text, []byte("PK\x03\x04")), bytes.HasPrefix(text, []byte("\xd0\xcf\x11\xe0")):
		return t, errors.New("this is a workbook; save its sheet as CSV and give that")
	case !utf8.Valid(text), bytes.IndexByte(text, 0) >= 0:
		return t, errors.New("the letters of this file can't be read; save it again as \"CSV UTF-8\"")
	}
	in := csv.NewReader(bytes.NewReader(text))
	in.Comma, in.FieldsPerRecord = separator(text), -1
	var of map[int]Column
	for {
		cells, err := in.Read()
		var broken *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			if of == nil {
				return t, errors.New("there is no row with headings; the first row has to name the columns, one of them Mark")
			}
			return t, nil
		case errors.As(err, &broken):
			return t, fmt.Errorf("row %d has a quotation mark that isn't closed, or one in the middle; look at that row", broken.StartLine)
		case err != nil:
			return t, err
		}
		line, _ := in.FieldPos(0)
		switch {
		case blank(cells):
		case of == nil:
			if of, err = t.head(cells, line); err != nil {
				return t, err
			}
		case len(t.Rows) == mostRows:
			return t, fmt.Errorf("there are more than %d rows; split the file", mostRows)
		default:
			row, err := t.row(cells, line, of)
			if err != nil {
				return t, err
			}
			t.Rows = append(t.Rows, row)
		}
	}
}

// separator is what stands most often between the headings.
func separator(text []byte) rune {
	first, _, _ := bytes.Cut(bytes.TrimLeft(text, "\r\n"), []byte("\n"))
	best := ','
	for _, r := range ";\t" {
		if bytes.Count(first, []byte(string(r))) > bytes.Count(first, []byte(string(best))) {
			best = r
		}
	}
	return best
}

func blank(cells []string) bool {
	return strings.TrimSpace(strings.Join(cells, "")) == ""
}

// head reads the row of headings.
func (t *Table) head(cells []string, line int) (map[int]Column, error) {
	of := map[int]Column{}
	for n, text := range cells {
		c, known := columnOf(text)
		t.headed[n] = strings.TrimSpace(text) != ""
		name := letter(n) + " (" + strings.TrimSpace(text) + ")"
		switch {
		case !known && strings.TrimSpace(text) != "":
			t.Unread = append(t.Unread, name)
		case known && t.Names[c] != "":
			return nil, fmt.Errorf("row %d: the columns %s and %s both look like %q; give one of them another heading", line, t.Names[c], name, c)
		case known:
			of[n], t.Names[c] = c, name
		}
	}
	for _, needed := range []Column{Mark, Family} {
		if t.Names[needed] == "" {
			return nil, fmt.Errorf("row %d: no column is headed %s; the first row that isn't empty has to name the columns", line, needed)
		}
	}
	return of, nil
}

func (t *Table) row(cells []string, line int, of map[int]Column) (Row, error) {
	r := Row{Line: line, Cells: map[Column]string{}}
	for n, text := range cells {
		c, known := of[n]
		text = strings.TrimSpace(reveal(strings.Trim(text, " \u00a0")))
		switch {
		case text == "":
		case !t.headed[n]:
			return r, fmt.Errorf("row %d, column %s: %q stands under no heading; a comma too many, or a heading is missing", line, letter(n), text)
		case known && strings.HasPrefix(text, "=") && c != Serial:
			return r, fmt.Errorf("row %d, column %s: %q is a formula; put in what it gives", line, t.Names[c], text)
		case known:
			r.Cells[c] = text
		}
	}
	return r, nil
}

// letter names a column as spreadsheets do: A to Z, then AA.
func letter(n int) string {
	name := ""
	for n++; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}

// Write writes rows as CSV, under all headings.
func Write(to io.Writer, rows []Row) error {
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

// defuse keeps a spreadsheet from working out what somebody typed.
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
