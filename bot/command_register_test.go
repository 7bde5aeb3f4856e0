package bot

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"becket/bot/table"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// workbook is a spreadsheet as somebody sends it: a sheet, Kit, with these rows.
func (c *conversation) workbook(rows ...[]any) File {
	c.Helper()
	f := excelize.NewFile()
	if err := f.SetSheetName("Sheet1", "Kit"); err != nil {
		c.Fatal(err)
	}
	for n, cells := range rows {
		if err := f.SetSheetRow("Kit", fmt.Sprintf("A%d", n+1), &cells); err != nil {
			c.Fatal(err)
		}
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		c.Fatal(err)
	}
	hash, size, err := c.db.PutBlob(c.Context(), &out, 10<<20)
	if err != nil {
		c.Fatal(err)
	}
	return File{Name: "kit.xlsx", Hash: hash, Type: WorkbookType, Size: size}
}

func (c *conversation) entries() (n int64) {
	c.Helper()
	c.view(func(tx *store.Tx) (err error) {
		n, _, err = tx.Head()
		return err
	})
	return n
}

// TestBadRows: whatever is wrong with one row is said with its sheet, row and column, and nothing is taken of the others. What is
// wrong with a file before it has rows is in the package table.
func TestBadRows(t *testing.T) {
	t.Parallel()
	c := talk(t)
	const family = "cam-handle-descender"
	for name, bad := range map[string]struct {
		head string
		row  []any
		says string
	}{
		"no mark":                 {"Made", []any{"", family, 2024}, `sheet Kit, row 3, column A (Mark): there is no mark`},
		"a mark with a space":     {"Made", []any{"D 70", family, 2024}, `sheet Kit, row 3, column A (Mark): a mark has no space in it, unlike "D 70"`},
		"what nobody sees":        {"Made", []any{"D-14\u200b", family, 2024}, `sheet Kit, row 3, column A (Mark): "D-14\u200b" has a letter that can't be seen`},
		"a long dash":             {"Made", []any{"D–14", family, 2024}, `sheet Kit, row 3, column A (Mark): "D\u201314" has a letter that can't be seen, or a dash that isn't -`},
		"the same for a serial":   {"Serial", []any{"D-70", family, "22\u00ad1180"}, `sheet Kit, row 3, column C (Serial): "22\u00ad1180" has a letter`},
		"a very long text":        {"For", []any{"D-70", family, strings.Repeat("climb ", 5000)}, `climb climb …"`},
		"a mark twice":            {"Made", []any{"x-1", family, 2024}, `sheet Kit, row 3, column A (Mark): x-1 stands in row 2 already`},
		"a mark easily mistaken":  {"Made", []any{"D-I4", family, 2024}, `sheet Kit, row 3, column A (Mark): D-I4 is easily taken for D-14`},
		"like one of the file":    {"Made", []any{"XI", family, 2024}, `sheet Kit, row 3, column A (Mark): XI is easily taken for X-1`},
		"no family":               {"Made", []any{"D-70", "", 2024}, `sheet Kit, row 3, column B (Family): there is no family ""`},
		"a family that isn't":     {"Made", []any{"D-70", "kite", 2024}, `sheet Kit, row 3, column B (Family): there is no family "kite" here; "take in" lists them`},
		"several families":        {"Made", []any{"D-70", "Foot ascender or chest", 2024}, `it could be`},
		"no day":                  {"Made", []any{"D-70", family, "a while ago"}, `sheet Kit, row 3, column C (Made): "a while ago" is not a date`},
		"a day that never was":    {"Made", []any{"D-70", family, "30 Feb 2024"}, `sheet Kit, row 3, column C (Made): 2024-02-30 is not a day`},
		"two digits for a year":   {"Made", []any{"D-70", family, "1/2/24"}, `sheet Kit, row 3, column C (Made): "1/2/24" is not a date`},
		"a year made a day":       {"Made", []any{"D-70", family, time.Date(1905, 7, 16, 0, 0, 0, 0, time.UTC)}, `sheet Kit, row 3, column C (Made): 1905 is not between 1950 and 2200`},
		"inspected tomorrow":      {"Last inspected", []any{"D-70", family, time.Date(2027, 1, 2, 0, 0, 0, 0, time.UTC)}, `sheet Kit, row 3, column C (Last inspected): 2 January 2027 is still to come`},
		"made tomorrow":           {"Made", []any{"D-70", family, time.Date(2027, 1, 2, 0, 0, 0, 0, time.UTC)}, `sheet Kit, row 3: D-70: `},
		"months in words":         {"Interval", []any{"D-70", family, "six months"}, `sheet Kit, row 3, column C (Interval): "six months" isn't a whole number`},
		"half a month":            {"Interval", []any{"D-70", family, 5.5}, `sheet Kit, row 3, column C (Interval): "5.5" isn't a whole number`},
		"less than nothing":       {"Interval", []any{"D-70", family, -6}, `sheet Kit, row 3, column C (Interval): "-6" isn't a whole number`},
		"a life of nothing":       {"Life from made, years", []any{"D-70", family, 0}, `sheet Kit, row 3, column C (Life from made, years): "0" isn't a number of years; put one, or "no limit"`},
		"neither people nor good": {"For", []any{"D-70", family, "climbing"}, `sheet Kit, row 3, column C (For): use is people or goods, not "climbing"`},
		"a status nobody knows":   {"Status", []any{"D-70", family, "hmm"}, `sheet Kit, row 3, column C (Status): what "hmm" means for use isn't plain`},
		"other than here":         {"Serial", []any{"D-14", family, "22-9999"}, `sheet Kit, row 3, column C (Serial): D-14 is in the register with "22-1180", and the file says "22-9999"`},
		"a day put off":           {"First use", []any{"D-14", family, time.Date(2023, 5, 10, 0, 0, 0, 0, time.UTC)}, `sheet Kit, row 3, column C (First use): D-14 is in the register with "2022-05-10"`},
		"the same under a mark":   {"Serial", []any{"D-70", family, "22 118O"}, `sheet Kit, row 3, column C (Serial): D-70 has the serial of D-14`},
	} {
		before := c.entries()
		_, h := c.send(Message{From: "@ana", Files: []File{c.workbook([]any{"Mark", "Family", bad.head}, []any{"X-1", family}, bad.row)}})
		c.wantRefused(h, "1 of 2 rows can't be taken, so none was")
		c.wantRefused(h, bad.says)
		if len(h.text()) > 500 {
			t.Errorf("%s: %d letters are said", name, len(h.text()))
		}
		if after := c.entries(); after != before {
			t.Errorf("%s: %d entries came of it", name, after-before)
		}
	}
	c.wantRefused(c.say("@ana", "", "can I use X-1"), "There is no X-1 here")
}

