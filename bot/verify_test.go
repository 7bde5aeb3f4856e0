package bot

import (
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// record is a database with a real conversation in it, and a second handle on the file without the triggers that
// refuse changes: what somebody with a copy of the file could do.
type record struct {
	t    *testing.T
	bot  *Bot
	db   *store.DB
	file string
	n    int // messages
}

// told holds a conversation: one inspection that ends usable, one with findings that ends in retirement, a fault
// reported, notes and a photo.
func told(t *testing.T) *record {
	t.Helper()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	seed := uint64(1)
	r := &record{t: t, bot: New(Options{Flows: library, Seed: &seed}), file: filepath.Join(t.TempDir(), "becket.db")}
	now := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	r.db, err = store.Open(t.Context(), r.file, func() time.Time { now = now.Add(time.Second); return now })
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := r.db.Close(); err != nil {
			t.Error(err)
		}
	})
	text, err := os.ReadFile("../testdata/demo-team.yaml")
	if err != nil {
		t.Fatal(err)
	}
	team, err := ParseTeamFile(text)
	if err != nil {
		t.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Import(tx, team, "demo") })
	r.inspect("D-07", "", nil)
	r.say("@isla", "", "quarantine D-02 rope creeps when I stop")
	r.inspect("D-09", "note came back wet from the gully", func(o []flows.Option) string { return key(len(o) - 1) })
	return r
}

func (r *record) do(fn func(*store.Tx) error) {
	r.t.Helper()
	if err := r.db.Do(r.t.Context(), fn); err != nil {
		r.t.Fatal(err)
	}
}

// say takes a message. Its id is given, by which its thread is named too.
func (r *record) say(from, thread, text string, files ...File) string {
	r.t.Helper()
	r.n++
	m := Message{ID: fmt.Sprint("$", r.n), Room: "!here", Thread: thread, From: from, Text: text, Files: files}
	if _, err := r.db.Receive(r.t.Context(), "test", []store.Incoming{{ID: m.ID, Room: m.Room, Body: []byte(inJSON(m))}}, ""); err != nil {
		r.t.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Take(tx, m) })
	return m.ID
}

// inspect goes through an inspection from its first word to the signature. found answers the questions after the
// first two for findings; nil finds nothing.
func (r *record) inspect(mark, note string, found func([]flows.Option) string) {
	r.t.Helper()
	thread := r.say("@me", "", "inspect "+mark)
	for n := range 60 {
		i := r.inspection(thread)
		q, open := i.next()
		if !open {
			r.say("@me", thread, "sign "+i.outcome().Verdict.String())
			return
		}
		if n == 3 && note != "" {
			r.say("@me", thread, note)
		}
		switch {
		case q.Kind == flows.KindPhoto:
			hash, size, err := r.db.PutBlob(r.t.Context(), strings.NewReader("a picture"), 100)
			if err != nil {
				r.t.Fatal(err)
			}
			r.say("@me", thread, "", File{Name: "a.png", Hash: hash, Type: "image/png", Size: size})
		case q.Expect != "":
			r.say("@me", thread, q.Expect)
		case n > 3 && found != nil && q.Kind == flows.KindChecks:
			r.say("@me", thread, found(q.Options))
		case q.Kind == flows.KindChecks, q.Kind == flows.KindCritical:
			r.say("@me", thread, clearWord)
		case q.Kind == flows.KindChoice:
			r.say("@me", thread, "a")
		case q.Steps[0] == "measure.wear_pin":
			r.say("@me", thread, "8.00 7.99 8.00")
		case q.Steps[0] == "measure.cam_groove":
			r.say("@me", thread, "0.04 0.05 0.04")
		case q.Kind == flows.KindReading:
			r.say("@me", thread, "can't tell because the caliper is away")
		default:
			r.say("@me", thread, "left plate by the hole, 0.6 mm")
		}
	}
	r.t.Fatalf("no end to the inspection of %s", mark)
}

