package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// IsExport tells from the first bytes of a file whether it is an Exported.
func IsExport(start []byte) bool {
	rest, ok := strings.CutPrefix(strings.TrimSpace(string(start)), "{")
	return ok && strings.HasPrefix(strings.TrimSpace(rest), `"becket_export"`)
}

// ReadExport makes a record out of an Exported and its folder of photos. The file may be there already as long as nothing was
// ever entered in it. check has to prove the record; when it returns an error nothing is left. What comes of it is marked as a
// copy: what happened since it was written out isn't in it.
func ReadExport(ctx context.Context, from io.Reader, photos, name string, now func() time.Time, check func(*DB) error) (n ExportCount, made time.Time, err error) {
	return readExport(ctx, from, photos, &DB{name: name, now: now, decode: decode, schema: schema()}, check)
}

func readExport(ctx context.Context, from io.Reader, photos string, to *DB, check func(*DB) error) (n ExportCount, made time.Time, err error) {
	if to.file, err = locate(to.name); err != nil {
		return n, made, err
	}
	lock, err := lockFile(to.file, to.name)
	if err != nil {
		return n, made, err
	}
	defer func() { _ = unlock(lock) }()
	there, err := to.isUnused(ctx)
	if err != nil {
		return n, made, err
	}
	half := &DB{file: to.file + ".part", name: to.name, decode: to.decode, schema: to.schema}
	if err := half.removeAll(); err != nil { // one that broke off may have been left
		return n, made, inPlainWords(to.name, err)
	}
	n, made, err = half.readIn(ctx, from, photos, to.now, check)
	if err == nil && there {
		err = to.removeAll()
	}
	if err == nil {
		err = half.moveTo(to)
	}
	if err != nil {
		err = errors.Join(inPlainWords(to.name, err), half.removeAll())
	}
	return n, made, err
}

// isUnused refuses a file in which something was ever entered, and tells whether there is one.
func (db *DB) isUnused(ctx context.Context) (there bool, err error) {
	if _, err := os.Lstat(db.file); err != nil {
		return false, db.isFree()
	}
	old, err := openToRead(ctx, db.file, db.now, db.decode, db.schema)
	if err != nil {
		return true, err
	}
	err = old.View(ctx, func(tx *Tx) error {
		var used bool
		_, err := tx.get(`SELECT EXISTS (SELECT 1 FROM journal) OR EXISTS (SELECT 1 FROM inbox)`, nil, &used)
		if err == nil && used {
			err = alreadyUsed(db.name)
		}
		return err
	})
	if err == nil {
		err = old.eachPhoto(func(string) error { return alreadyUsed(db.name) })
	}
	return true, errors.Join(err, old.Close())
}

// readIn fills half, proves it and marks it as a copy.
func (half *DB) readIn(ctx context.Context, from io.Reader, photos string, now func() time.Time, check func(*DB) error) (n ExportCount, made time.Time, err error) {
	db, err := open(ctx, half.file, now, half.decode, half.schema)
	if err != nil {
		return n, made, err
	}
	db.name = half.name
	in := exportReader{ctx: ctx, db: db, from: json.NewDecoder(from), photos: photos}
	in.from.DisallowUnknownFields()
	err = db.Do(ctx, in.read)
	if err == nil {
		err = check(db)
	}
	if err = errors.Join(err, db.Close()); err != nil {
		return n, made, err
	}
	return in.n, in.made, half.mark(ctx, in.made)
}

// exportReader is an Exported on its way in.
type exportReader struct {
	ctx    context.Context
	db     *DB
	from   *json.Decoder
	photos string
	tx     *Tx
	n      ExportCount
	made   time.Time
}

func (in *exportReader) read(tx *Tx) error {
	in.tx = tx
	if err := in.expect(json.Delim('{')); err != nil {
		return err
	}
	for _, key := range []string{"becket_export", "exported", "scripts", "photos", "entries"} {
		if err := in.expect(key); err != nil {
			return err
		}
		if err := in.value(key); err != nil {
			return err
		}
	}
	if err := in.expect(json.Delim('}')); err != nil {
		return err
	}
	if _, err := in.from.Token(); !errors.Is(err, io.EOF) {
		return errors.New("something comes after the end of the record")
	}
	return nil
}

