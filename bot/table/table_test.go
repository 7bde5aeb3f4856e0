package table

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"becket/bot/table/grid"
)

// TestDatesAsPeopleWriteThem: every expected day was worked out by hand.
func TestDatesAsPeopleWriteThem(t *testing.T) {
	for _, c := range []struct {
		text  string
		order Order
		want  string // empty: refused
	}{
		{"2020-02-29", Unsaid, "2020-02-29"}, {"2020-02", Unsaid, "2020-02"}, {"2020", Unsaid, "2020"},
		{"29 February 2020", Unsaid, "2020-02-29"}, {"29 Feb 2020", Unsaid, "2020-02-29"}, {"Feb 29, 2020", Unsaid, "2020-02-29"},
		{"3rd March 2024", Unsaid, "2024-03-03"}, {"1st Sept 2024", Unsaid, "2024-09-01"}, {"22-Nov-2023", Unsaid, "2023-11-22"},
		{"March 2024", Unsaid, "2024-03"}, {"mar-2024", Unsaid, "2024-03"}, {"03/2024", Unsaid, "2024-03"},
		{"13/4/2026", Unsaid, "2026-04-13"}, {"4/13/2026", Unsaid, "2026-04-13"}, {"4.4.2026", Unsaid, "2026-04-04"},
		{"2020-02-29 00:00:00", Unsaid, "2020-02-29"},
		{"3/4/2026", Unsaid, ""}, {"3/4/2026", DayFirst, "2026-04-03"}, {"3/4/2026", MonthFirst, "2026-03-04"}, {"3.4.2026", DayFirst, "2026-04-03"},
		{"13/4/2026", MonthFirst, ""}, {"4/13/2026", DayFirst, ""}, {"13/13/2026", Unsaid, ""},
		{"3/4/26", DayFirst, ""}, {"29/2/2021", Unsaid, ""}, {"30 Feb 2020", Unsaid, ""}, {"next week", Unsaid, ""}, {"?", Unsaid, ""},
		{"45017", Unsaid, ""}, {"0000-00-00", Unsaid, ""}, {"1899-12-31", Unsaid, ""}, {"March April 2024", Unsaid, ""}, {"", Unsaid, ""},
	} {
		got, err := Date(c.text, c.order)
		if c.want == "" {
			if err == nil {
				t.Errorf("%q %s was read as %s", c.text, c.order, got)
			}
			continue
		}
		if err != nil || got.String() != c.want {
			t.Errorf("%q %s: %s, %v; it is %s", c.text, c.order, got, err, c.want)
		}
	}
}

// TestTablesAsPeopleHaveThem: whichever way it is written, the same is read.
func TestTablesAsPeopleHaveThem(t *testing.T) {
	for name, text := range map[string]string{
		"semicolons":          "Mark;Family;Made\nD-1;pulley;2024\n",
		"tabs":                "Mark\tFamily\tMade\nD-1\tpulley\t2024\n",
		"a mark of the order": "\xef\xbb\xbfMark,Family,Made\r\nD-1,pulley,2024\r\n",
		"blank rows between":  "\n,,\nMark,Family,Made\n\n,,\nD-1,pulley,2024\n,,\n",
		"spaces":              " Mark , Family , Made \n D-1 ,\u00a0pulley , 2024 \n",
		"their words":         "Asset No.,TYPE,Year of Manufacture\nD-1,pulley,2024\n",
		"short rows":          "Mark,Family,Made,Place\nD-1,pulley,2024\n",
		"more columns":        "Mark,Colour,Family,Made\nD-1,red,pulley,2024\n",
		"a title above":       "Kit list 2026\n\nMark,Family,Made\nD-1,pulley,2024\n",
		"groups above":        ",What it is,Days\nMark,Family,Made\nD-1,pulley,2024\n",
		"how days are typed":  "Mark,Family,Date made (DD/MM/YYYY)\nD-1,pulley,2024\n",
	} {
		got, err := Read([]byte(text), "", Large())
		if err != nil || len(got.Rows) != 1 || fmt.Sprint(got.Rows[0].Cells) != "map[Family:pulley Made:2024 Mark:D-1]" {
			t.Errorf("%s: %v, %v", name, got.Rows, err)
		}
	}
}

// anyRow draws a row of any texts, days and numbers.
func anyRow(t *rapid.T) Row {
	row := Row{Cells: map[Column]string{}}
	for _, c := range Columns() {
		switch c.kind() {
		case grid.Day:
			row.Cells[c] = rapid.SampledFrom([]string{"", "2024-02-29", "1950-01-01", "2199-12-31", "2024-02", "2024", "never"}).Draw(t, string(c))
		case grid.Number:
			row.Cells[c] = rapid.SampledFrom([]string{"", "1", "60"}).Draw(t, string(c))
		default:
			row.Cells[c] = strings.TrimSpace(rapid.OneOf(
				rapid.StringMatching(`[=+\-@']{0,3}[a-zé ",;\n]{0,6}`), rapid.StringMatching(`[0-9]{1,20}`), rapid.StringMatching(`_x[0-7][0-9a-fA-F]{3}_`), rapid.String(),
			).Draw(t, string(c)))
		}
		if row.Cells[c] == "" || strings.EqualFold(row.Cells[c], string(c)) {
			delete(row.Cells, c)
		}
	}
	row.Cells[Mark], row.Cells[Family] = "D-1", "pulley"
	return row
}

// TestWhatGoesOutComesBack over any texts, and nothing that a spreadsheet would work out stands in it.
func TestWhatGoesOutComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := anyRow(t)
		for c, text := range row.Cells { // CSV has no place for these
			if text = strings.TrimSpace(strings.NewReplacer("\r", "", "\x00", "").Replace(text)); text == "" {
				delete(row.Cells, c)
			} else {
				row.Cells[c] = text
			}
		}
		var out bytes.Buffer
		if err := WriteCSV(&out, []Row{row}); err != nil {
			t.Fatal(err)
		}
		for _, text := range row.Cells {
			if d := defuse(text); strings.ContainsAny(d[:1], begins) {
				t.Fatalf("%q goes out as %q", text, d)
			}
		}
		back, err := Read(out.Bytes(), "", Large())
		if err != nil || len(back.Rows) != 1 || fmt.Sprint(back.Rows[0].Cells) != fmt.Sprint(row.Cells) {
			t.Fatalf("%q\ncame back as %+v, %v", row.Cells, back.Rows, err)
		}
	})
}

// TestHowAFileWasReadIsTold: what was guessed, what isn't taken, and why.
func TestHowAFileWasReadIsTold(t *testing.T) {
	got, err := Read([]byte("Kit 2026\nAsset no,Type,Serial number,Next due,Colour,Remarks\nD-1,pulley,7,2027-01-01,red,\n"), "", Large())
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"The headings are in row 2; what stands above them isn't read.",
		"Guessed from the headings, and read: A (Asset no) as Mark, B (Type) as Family.",
		"Nothing is taken from the columns D (Next due): that follows from the inspections here.",
		"Nothing is taken from the columns E (Colour), F (Remarks).",
	}
	if diff := cmp.Diff(want, got.Told()); diff != "" {
		t.Error(diff)
	}
}