func (r *record) inspection(id string) (i *inspection) {
	r.t.Helper()
	err := r.db.View(r.t.Context(), func(tx *store.Tx) error {
		row, _, err := tx.Inspection(id)
		if err != nil {
			return err
		}
		i, err = r.bot.load(tx, row)
		return err
	})
	if err != nil {
		r.t.Fatal(err)
	}
	return i
}

// entries is the whole journal; the entry with the number 1 comes first.
func (r *record) entries() (all []store.Entry) {
	r.t.Helper()
	err := r.db.View(r.t.Context(), func(tx *store.Tx) (err error) {
		all, err = tx.EntriesAfter(0, 1_000_000)
		return err
	})
	if err != nil {
		r.t.Fatal(err)
	}
	return all
}

// faults verifies with a Bot that has seen nothing yet.
func (r *record) faults() []store.Fault {
	r.t.Helper()
	faults, err := New(Options{}).Verify(r.t.Context(), r.db)
	if err != nil {
		r.t.Fatal(err)
	}
	return faults
}

// unguarded opens a copy of the record and a raw handle on it, where everything may be changed.
func (r *record) unguarded() (*record, *sql.DB) {
	r.t.Helper()
	file := filepath.Join(r.t.TempDir(), "copy.db")
	if err := r.db.Backup(r.t.Context(), file); err != nil {
		r.t.Fatal(err)
	}
	db, err := store.Open(r.t.Context(), file, time.Now)
	if err != nil {
		r.t.Fatal(err)
	}
	raw, err := sql.Open("sqlite", "file:"+file)
	if err != nil {
		r.t.Fatal(err)
	}
	r.t.Cleanup(func() {
		if err := raw.Close(); err != nil {
			r.t.Error(err)
		}
		if err := db.Close(); err != nil {
			r.t.Error(err)
		}
	})
	c := &record{t: r.t, bot: r.bot, db: db, file: file}
	for _, name := range []string{"journal_is_never_changed", "journal_is_never_shortened", "journal_grows_by_one"} {
		c.exec(raw, `DROP TRIGGER `+name)
	}
	c.exec(raw, `DROP INDEX journal_photo`) // it reads what it is about to refuse
	return c, raw
}

func (r *record) exec(raw *sql.DB, query string, args ...any) {
	r.t.Helper()
	if _, err := raw.ExecContext(r.t.Context(), query, args...); err != nil {
		r.t.Fatalf("%s: %v", query, err)
	}
}

// with gives a copy of the test's record to each of its parts.
func (r *record) with(t *testing.T) *record {
	c := *r
	c.t = t
	return &c
}

func TestVerifyFindsNothingInARealConversation(t *testing.T) {
	r := told(t)
	for _, f := range r.faults() {
		t.Error(f)
	}
	verdicts := map[string]bool{}
	for _, e := range r.entries() {
		ev, err := e.Event()
		if err != nil {
			t.Fatal(err)
		}
		if s, ok := ev.(*store.Signed); ok {
			verdicts[s.Verdict.String()] = true
		}
	}
	if !verdicts["fit"] || !verdicts["retire"] {
		t.Errorf("the tests below need a record with fit and retire in it; it has %v", verdicts)
	}
}

// TestVerifyNamesEveryChangedByte changes one byte of one row of the journal at a time. By hand: BECKET_FLIPS=1000
// for more of them, BECKET_SEED for the ones of an earlier run.
func TestVerifyNamesEveryChangedByte(t *testing.T) {
	flips, seed := numberFrom(t, "BECKET_FLIPS", 100), numberFrom(t, "BECKET_SEED", rand.Uint64()>>1)
	t.Logf("%d flips, seed %d", flips, seed)
	chance := rand.New(rand.NewPCG(seed, 0))
	r, raw := told(t).unguarded()
	last := len(r.entries())
	columns := []string{"at", "room", "subject", "kind", "by_whom", "cause", "body", "hash"}
	for n := range int(flips) {
		seq, column := chance.IntN(last)+1, columns[n%len(columns)]
		var before any
		if err := raw.QueryRow(`SELECT `+column+` FROM journal WHERE seq = ?`, seq).Scan(&before); err != nil {
			t.Fatal(err)
		}
		after := otherByte(chance, before)
		r.exec(raw, `UPDATE journal SET `+column+` = ? WHERE seq = ?`, after, seq)
		var named []int64
		for _, f := range r.faults() {
			if strings.Contains(f.What, "hash don't agree") {
				named = append(named, f.Seq)
			}
		}
		if !slices.Equal(named, []int64{int64(seq)}) {
			t.Errorf("%s of entry %d changed from %q to %q: named were %v", column, seq, before, after, named)
		}
		r.exec(raw, `UPDATE journal SET `+column+` = ? WHERE seq = ?`, before, seq)
	}
	for _, f := range r.faults() {
		t.Errorf("all put back: %v", f)
	}
}