// TestWhatWasShownIsTaken: where the register changes between the showing and the yes, it is shown anew.
func TestWhatWasShownIsTaken(t *testing.T) {
	t.Parallel()
	c := talk(t)
	file := c.workbook([]any{"Mark", "Family", "Status"}, []any{"X-1", "cam-handle-descender"}, []any{"D-41", "cam-handle-descender", "quarantine"})
	_, h := c.send(Message{From: "@ana", Files: []File{file}})
	c.wantSaid(h, "row 3: D-41 is in the register already, to be held as the file says")
	c.say("@dee", "", "quarantine D-41 rope creeps")
	h = c.say("@ana", "", "yes")
	c.wantSaid(h, "The register has changed since")
	c.wantSaid(h, "row 3: D-41 is in the register already; nothing changes")
	before := c.entries()
	c.wantSaid(c.say("@ana", "", "yes"), "Taken in: 1 of 2 rows.")
	if n := c.entries() - before; n != 2 { // and its hold: no life is said
		t.Errorf("%d entries", n)
	}
	c.wantSaid(c.say("@ana", "", "can I use X-1"), "nobody could say how long its maker lets it live")
}

// TestSheetGoesOnceItIsTaken: the file of a spreadsheet is kept no longer than it is asked about; what was taken of it is in the
// record.
func TestSheetGoesOnceItIsTaken(t *testing.T) {
	t.Parallel()
	c := talk(t)
	for _, answer := range []string{"leave off", "no", "yes"} {
		file := c.workbook([]any{"Mark", "Family"}, []any{"X-1", "connector"})
		c.send(Message{From: "@ana", Files: []File{file}})
		if !c.photoIsThere(file.Hash) {
			t.Fatalf("it is gone before %q", answer)
		}
		c.say("@ana", "", answer)
		if c.photoIsThere(file.Hash) {
			t.Errorf("it is still there after %q", answer)
		}
	}
}

// TestGivenOutGoesOnceItIsDelivered: what was made to be sent is no evidence, and lies among the photos until it is known to have
// left, and no longer.
func TestGivenOutGoesOnceItIsDelivered(t *testing.T) {
	t.Parallel()
	c := talk(t)
	for _, asks := range []string{"export register", "tags store", "calendar", "evidence pack"} {
		c.take(Message{From: "@ana", Text: asks})
		said, _ := c.onTheirWay()
		if len(said) == 0 || len(said[0].Files) == 0 {
			t.Fatalf("%q gives no file: %v", asks, said)
		}
		for _, f := range said[0].Files {
			if !c.photoIsThere(f.Hash) {
				t.Errorf("%q: %s is gone before it has left", asks, f.Name)
			}
		}
		c.deliver()
		for _, f := range said[0].Files {
			if c.photoIsThere(f.Hash) {
				t.Errorf("%q: %s is still there", asks, f.Name)
			}
		}
	}
}

