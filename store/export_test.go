package store

import (
	"bytes"
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
)

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
		tables := registerOf(t, db)
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
		for table, rows := range registerOf(t, back) {
			if !slices.Equal(rows, tables[table]) {
				t.Errorf("record %d, table %s comes back otherwise:\n%s\n%s", seed, table, tables[table], rows)
			}
		}
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

// registerOf is every row of every table that follows from the journal, table by table.
func registerOf(t *testing.T, db *DB) map[string][]string {
	t.Helper()
	all := map[string][]string{}
	view(t, db, func(tx *Tx) error {
		for _, table := range Projected() {
			all[table] = nil
			query, _, err := tx.conn.inOrder(table)
			if err != nil {
				return err
			}
			w, err := tx.conn.walk(query)
			for err == nil && w.row != nil {
				all[table] = append(all[table], fmt.Sprintf("%q", w.row))
				err = w.next()
			}
			if err = errors.Join(err, w.rows.Close()); err != nil {
				return err
			}
		}
		return nil
	})
	return all
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
