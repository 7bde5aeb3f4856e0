package table

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"becket/bot/table/grid"
)

// Limits is how much of a file is read: rows, and of what is packed, bytes once it is unpacked.
type Limits struct {
	Rows  int
	Bytes int64
}

// Large is more than any store has.
func Large() Limits { return Limits{100_000, 256 << 20} }

// WhichSheet is that several sheets look like a register; each is a name.
type WhichSheet []string

func (w WhichSheet) Error() string {
	return fmt.Sprintf("the sheets %s all look like a register; say which sheet is meant", some(w))
}

// Read reads a table from CSV, with commas, semicolons or tabs, or from a workbook: from the sheet that is named, or the only one
// that looks like a register. Its errors say what to change, and where.
func Read(file []byte, sheet string, most Limits) (Table, error) {
	switch {
	case bytes.HasPrefix(file, []byte("\xd0\xcf\x11\xe0")):
		return Table{}, errors.New("this is an old workbook, or one with a password; save it as .xlsx without one")
	case grid.IsWorkbook(file):
		return readWorkbook(file, sheet, most)
	}
	g, err := grid.CSV(file, most.Rows)
	if err != nil {
		return Table{}, err
	}
	return readGrid(g)
}

func readWorkbook(file []byte, sheet string, most Limits) (Table, error) {
	book, err := grid.OpenWorkbook(file, most.Bytes)
	if err != nil {
		return Table{}, err
	}
	var could []grid.Sheet
	var others []string
	for _, s := range book.Sheets {
		switch {
		case sheet == "" && s.Hidden:
			others = append(others, s.Name+" (hidden)")
		case sheet == "", strings.EqualFold(sheet, s.Name):
			could = append(could, s)
		default:
			others = append(others, s.Name)
		}
	}
	switch {
	case len(could) == 0 && sheet != "":
		return Table{}, fmt.Errorf("there is no sheet %s; there are: %s", short(sheet), some(others))
	case len(could) == 0 && len(others) == 0:
		return Table{}, errors.New("there is no sheet with cells in this workbook")
	case len(could) == 0:
		return Table{}, fmt.Errorf("every sheet of this workbook is hidden: %s; show the one that is meant", some(others))
	}
	g, passed, err := registerAmong(book, could, most)
	if err != nil {
		return Table{}, err
	}
	t, err := readGrid(g)
	if others = append(passed, others...); err == nil && len(others) > 0 {
		t.read = append([]string{fmt.Sprintf("Read from the sheet %s; not from %s.", g.Sheet, some(others))}, t.read...)
	}
	return t, err
}

// registerAmong is the only one of some sheets that has a register's headings, and the names of the others.
func registerAmong(book *grid.Workbook, could []grid.Sheet, most Limits) (found grid.Grid, others []string, err error) {
	var names []string
	for _, s := range could {
		g, err := book.Read(s, most.Rows)
		if err != nil {
			return g, nil, err
		}
		if len(could) == 1 {
			return g, nil, nil
		}
		if _, headed := headRow(g.Rows); !headed {
			others = append(others, s.Name)
			continue
		}
		found, names = g, append(names, s.Name)
	}
	switch len(names) {
	case 0:
		return found, nil, fmt.Errorf("none of the sheets %s has a row that names its columns, with one headed Mark and one headed Family", some(others))
	case 1:
		return found, others, nil
	}
	return found, nil, WhichSheet(names)
}

// above is how many rows may stand above the headings.
const above = 10

// headRow finds the row of headings: the first of the uppermost that names the columns that have to be there, or else the one to
// complain of.
func headRow(rows []grid.Row) (n int, found bool) {
	most := 0
	for i, row := range rows[:min(above+1, len(rows))] {
		names := map[Column]bool{}
		for _, cell := range row.Cells {
			if c, known := columnOf(cell.Text); known {
				names[c] = true
			}
		}
		if names[Mark] && names[Family] {
			return i, true
		}
		if len(names) > most {
			n, most = i, len(names)
		}
	}
	return n, false
}

func readGrid(g grid.Grid) (Table, error) {
	t := Table{Sheet: g.Sheet, Names: map[Column]string{}, columns: map[int]Column{}, headed: map[int]string{}}
	if len(g.Rows) == 0 {
		where := ""
		if g.Sheet != "" {
			where = "sheet " + g.Sheet + ": "
		}
		return t, fmt.Errorf("%sthere is no row with headings; the first row has to name the columns, one of them Mark", where)
	}
	n, _ := headRow(g.Rows)
	if err := t.head(g.Rows[n]); err != nil {
		return t, err
	}
	if n > 0 {
		t.read = append([]string{fmt.Sprintf("The headings are in row %d; what stands above them isn't read.", g.Rows[n].Line)}, t.read...)
	}
	if err := t.unmerged(g.Merged, g.Rows[n].Line); err != nil {
		return t, err
	}
	var hidden []string
	for _, from := range g.Rows[n+1:] {
		row, err := t.row(from)
		if err != nil {
			return t, err
		}
		if t.Rows = append(t.Rows, row); from.Hidden {
			hidden = append(hidden, fmt.Sprint(from.Line))
		}
	}
	if len(t.Rows) == 0 { // "nothing new in it" would pass for a list that was read
		return t, fmt.Errorf("%s: there is nothing under the headings; each item needs a row of its own", t.Line(g.Rows[n].Line))
	}
	if len(hidden) > 0 {
		t.read = append(t.read, fmt.Sprintf("Rows that the file hides are read too: %s.", some(hidden)))
	}
	return t, nil
}