// TestManyRowsAreListedInAFile, and the words stay short.
func TestManyRowsAreListedInAFile(t *testing.T) {
	t.Parallel()
	c := talk(t)
	rows := [][]any{{"Mark", "Family"}}
	for n := range 200 {
		rows = append(rows, []any{fmt.Sprintf("X-%03d", n+100), "connector"})
	}
	_, h := c.send(Message{From: "@ana", Files: []File{c.workbook(rows...)}})
	c.wantSaid(h, "... and 170 more rows, in the file before this.")
	c.view(func(tx *store.Tx) error {
		list, err := tx.File(h[0].Files[0].Hash)
		if lines := strings.Count(string(list), "\n"); lines != 200 {
			t.Errorf("the file has %d lines", lines)
		}
		return err
	})
	if n := strings.Count(h.text(), "\n"); n > 40 {
		t.Errorf("%d lines are said", n)
	}
}

// TestSheetAndDaysAreAsked, one after the other, and can be gone back from.
func TestSheetAndDaysAreAsked(t *testing.T) {
	t.Parallel()
	c := talk(t)
	f := excelize.NewFile()
	for _, name := range []string{"Ropes", "Metal"} {
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for n, cells := range [][]any{{"Mark", "Family", "Made"}, {"X-" + name, "connector", "3/4/2024"}} {
			if err := f.SetSheetRow(name, fmt.Sprintf("A%d", n+1), &cells); err != nil {
				t.Fatal(err)
			}
		}
	}
	var out bytes.Buffer
	if err := f.Write(&out); err != nil {
		t.Fatal(err)
	}
	hash, _, err := c.db.PutBlob(t.Context(), &out, 10<<20)
	if err != nil {
		t.Fatal(err)
	}
	_, h := c.send(Message{From: "@ana", Files: []File{{Name: "all.xlsx", Hash: hash, Type: WorkbookType}}})
	c.wantSaid(h, "Which sheet of all.xlsx is the register?\n  a  Ropes\n  b  Metal")
	c.wantSaid(c.say("@ana", "", "b"), `all.xlsx, sheet Metal, row 2, column C (Made): "3/4/2024" can be read two ways.`)
	c.wantSaid(c.say("@ana", "", "b"), "row 2: X-Metal, to be taken in")
	c.wantSaid(c.say("@ana", "", "back"), "can be read two ways")
	c.wantSaid(c.say("@ana", "", "a"), "Take it in? yes or no.")
	c.wantSaid(c.say("@ana", "", "yes"), "Taken in: 1 of 1 rows.")
	c.view(func(tx *store.Tx) error {
		item, _, err := tx.Item(c.room, "X-Metal")
		if item.Made != (due.Date{Year: 2024, Month: 4, Day: 3}) {
			t.Errorf("made %s", item.Made)
		}
		return err
	})
}

