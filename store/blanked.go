package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// Blank stands where somebody's words were, once they have deleted them.
const Blank = "(deleted)"

// Blanked says that the words of an entry were taken out because their author deleted them. The entry keeps its place in
// the chain: its hash stays as it was written, and Row tells from now on whether the rest is what was left of it.
type Blanked struct {
	Entry int64  `json:"entry"`
	Hash  string `json:"hash"` // the entry's own, in hex
	Row   string `json:"row"`  // over all fields of the entry as it was left, and its hash; in hex
}

const (
	kindBlanked    = "blank"
	subjectBlanked = "entry:"
)

func (Blanked) Kind() string      { return kindBlanked }
func (b Blanked) Subject() string { return subjectBlanked + strconv.FormatInt(b.Entry, 10) }

// apply blanks what the register shows of the words. The entry itself was blanked with Blank.
func (b Blanked) apply(tx *Tx, _ Entry) error {
	return tx.put(`UPDATE hold SET why = ? WHERE n = ?`, Blank, b.Entry)
}

// Blank takes the words out of an entry: left is its event without them. It is the only way in which an entry changes.
func (tx *Tx) Blank(e Entry, by, cause string, left Event) error {
	body, err := json.Marshal(left)
	if err != nil {
		return tx.fail(fmt.Errorf("what is left of the %s can't be written down: %w", e.Kind, err))
	}
	if left.Kind() != e.Kind || left.Subject() != e.Subject {
		return tx.fail(fmt.Errorf("a %s about %s can't be what is left of a %s about %s", left.Kind(), left.Subject(), e.Kind, e.Subject))
	}
	e.Body = body
	row := e.row()
	if _, err := tx.Append(e.Room, by, cause, Blanked{Entry: e.Seq, Hash: hex.EncodeToString(e.Hash[:]), Row: hex.EncodeToString(row[:])}); err != nil {
		return err
	}
	return tx.put(`UPDATE journal SET body = ? WHERE seq = ?`, e.Body, e.Seq)
}

// row is a hash over all of an entry as it stands, its own hash included.
func (e Entry) row() [sha256.Size]byte { return e.hashAfter(e.Hash) }

// ForgetMessage drops what is left of a message in transit, once it is taken: its own text, and the replies to it that have
// been delivered.
func (tx *Tx) ForgetMessage(message string) error {
	if err := tx.put(`UPDATE inbox SET body = NULL WHERE id = ? AND state <> ?`, message, stateNew); err != nil {
		return err
	}
	return tx.put(`UPDATE outbox SET body = NULL WHERE cause = ? AND sent IS NOT NULL`, message)
}

// Unwanted marks a photo for removal. Its file goes with RemoveUnwanted, unless something still speaks of it then.
func (tx *Tx) Unwanted(hash string) error {
	return tx.put(`INSERT INTO unwanted (hash) VALUES (?) ON CONFLICT DO NOTHING`, hash)
}

// RemoveUnwanted removes the files of photos that are marked for it. No photo may be on its way between PutBlob and
// Receive meanwhile: it could be the same one.
func (db *DB) RemoveUnwanted(ctx context.Context) error {
	var marked []string
	err := db.View(ctx, func(tx *Tx) (err error) {
		marked, err = tx.conn.texts(`SELECT hash FROM unwanted ORDER BY hash`)
		return err
	})
	if err != nil || len(marked) == 0 {
		return err
	}
	return db.Do(ctx, func(tx *Tx) error {
		for _, hash := range marked {
			if err := tx.removePhoto(hash); err != nil {
				return err
			}
		}
		return nil
	})
}

func (tx *Tx) removePhoto(hash string) error {
	var spoken, leaving bool
	_, err := tx.get(`SELECT EXISTS (SELECT 1 FROM journal WHERE instr(body, CAST(?1 AS BLOB))) OR
			EXISTS (SELECT 1 FROM inbox WHERE state = ?2 AND instr(body, CAST(?1 AS BLOB))),
		EXISTS (SELECT 1 FROM outbox WHERE sent IS NULL AND instr(body, CAST(?1 AS BLOB))) OR
			EXISTS (SELECT 1 FROM dialogue WHERE instr(body, CAST(?1 AS BLOB)))`, []any{hash, stateNew}, &spoken, &leaving)
	if err != nil || leaving && !spoken { // it goes once the reply has gone, or what was half typed is done
		return err
	}
	if file := filepath.Join(tx.db.photoFolder(), hash); !spoken {
		if err := tx.db.removeSmall(hash); err != nil {
			return err
		}
		if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return inPlainWords(file, err)
		}
	}
	return tx.put(`DELETE FROM unwanted WHERE hash = ?`, hash)
}

// blanking is what a Blanked entry says, as far as it can be read.
type blanking struct {
	by   int64 // its own number
	hash [sha256.Size]byte
	row  [sha256.Size]byte
	// whole: it is what was written, as far as the entry before it tells.
	whole bool
}

// blankings are the entries that were blanked, by number. An entry that says so is known by its kind or by its subject,
// so that a change to one of them hides nothing.
func (tx *Tx) blankings() (map[int64]blanking, error) {
	entries, err := tx.entries(`WHERE kind = ? OR subject LIKE ? ORDER BY seq`, kindBlanked, subjectBlanked+"%")
	if err != nil {
		return nil, err
	}
	of := map[int64]blanking{}
	for _, e := range entries {
		before, found, err := tx.Entry(e.Seq - 1)
		if err != nil {
			return nil, err
		}
		b := blanking{by: e.Seq, whole: found && e.hashAfter(before.Hash) == e.Hash}
		var said Blanked
		if json.Unmarshal(e.Body, &said) == nil {
			_, _ = hex.Decode(b.hash[:], []byte(said.Hash)[:min(len(said.Hash), 2*sha256.Size)]) // what can't be read fits nothing
			_, _ = hex.Decode(b.row[:], []byte(said.Row)[:min(len(said.Row), 2*sha256.Size)])
		}
		for _, n := range []string{strings.TrimPrefix(e.Subject, subjectBlanked), strconv.FormatInt(said.Entry, 10)} {
			if seq, err := strconv.ParseInt(n, 10, 64); err == nil && (b.whole || of[seq].by == 0) {
				of[seq] = b
			}
		}
	}
	return of, nil
}