func numberFrom(t *testing.T, variable string, otherwise uint64) uint64 {
	t.Helper()
	text := os.Getenv(variable)
	if text == "" {
		return otherwise
	}
	n, err := strconv.ParseUint(text, 10, 63)
	if err != nil {
		t.Fatalf("%s: %v", variable, err)
	}
	return n
}

// otherByte changes one byte of a value to another. An empty text gets one.
func otherByte(chance *rand.Rand, value any) any {
	spoil := func(b []byte) []byte {
		if len(b) == 0 {
			return []byte{byte(chance.IntN(256))}
		}
		b = slices.Clone(b)
		b[chance.IntN(len(b))] ^= byte(chance.IntN(255) + 1)
		return b
	}
	switch v := value.(type) {
	case int64:
		return v ^ int64(chance.IntN(255)+1)<<(8*chance.IntN(8))
	case string:
		return string(spoil([]byte(v)))
	default:
		return spoil(v.([]byte))
	}
}

func TestVerifyNamesAChangedRegister(t *testing.T) {
	r := told(t)
	for _, c := range []struct{ name, change, want string }{
		{"a hold deleted", `DELETE FROM hold WHERE mark = 'D-02'`, "table hold"},
		{"a hold released", `UPDATE hold SET released = 1 WHERE mark = 'D-02'`, "table hold"},
		{"a hold made milder", `UPDATE hold SET verdict = 'quarantine' WHERE verdict = 'retire'`, "table hold"},
		{"an item changed", `UPDATE item SET body = replace(body, '22-1180', '22-1181') WHERE mark = 'D-07'`, "table item, !here, D-07"},
		{"an item gone", `DELETE FROM item WHERE mark = 'D-11'`, "table item, !here, D-11"},
		{"an item of nobody's", `INSERT INTO item SELECT room, 'D-99', flow, maker, model, serial, body FROM item WHERE mark = 'D-07'`, "table item, !here, D-99"},
		{"a verdict changed", `UPDATE inspection SET verdict = 'fit' WHERE verdict = 'retire'`, "table inspection"},
		{"a keeper made", `UPDATE person SET body = (SELECT body FROM person WHERE id = '@me') WHERE id = '@isla'`, "table person, !here, @isla"},
		{"a limit widened", `UPDATE sheet SET body = replace(body, '7.50', '6.50')`, "table sheet, !here, Skerry Works, Dunlin"},
		{"a doubt halved", `UPDATE instrument SET body = replace(body, '0.04', '0.02')`, "table instrument, !here, C-2"},
		{"a team renamed", `UPDATE team SET name = 'another'`, "table team, !here"},
		{"a script changed", `UPDATE flow SET text = replace(text, 'a crack however short', 'a long crack')`, "was changed"},
		{"a script gone", `DELETE FROM flow`, "isn't kept here"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, raw := r.with(t).unguarded()
			result, err := raw.Exec(c.change)
			if err != nil {
				t.Fatal(err)
			}
			if n, err := result.RowsAffected(); err != nil || n == 0 {
				t.Fatalf("nothing was changed, %v", err)
			}
			if faults := r.faults(); !names(faults, 0, c.want) {
				t.Errorf("named were %v", faults)
			}
		})
	}
}

// names tells whether one of the faults says so, of the entry with this number where one is given.
func names(faults []store.Fault, seq int64, words string) bool {
	return slices.ContainsFunc(faults, func(f store.Fault) bool {
		return strings.Contains(f.String(), words) && (seq == 0 || f.Seq == seq)
	})
}