// TestRegisterOutAndIn writes random registers as workbooks: in the same store they change nothing, and into an empty one they
// bring the same items again, held and retired as they were. BECKET_REGISTERS says how many (50).
func TestRegisterOutAndIn(t *testing.T) {
	t.Parallel()
	registers := 50
	if text := os.Getenv("BECKET_REGISTERS"); text != "" {
		var err error
		if registers, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	b := New(Options{Flows: library})
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	for seed := range registers {
		room, other := fmt.Sprint("!", seed), fmt.Sprint("!again", seed)
		held := randomRegister(t, db, room, rand.New(rand.NewPCG(uint64(seed), 7)))
		out := readBack(t, b, db, room)
		said, err := b.TakeRegister(t.Context(), db, room, out, table.Unsaid, false)
		if err != nil {
			t.Fatal(err)
		}
		for _, row := range said {
			if row.Changes || row.Refused {
				t.Fatalf("register %d, in the same store: %s", seed, row.What)
			}
		}
		named(t, db, other)
		if said, err = b.TakeRegister(t.Context(), db, other, out, table.Unsaid, false); err != nil || refusedIn(said) > 0 {
			t.Fatalf("register %d, in an empty store: %v, %v", seed, said, err)
		}
		again := readBack(t, b, db, other)
		if len(again.Rows) != len(out.Rows) {
			t.Fatalf("register %d: %d items of %d", seed, len(again.Rows), len(out.Rows))
		}
		for n, row := range out.Rows {
			for _, c := range table.Columns() {
				if c != table.Status && again.Rows[n].Cells[c] != row.Cells[c] {
					t.Fatalf("register %d, %s, %s: %q, and it was %q", seed, row.Cells[table.Mark], c, again.Rows[n].Cells[c], row.Cells[c])
				}
			}
		}
		heldAgain(t, db, other, held)
	}
	if faults, err := b.Verify(t.Context(), db); err != nil || len(faults) > 0 {
		t.Errorf("verify: %v, %v", faults, err)
	}
}

// readBack is a register once it was a workbook.
func readBack(t *testing.T, b *Bot, db *store.DB, room string) table.Table {
	t.Helper()
	rows, err := b.Register(t.Context(), db, room)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := table.WriteWorkbook(&out, rows); err != nil {
		t.Fatal(err)
	}
	back, err := table.Read(out.Bytes(), "", table.Large())
	if err != nil {
		t.Fatal(err)
	}
	return back
}

func named(t *testing.T, db *store.DB, room string) {
	t.Helper()
	err := db.Do(t.Context(), func(tx *store.Tx) error {
		_, err := tx.Append(room, "@ana", "$", store.TeamNamed{Name: "Été (invented)"})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// randomRegister fills a room, with holds, releases, corrections and things that were handed out, and tells what is held.
func randomRegister(t *testing.T, db *store.DB, room string, chance *rand.Rand) map[string]flows.Verdict {
	t.Helper()
	named(t, db, room)
	held := map[string]flows.Verdict{}
	pick := func(of ...string) string { return of[chance.IntN(len(of))] }
	err := db.Do(t.Context(), func(tx *store.Tx) (err error) {
		write := func(ev store.Event) (e store.Entry) {
			if err == nil {
				e, err = tx.Append(room, "@ana", "$", ev)
			}
			return e
		}
		for n := range 1 + chance.IntN(12) {
			item := store.Item{Item: flows.Item{Mark: fmt.Sprintf("%s%d", pick("K-", "Ö", "サ-", "x/", "é."), 100+n), Use: flows.People, Batch: pick("", "7", "0012")}}
			item.Flow, item.Maker, item.Model = pick("connector", "pulley", "cam-handle-descender"), pick("", "Northlight", "Ўзбек", "=1+1"), pick("", "Kittiwake", "+45", "-", "@x", "'q")
			item.Serial = pick("", "00", "1e", "=", "№ ", "日本", "7/") // and what makes it the only one
			if item.Serial != "" {
				item.Serial += strconv.Itoa(100 + n)
			}
			item.Holder, item.Place = pick("", "@isla", "@łukasz"), pick("", "rack 2", "a, \"b\"\nand; c", "🧗 store", "2024-03-05", "45356", "TRUE")
			item.Made = [...]due.Date{{}, {Year: 2019}, {Year: 2020, Month: 2}, {Year: 2020, Month: 2, Day: 29}}[chance.IntN(4)]
			item.FirstUse = [...]due.Date{{}, {Year: 2021}, {Year: 2021, Month: 7, Day: 1}}[chance.IntN(3)]
			item.Bought = [...]due.Date{{}, {Year: 2020, Month: 12, Day: 31}}[chance.IntN(2)]
			item.IntervalMonths, item.LifeMadeYears, item.LifeUseYears = 6*chance.IntN(3), 10*chance.IntN(2), 5*chance.IntN(3)
			item.Examined = pick("", "never", "2025-11-30", "2025")
			write(store.ItemTaken{Item: item})
			if chance.IntN(4) == 0 {
				write(lifeHold(item.Mark))
				held[item.Mark] = flows.Quarantine
			}
			for range chance.IntN(3) {
				verdict := [...]flows.Verdict{flows.Quarantine, flows.Retire}[chance.IntN(2)]
				e := write(store.HoldPlaced{Mark: item.Mark, Verdict: verdict, Why: "it is so", Source: store.Reported})
				if verdict == flows.Quarantine && chance.IntN(2) == 0 {
					write(store.HoldReleased{Mark: item.Mark, Hold: e.Seq, Statement: "cleaned, and inspected"})
					continue
				}
				held[item.Mark] = max(held[item.Mark], verdict)
			}
			switch chance.IntN(4) {
			case 0:
				write(store.GoodsOnly{Mark: item.Mark, Why: "marked for goods"})
			case 1:
				write(store.ItemDetailed{Mark: item.Mark, Bought: due.Date{Year: 2021, Month: 1, Day: 2}, Examined: "2025-12-24"})
			case 2:
				write(store.Issued{Mark: item.Mark, To: "@isla", For: flows.People})
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return held
}

// heldAgain tells where an item of a room isn't held as it should be.
func heldAgain(t *testing.T, db *store.DB, room string, want map[string]flows.Verdict) {
	t.Helper()
	err := db.View(t.Context(), func(tx *store.Tx) error {
		items, err := tx.Items(room)
		for _, item := range items {
			holds, err := tx.Standing(room, item.Mark)
			if err != nil {
				return err
			}
			worst := flows.Fit
			for _, h := range holds {
				worst = max(worst, h.Verdict)
			}
			if wanted := max(want[item.Mark], flows.Fit); worst != wanted {
				t.Errorf("%s %s is %s; it was %s", room, item.Mark, worst, wanted)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}