// head reads the row of headings.
func (t *Table) head(row grid.Row) error {
	var guessed, unread, follows []string
	for _, cell := range row.Cells {
		text := strings.TrimSpace(cell.Text)
		c, known := columnOf(text)
		t.headed[cell.Column] = text
		name := grid.Letter(cell.Column) + " (" + short(text) + ")"
		switch {
		case known && t.Names[c] != "":
			return fmt.Errorf("%s: the columns %s and %s both look like %q; give one of them another heading", t.Line(row.Line), t.Names[c], name, c)
		case known:
			t.columns[cell.Column], t.Names[c] = c, name
			if plain(text) != plain(string(c)) {
				guessed = append(guessed, fmt.Sprintf("%s as %s", name, c))
			}
		case slices.Contains(workedOut(), plain(text)):
			follows = append(follows, name)
		default:
			unread = append(unread, name)
		}
	}
	for _, needed := range []Column{Mark, Family} {
		if t.Names[needed] == "" {
			return fmt.Errorf("%s: no column is headed %s; one of the first rows has to name the columns", t.Line(row.Line), needed)
		}
	}
	for _, say := range []struct {
		of   []string
		text string
	}{
		{guessed, "Guessed from the headings, and read: %s."},
		{follows, "Nothing is taken from the columns %s: that follows from the inspections here."},
		{unread, "Nothing is taken from the columns %s."},
	} {
		if len(say.of) > 0 {
			t.read = append(t.read, fmt.Sprintf(say.text, some(say.of)))
		}
	}
	return nil
}

// unmerged refuses cells that were made one, from the headings on: to which item they belong nobody can say.
func (t *Table) unmerged(areas []grid.Area, head int) error {
	for _, a := range areas {
		if a.LastLine < head || a.FirstLine == a.LastLine && a.FirstColumn == a.LastColumn {
			continue
		}
		for _, n := range slices.Sorted(maps.Keys(t.columns)) {
			if a.FirstColumn <= n && n <= a.LastColumn {
				return fmt.Errorf("%s, column %s: the cells from %s%d to %s%d are merged; unmerge them, and put into each what belongs there",
					t.Line(max(a.FirstLine, head)), t.Names[t.columns[n]], grid.Letter(a.FirstColumn), a.FirstLine, grid.Letter(a.LastColumn), a.LastLine)
			}
		}
	}
	return nil
}

func (t *Table) row(from grid.Row) (Row, error) {
	r, headings := Row{Line: from.Line, Cells: map[Column]string{}}, 0
	for _, cell := range from.Cells {
		c, known := t.columns[cell.Column]
		heading, headed := t.headed[cell.Column]
		if known && strings.EqualFold(strings.TrimSpace(cell.Text), heading) {
			headings++
		}
		switch {
		case !headed:
			return r, fmt.Errorf("%s, column %s: %q stands under no heading; give the column one, or take it out", t.Line(from.Line), grid.Letter(cell.Column), short(cell.Text))
		case known:
			text, err := c.read(cell)
			if err != nil {
				return r, fmt.Errorf("%s, column %s: %w", t.Line(from.Line), t.Names[c], err)
			}
			if text != "" {
				r.Cells[c] = text
			}
		}
	}
	if headings > 1 {
		return r, fmt.Errorf("%s names the columns again; take that row out", t.Line(from.Line))
	}
	return r, nil
}

// short is a text to be quoted, and no more than its beginning if it is long.
func short(text string) string {
	const most = 60
	letters := []rune(strings.Join(strings.Fields(text), " "))
	if len(letters) > most {
		letters = append(letters[:most], '…')
	}
	return string(letters)
}

// some is a list to be said; of a long one its beginning, and how many more there are.
func some(all []string) string {
	const most = 20
	if len(all) <= most {
		return strings.Join(all, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(all[:most], ", "), len(all)-most)
}

// read is the text of a cell, where it can be told what it says.
func (c Column) read(cell grid.Cell) (string, error) {
	text := strings.TrimSpace(cell.Text)
	switch cell.Kind {
	case grid.Typed:
		if strings.HasPrefix(text, "=") {
			return "", fmt.Errorf("%q is a formula; put in what it gives", short(text))
		}
	case grid.Formula:
		return "", fmt.Errorf("%q is a formula; put in what it gives", short(text))
	case grid.Broken:
		return "", fmt.Errorf("the spreadsheet says %s there; put in what belongs there", short(text))
	case grid.Day:
		if c.kind() != grid.Day {
			return "", fmt.Errorf("the spreadsheet has made the day %s of what was typed; format the cell as text, and type it again", text)
		}
		return text, nil
	case grid.Number:
		return text, c.takes(text)
	}
	return strings.TrimSpace(reveal(text)), nil
}

// takes refuses a number that isn't what was typed, or not what its column holds.
func (c Column) takes(number string) error {
	const kept = 15 // digits that a spreadsheet keeps
	switch {
	case c.kind() == grid.Day && len(number) != len("2026"):
		return fmt.Errorf("%s is a number and not a day; format the cell as a date, and look whether it is the right one", number)
	case c.kind() == grid.Text && len(strings.Trim(number, "-.0")) >= kept:
		return fmt.Errorf("%s has more digits than a spreadsheet keeps of a number; format the cell as text, and type it again", number)
	}
	return nil
}
