// Package table reads and writes a register as people keep it in a spreadsheet: a row an item, columns under headings in
// their own words, dates as they write them. It knows nothing of what is in the record.
package table

import (
	"fmt"

	"becket/bot/table/grid"
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

// kind is what a column's cells are in a workbook.
func (c Column) kind() grid.Kind {
	switch c {
	case Made, FirstUse, Bought, Examined:
		return grid.Day
	case Interval, LifeMade, LifeUse:
		return grid.Number
	}
	return grid.Text
}

// Row is one item as it stands in the table.
type Row struct {
	Line  int // in the file, from 1
	Cells map[Column]string
}

// Table is a register that was read.
type Table struct {
	Sheet   string // in a workbook: the one that was read
	Rows    []Row
	Names   map[Column]string // the letter and the heading of each column that was understood
	read    []string          // what has to be known of how it was read, in sentences
	columns map[int]Column
	headed  map[int]string // the heading of each column that has one
}

// Told is how the file was read, in sentences: which columns were guessed, and what nothing is taken from.
func (t Table) Told() []string { return t.read }

// Line says in which row something stands, as spreadsheets number it.
func (t Table) Line(line int) string {
	at := fmt.Sprintf("row %d", line)
	if t.Sheet != "" {
		at = "sheet " + t.Sheet + ", " + at
	}
	return at
}

// At says where something stands.
func (t Table) At(r Row, c Column) string { return t.Line(r.Line) + ", column " + t.Names[c] }
