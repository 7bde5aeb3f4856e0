package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"becket/flows"
)

// someText is what people, and machines, may have typed.
func someText(chance *rand.Rand) string {
	all := []string{"creaks", "Fußschlinge 11 mm", "опора", "緊急", "مرساة", "e\u0301 é", "\u2028\u0000\\\"</script>", "🧗🏽‍♀️", "", " two\nlines\t", "=1+1", "\ufeff"}
	return all[chance.IntN(len(all))]
}

// someRegister fills a database with a team, items, holds, releases, photos and words that are deleted again.
func someRegister(t *testing.T, db *DB, seed uint64) {
	t.Helper()
	chance := rand.New(rand.NewPCG(seed, 1))
	var notes, held []int64
	do(t, db, func(tx *Tx) error {
		add := func(ev Event) error {
			e, err := tx.Append("!yard"+someText(chance), "@"+someText(chance), "$"+someText(chance), ev)
			switch ev.(type) {
			case Noted:
				notes = append(notes, e.Seq)
			case HoldPlaced:
				held = append(held, e.Seq)
			}
			return err
		}
		for n := range 5 + chance.IntN(25) {
			mark := fmt.Sprintf("P-%d-%d", seed, n)
			events := []Event{
				TeamNamed{Name: someText(chance), Origin: "test"},
				ItemTaken{Item{Flow: "pulley", Maker: someText(chance), Item: flows.Item{Mark: mark, Serial: someText(chance)}}},
				HoldPlaced{Mark: mark, Verdict: flows.Quarantine, Why: someText(chance)},
				Noted{Mark: mark, Text: "n" + someText(chance)},
			}
			if len(held) > 0 {
				events = append(events, HoldReleased{Mark: mark, Hold: held[chance.IntN(len(held))], Statement: someText(chance)})
			}
			if chance.IntN(4) == 0 {
				hash, size, err := tx.KeepFile([]byte(fmt.Sprint(chance.Uint64())))
				if err != nil {
					return err
				}
				events = append(events, Photographed{Mark: mark, Hash: hash, Size: size})
			}
			if err := add(events[chance.IntN(len(events))]); err != nil {
				return err
			}
		}
		script := []byte("title: " + someText(chance))
		sum := sha256.Sum256(script)
		return tx.KeepFlow(hex.EncodeToString(sum[:]), script)
	})
	for _, seq := range notes[:len(notes)/2] {
		do(t, db, func(tx *Tx) error {
			e, _, err := tx.Entry(seq)
			if err != nil {
				return err
			}
			ev, err := e.Event()
			if err != nil {
				return err
			}
			left := *ev.(*Noted)
			left.Text = Blank
			return tx.Blank(e, e.By, "$delete", left)
		})
	}
}

// plain opens a record with the program's own tables.
func plain(t *testing.T, file string) *DB {
	t.Helper()
	db, err := Open(t.Context(), file, atNine)
	if err != nil {
		t.Fatal(err)
	}
	return db
}

// proof refuses a record that isn't what was written.
func proof(t *testing.T) func(*DB) error {
	return func(db *DB) error {
		faults, err := db.Verify(t.Context(), Projected(), nil)
		if err == nil && len(faults) > 0 {
			err = fmt.Errorf("%v", faults)
		}
		return err
	}
}

// writtenOut writes a database out, photos in a folder beside.
func writtenOut(t *testing.T, db *DB) (text []byte, photos string) {
	t.Helper()
	var out bytes.Buffer
	photos = filepath.Join(t.TempDir(), "photos")
	if _, faults, err := db.Export(t.Context(), &out, photos); err != nil || len(faults) > 0 {
		t.Fatalf("%v, %v", faults, err)
	}
	return out.Bytes(), photos
}

