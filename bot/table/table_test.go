package table

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
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

// TestTablesAsPeopleHaveThem: what is wrong is said with its row and column; nothing is read otherwise.
func TestTablesAsPeopleHaveThem(t *testing.T) {
	for name, c := range map[string]struct{ text, says string }{
		"nothing":                 {"", "no row with headings"},
		"blank lines":             {"\n,,,\n", "no row with headings"},
		"a title above":           {"Kit list 2026\nMark,Family\n", "row 1: no column is headed Mark"},
		"no headings":             {"D-1,pulley\n", "row 1: no column is headed Mark"},
		"no family":               {"Mark,Serial\nD-1,2\n", "no column is headed Family"},
		"two headings alike":      {"Mark,Tag No,Family\n", "columns A (Mark) and B (Tag No) both look like \"Mark\""},
		"a comma too many":        {"Mark,Family\nD-1,pulley,rack 2\n", "row 2, column C: \"rack 2\" stands under no heading"},
		"an empty heading":        {"Mark,,Family\nD-1,x,pulley\n", "row 2, column B: \"x\" stands under no heading"},
		"a formula":               {"Mark,Family,Made\nD-1,pulley,=TODAY()\n", "row 2, column C (Made): \"=TODAY()\" is a formula"},
		"a quotation mark open":   {"Mark,Family\n\"D-1,pulley\n", "row 2 has a quotation mark"},
		"a quotation mark inside": {"Mark,Family\nD\"1,pulley\n", "row 2 has a quotation mark"},
		"a workbook":              {"PK\x03\x04rest", "save its sheet as CSV"},
		"an old workbook":         {"\xd0\xcf\x11\xe0rest", "save its sheet as CSV"},
		"other letters":           {"Mark,Family\nM\xfc-1,pulley\n", "CSV UTF-8"},
		"wide letters":            {"\xff\xfeM\x00a\x00", "CSV UTF-8"},
		"too many":                {"Mark,Family\n" + strings.Repeat("D,p\n", mostRows+1), "more than 100000 rows"},
	} {
		if _, err := Read([]byte(c.text)); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v; it should say %q", name, err, c.says)
		}
	}
	for name, text := range map[string]string{
		"semicolons":          "Mark;Family;Made\nD-1;pulley;2024\n",
		"tabs":                "Mark\tFamily\tMade\nD-1\tpulley\t2024\n",
		"a mark of the order": "\xef\xbb\xbfMark,Family,Made\r\nD-1,pulley,2024\r\n",
		"blank rows between":  "\n,,\nMark,Family,Made\n\n,,\nD-1,pulley,2024\n,,\n",
		"spaces":              " Mark , Family , Made \n D-1 ,\u00a0pulley , 2024 \n",
		"their words":         "Asset No.,TYPE,Year of Manufacture\nD-1,pulley,2024\n",
		"short rows":          "Mark,Family,Made,Place\nD-1,pulley,2024\n",
		"more columns":        "Mark,Colour,Family,Made\nD-1,red,pulley,2024\n",
	} {
		got, err := Read([]byte(text))
		if err != nil || len(got.Rows) != 1 || fmt.Sprint(got.Rows[0].Cells) != "map[Family:pulley Made:2024 Mark:D-1]" {
			t.Errorf("%s: %v, %v", name, got.Rows, err)
		}
	}
}

// TestWhatGoesOutComesBack over any texts, and nothing that a spreadsheet would work out stands in it.
func TestWhatGoesOutComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := Row{Cells: map[Column]string{}}
		for _, c := range Columns() {
			text := strings.TrimSpace(strings.ReplaceAll(rapid.OneOf(rapid.StringMatching(`[=+\-@']{0,3}[a-zé ",;\n]{0,6}`), rapid.String()).Draw(t, string(c)), "\r", ""))
			if text = strings.ReplaceAll(text, "\x00", ""); c != Serial {
				text = strings.TrimLeft(text, "=")
			}
			if text = strings.TrimSpace(text); text != "" {
				row.Cells[c] = text
			}
		}
		row.Cells[Mark], row.Cells[Family] = "D-1", "pulley"
		var out bytes.Buffer
		if err := Write(&out, []Row{row}); err != nil {
			t.Fatal(err)
		}
		for _, text := range row.Cells {
			if d := defuse(text); strings.ContainsAny(d[:1], begins) {
				t.Fatalf("%q goes out as %q", text, d)
			}
		}
		back, err := Read(out.Bytes())
		if err != nil || len(back.Rows) != 1 || fmt.Sprint(back.Rows[0].Cells) != fmt.Sprint(row.Cells) {
			t.Fatalf("%q\ncame back as %+v, %v", row.Cells, back.Rows, err)
		}
	})
}
