package store

import (
	"bufio"
	"context"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"

	"github.com/invopop/jsonschema"
)

// exportFormat is the number of the form in which a record is written out; what an old number means never changes.
const exportFormat = 1

// Exported is a whole record as JSON, in this order of keys, so that it can be read and written without being held in memory.
// What isn't in it is on its way only: messages, half-typed forms, where a transport goes on from.
type Exported struct {
	Format  int              `json:"becket_export" jsonschema:"enum=1" jsonschema_description:"The number of this form; the first key of the file."`
	At      time.Time        `json:"exported" jsonschema_description:"Up to when the record is known."`
	Scripts []ExportedScript `json:"scripts" jsonschema_description:"Every script that an inspection followed."`
	Photos  []ExportedPhoto  `json:"photos" jsonschema_description:"Photos and papers: files of a folder beside this one, each named by its hash."`
	Entries []ExportedEntry  `json:"entries" jsonschema_description:"The record itself, oldest first, without a gap."`
}

// ExportedScript is the text of one edition of a script.
type ExportedScript struct {
	Hash string `json:"hash" jsonschema:"pattern=^[0-9a-f]{64}$" jsonschema_description:"sha256 of the text."`
	Text string `json:"text"`
}

// ExportedPhoto names a file that is kept beside the record.
type ExportedPhoto struct {
	Hash string `json:"hash" jsonschema:"pattern=^[0-9a-f]{64}$" jsonschema_description:"sha256 of the file, and its name."`
	Size int64  `json:"size" jsonschema:"minimum=0" jsonschema_description:"In bytes."`
}

// ExportedEntry is an Entry.
type ExportedEntry struct {
	Seq     int64     `json:"seq" jsonschema:"minimum=1"`
	At      time.Time `json:"at" jsonschema_description:"UTC, exact to the microsecond."`
	Room    string    `json:"room"`
	Subject string    `json:"subject"`
	Kind    string    `json:"kind"`
	By      string    `json:"by"`
	Cause   string    `json:"cause"`
	// Body stays text: its bytes were hashed, and a program that writes JSON anew would change them.
	Body string `json:"body" jsonschema_description:"JSON as text, exactly as it was hashed."`
	Hash string `json:"hash" jsonschema:"pattern=^[0-9a-f]{64}$" jsonschema_description:"sha256 over the hash of the entry before (32 zero bytes before the first), seq, at in microseconds since 1970, room, subject, kind, by, cause and body, each preceded by its length, numbers and lengths as 8 bytes, big end first. An entry whose words its author deleted keeps the hash of what stood there; a later entry of the kind blank says so."`
}

// ExportSchema describes an Exported as a JSON Schema.
func ExportSchema() ([]byte, error) {
	s := (&jsonschema.Reflector{Anonymous: true}).Reflect(&Exported{})
	s.Title = "A record as Becket writes it out"
	return json.MarshalIndent(s, "", "  ")
}

// ExportCount is what an Exported holds.
type ExportCount struct{ Entries, Scripts, Photos int }

// Export writes the whole record as it stands as an Exported, and copies its photos to a folder that is made, unless folder is
// empty. Others can go on reading and writing. It writes what is there; the faults are what of it isn't as it was written.
func (db *DB) Export(ctx context.Context, to io.Writer, folder string) (n ExportCount, faults []Fault, err error) {
	x := export{ctx: ctx, db: db, to: bufio.NewWriter(to), folder: folder}
	if err := db.View(ctx, x.write); err != nil {
		return n, nil, err
	}
	return x.n, x.chain.faults, x.to.Flush()
}

// export is a record on its way out.
type export struct {
	ctx    context.Context
	db     *DB
	to     *bufio.Writer
	folder string
	n      ExportCount
	listed int // how many stand in the list that is being written
	chain  struct {
		chain
		faults []Fault
	}
}

func (x *export) write(tx *Tx) error {
	known := tx.now
	if made, is, err := tx.CopyMade(); err != nil {
		return err
	} else if is { // a copy knows no more than when it was made
		known = made
	}
	fmt.Fprintf(x.to, "{\"becket_export\":%d,\n\"exported\":%q,\n\"scripts\":[", exportFormat, known.UTC().Format(time.RFC3339Nano))
	if err := x.scripts(tx); err != nil {
		return err
	}
	// After the first look into the record: photos are kept before they are spoken of.
	x.next("photos")
	if err := x.photos(); err != nil {
		return err
	}
	x.next("entries")
	if err := x.entries(tx); err != nil {
		return err
	}
	_, err := x.to.WriteString("\n]}\n")
	return err
}

// next ends a list and begins another.
func (x *export) next(list string) {
	x.listed = 0
	fmt.Fprintf(x.to, "\n],\n%q:[", list) // a failed write stays failed, and Flush says so
}

// add writes one more of a list. what names it to a person.
func (x *export) add(what string, v any, texts ...string) error {
	for _, text := range texts {
		if !utf8.ValidString(text) {
			return fmt.Errorf("%s has a text that isn't Unicode, so it can't be written out whole. \"becket backup\" copies it as it is", what)
		}
	}
	line, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("%s can't be written out: %w", what, err)
	}
	if x.listed++; x.listed > 1 {
		_ = x.to.WriteByte(',')
	}
	_ = x.to.WriteByte('\n')
	_, err = x.to.Write(line)
	return err
}

func (x *export) scripts(tx *Tx) error {
	hashes, err := tx.conn.texts(`SELECT hash FROM flow ORDER BY hash`)
	if err != nil {
		return err
	}
	for _, hash := range hashes {
		text, err := tx.FlowText(hash)
		if err == nil {
			err = x.add("a script", ExportedScript{hash, string(text)}, string(text))
		}
		if err != nil {
			return err
		}
		x.n.Scripts++
	}
	return nil
}

func (x *export) photos() error {
	if x.folder != "" {
		if err := os.Mkdir(x.folder, 0o700); err != nil {
			return inPlainWords(x.folder, err)
		}
	}
	return x.db.eachPhoto(func(file string) error {
		info, err := os.Stat(file)
		if err != nil {
			return err
		}
		name := filepath.Base(file)
		if x.folder != "" {
			if err := copyPhoto(file, filepath.Join(x.folder, name)); err != nil {
				return err
			}
		}
		x.n.Photos++
		return x.add("a photo", ExportedPhoto{name, info.Size()})
	})
}

func (x *export) entries(tx *Tx) (err error) {
	if x.chain.blanked, err = tx.blankings(); err != nil {
		return err
	}
	for after := int64(beforeAll); ; {
		some, err := tx.EntriesAfter(after, atOnce)
		if err != nil || len(some) == 0 {
			return err
		}
		for _, e := range some {
			x.chain.faults = append(x.chain.faults, x.chain.next(e)...)
			err := x.add(fmt.Sprintf("entry %d", e.Seq), ExportedEntry{
				Seq: e.Seq, At: e.At, Room: e.Room, Subject: e.Subject, Kind: e.Kind, By: e.By, Cause: e.Cause,
				Body: string(e.Body), Hash: hex.EncodeToString(e.Hash[:]),
			}, e.Room, e.Subject, e.Kind, e.By, e.Cause, string(e.Body))
			if err != nil {
				return err
			}
			x.n.Entries++
		}
		if err := x.ctx.Err(); err != nil {
			return err
		}
		after = some[len(some)-1].Seq
	}
}