// TestExportReadBackIsTheSame writes random registers out, five to a record, and reads them back: the same file comes of them
// again, to the byte, every entry with its hash. BECKET_EXPORTS says how many (50).
func TestExportReadBackIsTheSame(t *testing.T) {
	const together = 5
	registers := 50
	if text := os.Getenv("BECKET_EXPORTS"); text != "" {
		var err error
		if registers, err = strconv.Atoi(text); err != nil {
			t.Fatal(err)
		}
	}
	checks := schemaOf(t)
	for seed := 0; seed < registers; seed += together {
		folder := t.TempDir()
		db := plain(t, filepath.Join(folder, "a.db"))
		for n := range together {
			someRegister(t, db, uint64(seed+n))
		}
		text, photos := writtenOut(t, db)
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
		again := filepath.Join(folder, "b.db")
		later := func() time.Time { return atNine().Add(time.Hour) }
		if _, made, err := ReadExport(t.Context(), bytes.NewReader(text), photos, again, later, proof(t)); err != nil || !made.Equal(atNine()) {
			t.Fatalf("record %d: %v, %v", seed, made, err)
		}
		back := plain(t, again)
		second, theirs := writtenOut(t, back)
		if err := back.Close(); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(text, second) {
			t.Fatalf("record %d comes back otherwise:\n%s\n%s", seed, text, second)
		}
		if a, b := names(t, photos), names(t, theirs); !slices.Equal(a, b) {
			t.Errorf("record %d has the photos %v, and read back %v", seed, a, b)
		}
		var any any
		if err := errors.Join(json.Unmarshal(text, &any), checks.Validate(any)); err != nil {
			t.Errorf("record %d isn't what the schema says: %v", seed, err)
		}
		if left, _ := filepath.Glob(filepath.Join(folder, "*.part*")); len(left) > 0 {
			t.Errorf("left are %v", left)
		}
	}
}

func names(t *testing.T, folder string) (all []string) {
	t.Helper()
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		all = append(all, f.Name())
	}
	return all
}

func schemaOf(t *testing.T) *jsonschema.Schema {
	t.Helper()
	text, err := ExportSchema()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("export.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("export.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestExportThatWasChangedIsNotTaken changes what was written out, and nothing is left of it.
func TestExportThatWasChangedIsNotTaken(t *testing.T) {
	folder := t.TempDir()
	db := plain(t, filepath.Join(folder, "a.db"))
	defer db.Close()
	for seed := range uint64(3) {
		someRegister(t, db, seed)
	}
	text, photos := writtenOut(t, db)
	file := filepath.Join(folder, "b.db")
	refused := func(what string, text []byte, photos string) {
		t.Helper()
		_, _, err := ReadExport(t.Context(), bytes.NewReader(text), photos, file, atNine, proof(t))
		if err == nil {
			t.Errorf("%s: it was taken", what)
		}
		if left, _ := filepath.Glob(file + "*"); len(left) > 0 {
			t.Fatalf("%s: left are %v", what, left)
		}
	}
	lines := strings.SplitAfter(string(text), "\n")
	at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, `{"seq":4,`) })
	without := func(n int) []byte { return []byte(strings.Join(slices.Delete(slices.Clone(lines), n, n+1), "")) }
	refused("an entry left out", without(at), photos)
	refused("another word", bytes.Replace(text, []byte(`\"origin\":\"test\"`), []byte(`\"origin\":\"text\"`), 1), photos)
	refused("another room", bytes.Replace(text, []byte(`"room":"!yard`), []byte(`"room":"!yarn`), 1), photos)
	refused("an unknown key", bytes.Replace(text, []byte(`{"seq":4,`), []byte(`{"hold":1,"seq":4,`), 1), photos)
	refused("another form", bytes.Replace(text, []byte(`"becket_export":1`), []byte(`"becket_export":2`), 1), photos)
	refused("something after it", append(slices.Clone(text), "{}"...), photos)
	refused("no photos", text, t.TempDir())
	refused("a photo elsewhere", bytes.Replace(text, []byte(`{"hash":"`), []byte(`{"hash":"../`), 1), photos)
	for range 5 {
		refused("cut off", text[:rand.IntN(len(text)-4)], photos)
	}
	some := names(t, photos)
	if err := os.WriteFile(filepath.Join(photos, some[0]), []byte("another picture"), 0o600); err != nil {
		t.Fatal(err)
	}
	refused("another photo", text, photos)
}

// TestExportIsNotReadOverARecord: only into a file in which nothing was ever entered.
func TestExportIsNotReadOverARecord(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "a.db")
	db := plain(t, file)
	empty, photos := writtenOut(t, db)
	take := func() error {
		_, _, err := ReadExport(t.Context(), bytes.NewReader(empty), photos, file, atNine, proof(t))
		return err
	}
	if err := take(); err == nil {
		t.Error("it was read over a file in use")
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := take(); err != nil {
		t.Errorf("an empty file isn't taken: %v", err)
	}
	db = plain(t, file)
	someRegister(t, db, 1)
	var was [32]byte
	view(t, db, func(tx *Tx) (err error) { _, was, err = tx.Head(); return err })
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	if err := take(); err == nil || !strings.Contains(err.Error(), "has a record in it already") {
		t.Errorf("it was read over a record: %v", err)
	}
	db = plain(t, file)
	defer db.Close()
	view(t, db, func(tx *Tx) error {
		if _, is, err := tx.Head(); err != nil || is != was {
			t.Errorf("the record ends with %s: %v", hex.EncodeToString(is[:]), err)
		}
		return nil
	})
}