func (in *exportReader) value(key string) error {
	switch key {
	case "becket_export":
		var format int
		if err := in.from.Decode(&format); err != nil || format != exportFormat {
			return fmt.Errorf("the record is written in a form that this edition of Becket doesn't know; it knows form %d", exportFormat)
		}
		return nil
	case "exported":
		if err := in.from.Decode(&in.made); err != nil {
			return fmt.Errorf("when the record was written out can't be read: %w", err)
		}
		return nil
	case "scripts":
		return eachOf(in, "script", in.script)
	case "photos":
		return eachOf(in, "photo", in.photo)
	}
	return eachOf(in, "entry", in.entry)
}

// expect takes one token, and refuses another.
func (in *exportReader) expect(want json.Token) error {
	got, err := in.from.Token()
	switch {
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return errCutOff
	case err != nil:
		return fmt.Errorf("the record can't be read: %w", err)
	case got != want:
		return fmt.Errorf("where the record should have %v it has %v", want, got)
	}
	return nil
}

var errCutOff = errors.New("the record ends in the middle: the file isn't whole")

// eachOf reads a list.
func eachOf[T any](in *exportReader, what string, take func(T) error) error {
	if err := in.expect(json.Delim('[')); err != nil {
		return err
	}
	for n := 1; in.from.More(); n++ {
		var v T
		err := in.from.Decode(&v)
		switch {
		case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
			return errCutOff
		case err != nil:
			return fmt.Errorf("%s %d can't be read: %w", what, n, err)
		}
		if err := errors.Join(take(v), in.ctx.Err()); err != nil {
			return fmt.Errorf("%s %d can't be taken: %w", what, n, err)
		}
	}
	return in.expect(json.Delim(']'))
}

func (in *exportReader) script(s ExportedScript) error {
	if sum := sha256.Sum256([]byte(s.Text)); hex.EncodeToString(sum[:]) != s.Hash {
		return errors.New("its text isn't what was written: it has another hash")
	}
	in.n.Scripts++
	return in.tx.KeepFlow(s.Hash, []byte(s.Text))
}

func (in *exportReader) photo(p ExportedPhoto) error {
	if raw, err := hex.DecodeString(p.Hash); err != nil || len(raw) != sha256.Size || p.Hash != strings.ToLower(p.Hash) {
		return fmt.Errorf("%q isn't the name of a photo", p.Hash)
	}
	f, err := os.Open(filepath.Join(in.photos, p.Hash))
	if err != nil {
		return fmt.Errorf("the photo %s isn't in the folder %s, or can't be read", p.Hash, in.photos)
	}
	defer f.Close()
	hash, size, err := in.db.PutBlob(in.ctx, f, p.Size)
	switch {
	case err != nil:
		return err
	case hash != p.Hash || size != p.Size:
		return fmt.Errorf("the photo %s isn't what was written", p.Hash)
	}
	in.n.Photos++
	return nil
}

// entry puts an entry down as it stands, and applies it as Append did when it was written. Whether it is what was written
// is for the proof to say.
func (in *exportReader) entry(x ExportedEntry) error {
	hash, err := hex.DecodeString(x.Hash)
	if err != nil || len(hash) != sha256.Size {
		return errors.New("its hash can't be read")
	}
	e := Entry{Seq: x.Seq, At: x.At.UTC(), Room: x.Room, Subject: x.Subject, Kind: x.Kind, By: x.By, Cause: x.Cause,
		Body: []byte(x.Body), Hash: [sha256.Size]byte(hash)}
	if in.n.Entries++; e.Seq != int64(in.n.Entries) {
		return fmt.Errorf("it has the number %d", e.Seq)
	}
	ev, err := in.db.decode(e.Kind, e.Body)
	if err != nil {
		return err
	}
	if err := in.tx.insert(e); err != nil {
		return err
	}
	in.tx.head = &head{e.Seq, e.Hash}
	again := &Tx{db: in.db, conn: in.tx.conn, now: e.At}
	return errors.Join(ev.apply(again, e), again.failed)
}
