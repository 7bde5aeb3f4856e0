// Package grid reads the cells of a spreadsheet as they stand there, from CSV and from workbooks (Office Open XML, ECMA-376
// part 1). It doesn't know what any of them means.
package grid

// Kind is what is known of a cell.
type Kind int

const (
	Typed   Kind = iota // from CSV, where nothing tells a text from a number, or either from a formula
	Text                // a text, whatever it looks like
	Number              // its text is the number with a point, and with the zeros in front that it is shown with
	Day                 // its text is like 2024-03-05
	Formula             // its text is what stands there of it
	Broken              // the spreadsheet itself says that it is wrong, like #REF!
)

// Cell is a cell in which something stands.
type Cell struct {
	Column int // from 0
	Text   string
	Kind   Kind
}

// Row is a row in which something stands.
type Row struct {
	Line   int // from 1
	Hidden bool
	Cells  []Cell // by column
}

// Area is cells that were made one; lines and columns are as in Row and Cell, the ends included.
type Area struct{ FirstLine, FirstColumn, LastLine, LastColumn int }

// Grid is a sheet.
type Grid struct {
	Sheet  string // its name; empty: CSV, which has one without a name
	Rows   []Row  // by line
	Merged []Area
}

// Letter names a column as spreadsheets do: A to Z, then AA.
func Letter(column int) string {
	name := ""
	for n := column + 1; n > 0; n = (n - 1) / 26 {
		name = string(rune('A'+(n-1)%26)) + name
	}
	return name
}