// TestVerifyJudgesAgain is about an insider: somebody who changes an entry, every hash after it, and the register to
// match. The chain is whole then; only judging again finds it.
func TestVerifyJudgesAgain(t *testing.T) {
	r := told(t)
	for _, c := range []struct {
		name   string
		change func(t *testing.T, all []store.Entry) (changed []store.Entry, seq int64)
		want   string
	}{
		{"the outcome made fit", outcomeMadeFit, "judged again it is retire"},
		{"the signature made milder", signedMilder, "milder than the rules"},
		{"a finding answered clear", findingMadeClear, "judged again"},
		{"readings beyond the limit", readingsMadeWorse, "judged again it is retire"},
		{"an answer taken out", answerTakenOut, "judged again it is incomplete"},
		{"a hold taken out", holdTakenOut, "placed no hold"},
		{"an answer that the script doesn't know", unknownFinding, "doesn't take"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, raw := r.with(t).unguarded()
			changed, seq := c.change(t, r.entries())
			r.rebuild(raw, changed)
			faults := r.faults()
			if names(faults, 0, "hash") || names(faults, 0, "in the register") {
				t.Errorf("the insider left a trace, so this tests nothing: %v", faults)
			}
			if !names(faults, seq, c.want) {
				t.Errorf("entry %d isn't named with %q: %v", seq, c.want, faults)
			}
		})
	}
}

// entryOf is the index of the last entry that fits, with its body.
func entryOf(t *testing.T, all []store.Entry, fits func(store.Event) bool) int {
	t.Helper()
	for n := len(all) - 1; n >= 0; n-- {
		ev, err := all[n].Event()
		if err != nil {
			t.Fatal(err)
		}
		if fits(ev) {
			return n
		}
	}
	t.Fatal("there is no such entry")
	return 0
}

func signs(v flows.Verdict) func(store.Event) bool {
	return func(ev store.Event) bool {
		s, ok := ev.(*store.Signed)
		return ok && s.Verdict == v
	}
}

// edited replaces a text in one entry's body.
func edited(t *testing.T, all []store.Entry, n int, old, new string) []store.Entry {
	t.Helper()
	all = slices.Clone(all)
	body := string(all[n].Body)
	if !strings.Contains(body, old) {
		t.Fatalf("entry %d has no %s: %s", all[n].Seq, old, body)
	}
	all[n].Body = []byte(strings.Replace(body, old, new, 1))
	return all
}

func outcomeMadeFit(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	n := entryOf(t, all, signs(flows.Retire))
	var s map[string]any
	if err := json.Unmarshal(all[n].Body, &s); err != nil {
		t.Fatal(err)
	}
	s["verdict"] = "fit"
	s["outcome"].(map[string]any)["verdict"] = "fit"
	s["outcome"].(map[string]any)["rules"] = []any{}
	all = slices.Clone(all)
	all[n].Body = []byte(inJSON(s))
	return all, all[n].Seq
}

func signedMilder(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	n := entryOf(t, all, signs(flows.Retire))
	return edited(t, all, n, `"verdict":"retire"`, `"verdict":"watch"`), all[n].Seq
}

func findingMadeClear(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	n := entryOf(t, all, func(ev store.Event) bool {
		a, ok := ev.(*store.Answered)
		return ok && len(a.Findings) > 0
	})
	ev, err := all[n].Event()
	if err != nil {
		t.Fatal(err)
	}
	findings := `"findings":` + inJSON(ev.(*store.Answered).Findings)
	return edited(t, all, n, findings, `"clear":true`), all[entryOf(t, all, signs(flows.Retire))].Seq
}

// readingsMadeWorse puts the readings of the usable inspection beyond the limit of their sheet, which is 1.0 mm.
func readingsMadeWorse(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	sign := entryOf(t, all, signs(flows.Fit))
	n := entryOf(t, all[:sign], func(ev store.Event) bool {
		a, ok := ev.(*store.Answered)
		return ok && a.Step == "measure.cam_groove"
	})
	return edited(t, all, n, `"readings":["0.04","0.05","0.04"]`, `"readings":["1.04","1.05","1.04"]`), all[sign].Seq
}

