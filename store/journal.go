package store

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"time"
)

// Entry is one line of the journal, as it stands on disk.
type Entry struct {
	Seq     int64     // 1, 2, 3 … without a gap
	At      time.Time // UTC, exact to the microsecond
	Room    string
	Subject string // what it is about, for looking up
	Kind    string
	By      string // whose doing it was
	Cause   string // the message that brought it about
	Body    []byte // JSON, exactly the bytes that were hashed
	Hash    [sha256.Size]byte
}

// same tells whether two entries are alike to the byte.
func (e Entry) same(as Entry) bool {
	return e.Seq == as.Seq && e.At.Equal(as.At) && e.Room == as.Room && e.Subject == as.Subject && e.Kind == as.Kind &&
		e.By == as.By && e.Cause == as.Cause && bytes.Equal(e.Body, as.Body) && e.Hash == as.Hash
}

// Event reads the entry's body back.
func (e Entry) Event() (Event, error) { return decode(e.Kind, e.Body) }

// Event is what an entry says. It is journalled as JSON, read back by decode, and applied in that form: what doesn't
// survive the journal never reaches the register.
type Event interface {
	Kind() string
	Subject() string
	// apply writes what follows onto the register's tables, from the entry and those tables alone. Verify
	// applies all entries again to empty tables, where the journal itself is empty too, and Tx.Now is the entry's time.
	apply(*Tx, Entry) error
}

// head is the end of the journal: zero while it is empty.
type head struct {
	seq  int64
	hash [sha256.Size]byte
}

// Append writes an event at the end of the journal and applies it to the register. It is the only way to write either.
func (tx *Tx) Append(room, by, cause string, ev Event) (Entry, error) {
	e, err := tx.append(room, by, cause, ev)
	if err != nil {
		return Entry{}, tx.fail(err)
	}
	return e, nil
}

func (tx *Tx) append(room, by, cause string, ev Event) (Entry, error) {
	body, err := json.Marshal(ev)
	if err != nil {
		return Entry{}, fmt.Errorf("the %s can't be written down: %w", ev.Kind(), err)
	}
	kept, err := tx.db.decode(ev.Kind(), body)
	if err != nil {
		return Entry{}, fmt.Errorf("the %s couldn't be read again once written down: %w", ev.Kind(), err)
	}
	last, err := tx.last()
	if err != nil {
		return Entry{}, err
	}
	e := Entry{
		Seq: last.seq + 1, At: tx.now.UTC(), Room: room, Subject: ev.Subject(), Kind: ev.Kind(),
		By: by, Cause: cause, Body: body,
	}
	e.Hash = e.hashAfter(last.hash)
	if err := tx.insert(e); err != nil {
		return Entry{}, err
	}
	tx.head = &head{e.Seq, e.Hash}
	if err := kept.apply(tx, e); err != nil {
		return Entry{}, fmt.Errorf("the %s can't be entered in the register: %w", e.Kind, err)
	}
	return e, nil
}

// insert puts an entry down as it is.
func (tx *Tx) insert(e Entry) error {
	return tx.put(`INSERT INTO journal (seq, at, room, subject, kind, by_whom, cause, body, hash)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		e.Seq, e.At.UnixMicro(), e.Room, e.Subject, e.Kind, e.By, e.Cause, e.Body, e.Hash[:])
}

// hashAfter chains the entry to the hash of the one before it (32 zero bytes before the first): sha256 over each field
// as it stands, every one preceded by its length as 8 bytes, numbers as 8 bytes too, big end first.
func (e Entry) hashAfter(previous [sha256.Size]byte) [sha256.Size]byte {
	number := func(n int64) []byte { return binary.BigEndian.AppendUint64(nil, uint64(n)) }
	var text []byte
	for _, field := range [][]byte{
		previous[:], number(e.Seq), number(e.At.UnixMicro()),
		[]byte(e.Room), []byte(e.Subject), []byte(e.Kind), []byte(e.By), []byte(e.Cause), e.Body,
	} {
		text = binary.BigEndian.AppendUint64(text, uint64(len(field)))
		text = append(text, field...)
	}
	return sha256.Sum256(text)
}

// Head is the number and hash of the last entry; zero while the journal is empty. Whoever notes them elsewhere can
// tell later that nothing up to there was rewritten.
func (tx *Tx) Head() (seq int64, hash [sha256.Size]byte, err error) {
	last, err := tx.last()
	return last.seq, last.hash, err
}

func (tx *Tx) last() (head, error) {
	if tx.head != nil {
		return *tx.head, nil
	}
	entries, err := tx.entries(`ORDER BY seq DESC LIMIT 1`)
	if err != nil || len(entries) == 0 {
		return head{}, err
	}
	tx.head = &head{entries[0].Seq, entries[0].Hash}
	return *tx.head, nil
}

// Entry finds one entry by its number.
func (tx *Tx) Entry(seq int64) (e Entry, found bool, err error) {
	entries, err := tx.entries(`WHERE seq = ?`, seq)
	if err != nil || len(entries) == 0 {
		return Entry{}, false, err
	}
	return entries[0], true, nil
}

// Entries lists all entries about a subject, oldest first. A mark is one room's, and other rooms may have the same: see
// EntriesIn.
func (tx *Tx) Entries(subject string) ([]Entry, error) {
	return tx.entries(`WHERE subject = ? ORDER BY seq`, subject)
}

// EntriesIn lists the entries about a subject that were written in a room, or in what it was before, oldest first.
func (tx *Tx) EntriesIn(room, subject string) ([]Entry, error) {
	return tx.entries(`WHERE subject = ? AND (room = ? OR room IN (SELECT was FROM moved WHERE moved.room = ?)) ORDER BY seq`, subject, room, room)
}

// Caused lists all entries that a message brought about, oldest first.
func (tx *Tx) Caused(message string) ([]Entry, error) {
	return tx.entries(`WHERE cause = ? ORDER BY seq`, message)
}

// EntriesAfter lists up to limit entries that come after the one with the number seq, oldest first.
func (tx *Tx) EntriesAfter(seq int64, limit int) ([]Entry, error) {
	return tx.entries(`WHERE seq > ? ORDER BY seq LIMIT ?`, seq, limit)
}

// beforeAll is a number lower than that of any entry, misnumbered ones included.
const beforeAll = math.MinInt64

func (tx *Tx) entries(which string, args ...any) ([]Entry, error) {
	return list(tx, readEntry, `SELECT seq, at, room, subject, kind, by_whom, cause, body, hash FROM journal `+which, args...)
}

func readEntry(row *sql.Rows) (e Entry, err error) {
	var at int64
	var hash []byte
	if err := row.Scan(&e.Seq, &at, &e.Room, &e.Subject, &e.Kind, &e.By, &e.Cause, &e.Body, &hash); err != nil {
		return Entry{}, err
	}
	e.At = time.UnixMicro(at).UTC()
	if len(hash) == len(e.Hash) {
		e.Hash = [sha256.Size]byte(hash)
	}
	return e, nil
}
