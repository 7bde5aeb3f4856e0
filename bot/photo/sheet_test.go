package photo

import (
	"path/filepath"
	"strings"
	"testing"
	"time"

	"becket/bot"
	"becket/store"
)

// TestSpreadsheetsAreKeptAsSuch, and never as a photo, whatever they are called.
func TestSpreadsheetsAreKeptAsSuch(t *testing.T) {
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	const picture = "\x89PNG\r\n\x1a\n"
	for _, c := range []struct{ name, text, kind, says string }{
		{"kit.xlsx", "PK\x03\x04...", bot.WorkbookType, ""},
		{"KIT.XLSM", "PK\x03\x04...", bot.WorkbookType, ""},
		{"kit.csv", "Mark,Family\n", bot.CSVType, ""},
		{"kit.csv", "", bot.CSVType, ""},
		{"kit.csv", "PK\x03\x04...", "", "is a spreadsheet that I can't read"},
		{"kit.xlsx", "Mark,Family\n", "", "is a spreadsheet that I can't read"},
		{"kit.ods", "PK\x03\x04...", "", "is a spreadsheet that I can't read"},
		{"kit.xls", "\xd0\xcf\x11\xe0", "", "is a spreadsheet that I can't read"},
		{"kit.jpg", "PK\x03\x04...", "", "is no photo that I know"},
		{"kit.zip", "PK\x03\x04...", "", "is no photo that I know"},
		{"kit.csv", picture, "", "is damaged"},
		{"large.csv", strings.Repeat("x", maxSheetBytes+1), bot.CSVType, "a spreadsheet may have 5 MB here"},
	} {
		f := Keep(t.Context(), db, c.name, strings.NewReader(c.text), int64(len(c.text)))
		if c.says == "" && (f.Problem != "" || f.Type != c.kind || f.Hash == "") || !strings.Contains(f.Problem, c.says) || c.says != "" && f.Hash != "" {
			t.Errorf("%s %.8q: %+v", c.name, c.text, f)
		}
	}
}