func answerTakenOut(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	sign := entryOf(t, all, signs(flows.Fit))
	n := entryOf(t, all[:sign], func(ev store.Event) bool {
		a, ok := ev.(*store.Answered)
		return ok && a.Step == "look.cam"
	})
	return slices.Delete(slices.Clone(all), n, n+1), all[sign].Seq - 1
}

func holdTakenOut(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	n := entryOf(t, all, func(ev store.Event) bool {
		h, ok := ev.(*store.HoldPlaced)
		return ok && h.Rule != ""
	})
	return slices.Delete(slices.Clone(all), n, n+1), all[entryOf(t, all, signs(flows.Retire))].Seq - 1
}

func unknownFinding(t *testing.T, all []store.Entry) ([]store.Entry, int64) {
	n := entryOf(t, all, func(ev store.Event) bool {
		a, ok := ev.(*store.Answered)
		return ok && len(a.Findings) > 0
	})
	ev, err := all[n].Event()
	if err != nil {
		t.Fatal(err)
	}
	findings := inJSON(ev.(*store.Answered).Findings)
	return edited(t, all, n, findings, `["no-such"]`), all[n].Seq
}

// rebuild writes a journal with numbers and hashes that fit, and the register that follows from it: it lets an empty
// database take every event, as the program itself would.
func (r *record) rebuild(raw *sql.DB, all []store.Entry) {
	r.t.Helper()
	r.exec(raw, `DELETE FROM journal`)
	var previous [sha256.Size]byte
	for n := range all {
		e := &all[n]
		e.Seq = int64(n + 1)
		e.Hash = chainedTo(previous, *e)
		previous = e.Hash
		r.exec(raw, `INSERT INTO journal (seq, at, room, subject, kind, by_whom, cause, body, hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
			e.Seq, e.At.UnixMicro(), e.Room, e.Subject, e.Kind, e.By, e.Cause, e.Body, e.Hash[:])
	}
	r.exec(raw, `UPDATE sqlite_sequence SET seq = ? WHERE name = 'journal'`, len(all))
	r.reproject(raw, all)
}

// reproject copies the register's tables from a database that took the changed events.
func (r *record) reproject(raw *sql.DB, all []store.Entry) {
	r.t.Helper()
	file := filepath.Join(r.t.TempDir(), "forged.db")
	now := time.Time{}
	forged, err := store.Open(r.t.Context(), file, func() time.Time { return now })
	if err != nil {
		r.t.Fatal(err)
	}
	for _, e := range all {
		ev, err := e.Event()
		if err != nil {
			r.t.Fatal(err)
		}
		now = e.At
		err = forged.Do(r.t.Context(), func(tx *store.Tx) error {
			_, err := tx.Append(e.Room, e.By, e.Cause, ev)
			return err
		})
		if err != nil {
			r.t.Fatal(err)
		}
	}
	if err := forged.Close(); err != nil {
		r.t.Fatal(err)
	}
	raw.SetMaxOpenConns(1) // ATTACH holds for one connection
	r.exec(raw, `ATTACH ? AS forged`, file)
	for _, table := range store.Projected() {
		r.exec(raw, `DELETE FROM main.`+table)
		r.exec(raw, `INSERT INTO main.`+table+` SELECT * FROM forged.`+table)
	}
	r.exec(raw, `DETACH forged`)
}

// chainedTo is the chain's hash as the journal's description gives it, written a second time: sha256 over each field
// with its length as 8 bytes before it, numbers as 8 bytes, big end first.
func chainedTo(previous [sha256.Size]byte, e store.Entry) [sha256.Size]byte {
	number := func(n int64) string { return string(binary.BigEndian.AppendUint64(nil, uint64(n))) }
	var text strings.Builder
	for _, field := range []string{
		string(previous[:]), number(e.Seq), number(e.At.UnixMicro()), e.Room, e.Subject, e.Kind, e.By, e.Cause, string(e.Body),
	} {
		text.WriteString(number(int64(len(field))) + field)
	}
	return sha256.Sum256([]byte(text.String()))
}
