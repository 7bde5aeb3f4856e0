//go:build goolm && homeserver

package matrix

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"strings"
	"testing"
	"time"

	"maunium.net/go/mautrix/event"

	"becket/bot/table"
)

const workbookType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"

// sheet is the message that brings a spreadsheet of so many bytes.
func sheet(name, kind string, size int) *event.MessageEventContent {
	return &event.MessageEventContent{MsgType: event.MsgFile, Body: name, FileName: name, Info: &event.FileInfo{MimeType: kind, Size: size}}
}

func TestSpreadsheet(t *testing.T) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, encrypted)
			row := table.Row{Cells: map[table.Column]string{
				table.Mark: "K-70", table.Family: "kite-line", table.LifeMade: "no limit", table.LifeUse: "no limit",
			}}
			var good bytes.Buffer
			if err := table.WriteWorkbook(&good, []table.Row{row}); err != nil {
				t.Fatal(err)
			}
			s.ana.gives(s.room, "", sheet("kit.xlsx", workbookType, good.Len()), good.Bytes())
			shown := s.ana.hears("Take it in? yes or no.")
			if want := "row 2: K-70, to be taken in; not for use until inspected"; !strings.Contains(shown.Body, want) {
				t.Errorf("%q doesn't say %q", shown.Body, want)
			}
			s.ana.says(s.room, "", "yes")
			s.ana.hears("Taken in: 1 of 1 rows.")
			s.ana.says(s.room, "", "can I use K-70")
			s.ana.hears("K-70 is not for use until inspected")
			s.b.noFileLeft()
			s.b.verified()
		})
	}
}

// TestHostileSpreadsheet: a small file that unpacks to a gigabyte, and one that says it is larger than any may be, get one sentence
// each, and nothing of them stays.
func TestHostileSpreadsheet(t *testing.T) {
	s, _ := newScene(t, true)
	bomb := bombed(t)
	if len(bomb) > 2<<20 {
		t.Fatalf("it is %d bytes", len(bomb))
	}
	begun := time.Now()
	s.ana.gives(s.room, "", sheet("kit.xlsx", workbookType, len(bomb)), bomb)
	said := s.ana.hears("Nothing was taken")
	t.Logf("after %v", time.Since(begun))
	if !strings.HasPrefix(said.Body, "kit.xlsx: this workbook unpacks to more than 32 MB;") {
		t.Errorf("what is wrong with it isn't said: %q", said.Body)
	}
	s.ana.gives(s.room, "", sheet("list.csv", "text/csv", 100<<20), []byte("Mark,Family\nK-71,kite-line\n"))
	said = s.ana.hears("list.csv")
	if !strings.HasPrefix(said.Body, "list.csv has 100 MB; a file may have 25 MB. Send a smaller one.") {
		t.Errorf("what is wrong with it isn't said: %q", said.Body)
	}
	s.ana.nothing(300 * time.Millisecond)
	s.ana.says(s.room, "", "can I use K-71")
	s.ana.hears("no K-71")
	s.b.noFileLeft()
	s.b.verified()
}

// bombed is a workbook whose sheet unpacks to a gigabyte of blanks.
func bombed(t *testing.T) []byte {
	t.Helper()
	var book, out bytes.Buffer
	if err := table.WriteWorkbook(&book, []table.Row{{Cells: map[table.Column]string{table.Mark: "K-70", table.Family: "kite-line"}}}); err != nil {
		t.Fatal(err)
	}
	in, err := zip.NewReader(bytes.NewReader(book.Bytes()), int64(book.Len()))
	if err != nil {
		t.Fatal(err)
	}
	w := zip.NewWriter(&out)
	for _, f := range in.File {
		from, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(from)
		if err != nil {
			t.Fatal(err)
		}
		to, err := w.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		before, after, found := bytes.Cut(text, []byte("</sheetData>"))
		if _, err := to.Write(before); err != nil {
			t.Fatal(err)
		}
		if !found {
			continue
		}
		blanks := bytes.Repeat([]byte(" "), 1<<20)
		for range 1 << 10 {
			if _, err := to.Write(blanks); err != nil {
				t.Fatal(err)
			}
		}
		if _, err := to.Write(append([]byte("</sheetData>"), after...)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// noFileLeft tests that no spreadsheet lies where photos are kept.
func (b *becket) noFileLeft() {
	b.t.Helper()
	entries, err := os.ReadDir(b.config.Database + "-photos")
	if err != nil && !os.IsNotExist(err) || len(entries) > 0 {
		b.t.Errorf("%d files are left: %v", len(entries), err)
	}
}
