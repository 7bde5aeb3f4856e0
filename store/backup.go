package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// Backup copies the database, as it stands, to file, its photos to a folder beside it, and compares the copy with what
// it was made of. Neither may be there before. Others can go on reading and writing. After an error nothing is left of
// the copy.
func (db *DB) Backup(ctx context.Context, file string) error {
	made := db.now()
	return db.copyTo(ctx, file, func(half *DB) error { return half.mark(ctx, made) })
}

// copyTo makes a copy, has finish do to it what is to be done before anybody sees it, and gives it its name.
func (db *DB) copyTo(ctx context.Context, name string, finish func(half *DB) error) error {
	file, err := locate(name)
	if err != nil {
		return err
	}
	to := DB{file: file, name: name}
	if err := to.isFree(); err != nil {
		return err
	}
	// Nobody else makes the same copy, or opens it, before it is whole.
	lock, err := lockFile(to.file, name)
	if err != nil {
		return err
	}
	half := &DB{file: to.file + ".part", name: name, decode: db.decode, schema: db.schema}
	err = errors.Join(to.isFree(), half.removeAll()) // one that broke off may have been left
	if err == nil {
		err = inPlainWords(name, db.fillAgain(ctx, half, finish))
	}
	if err == nil {
		err = inPlainWords(name, half.moveTo(&to))
	}
	if err != nil {
		err = errors.Join(err, half.removeAll())
	}
	return errors.Join(err, unlock(lock))
}

// parts are the endings of all names that belong to a database.
func parts() []string { return []string{"", photosEnding, "-wal", "-shm", "-journal"} }

// isFree refuses to write over anything. What another database left behind would be taken for part of this one.
func (db *DB) isFree() error {
	for _, ending := range parts() {
		if _, err := os.Lstat(db.file + ending); err == nil {
			return alreadyThere(db.name + ending)
		}
	}
	return nil
}

func (db *DB) removeAll() (err error) {
	for _, ending := range parts() {
		err = errors.Join(err, os.RemoveAll(db.file+ending))
	}
	return err
}

// moveTo gives a copy its name, the database last: where that is, all is.
func (db *DB) moveTo(to *DB) error {
	if err := db.isSettled(); err != nil {
		return err
	}
	err := os.Rename(db.photoFolder(), to.photoFolder())
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	if err := os.Rename(db.file, to.file); err != nil {
		return errors.Join(err, os.RemoveAll(to.photoFolder()))
	}
	return syncFolder(filepath.Dir(to.file))
}

// isSettled refuses a copy of which SQLite has a part in another file.
func (db *DB) isSettled() error {
	for _, name := range []string{db.file + "-wal", db.file + "-journal"} {
		if info, err := os.Lstat(name); err == nil && info.Size() > 0 {
			return fmt.Errorf("the copy isn't whole: %s is left", name)
		}
	}
	return nil
}

// errDiffers says that a copy isn't what the record is by now.
var errDiffers = errors.New("the copy isn't whole")

// fillAgain is fill, from its start where something was taken out of the record meanwhile: words or photos that somebody
// has deleted are the only thing that a copy and its record can differ in.
func (db *DB) fillAgain(ctx context.Context, half *DB, finish func(half *DB) error) (err error) {
	const most = 3
	for range most {
		err = db.fill(ctx, half, finish)
		if !errors.Is(err, errDiffers) && !errors.Is(err, os.ErrNotExist) {
			break
		}
		if err := half.removeAll(); err != nil {
			return err
		}
	}
	return err
}

// fill makes half a whole copy of db.
func (db *DB) fill(ctx context.Context, half *DB, finish func(half *DB) error) error {
	// SQLite would let others read what it makes. It takes an empty file for none.
	f, err := os.OpenFile(half.file, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	if err := f.Close(); err != nil {
		return err
	}
	err = db.readers.borrow(ctx, func(c *conn) error {
		_, err := c.sql.ExecContext(ctx, `VACUUM INTO ?`, half.file)
		return err
	})
	if err != nil {
		return err
	}
	// After the database: photos are kept before they are spoken of.
	if err := db.copyPhotos(ctx, half.photoFolder()); err != nil {
		return err
	}
	if err := db.compareWith(ctx, half); err != nil {
		return err
	}
	if err := finish(half); err != nil {
		return err
	}
	return syncFile(half.file)
}

// compareWith proves that a copy is whole and each of its entries the one that db has: so its last entry was the
// last one here at one moment.
func (db *DB) compareWith(ctx context.Context, half *DB) error {
	copied, err := openToRead(ctx, half.file, db.now, db.decode, db.schema)
	if err != nil {
		return err
	}
	err = copied.View(ctx, func(theirs *Tx) error {
		said, err := theirs.conn.integrity()
		if err == nil && len(said) > 0 {
			err = fmt.Errorf("the copy isn't whole: %s", said[0])
		}
		if err != nil {
			return err
		}
		return db.View(ctx, func(ours *Tx) error { return compareEntries(ctx, ours, theirs) })
	})
	return errors.Join(err, copied.Close())
}

func compareEntries(ctx context.Context, ours, theirs *Tx) error {
	for after := int64(beforeAll); ; {
		copied, err := theirs.EntriesAfter(after, atOnce)
		if err != nil || len(copied) == 0 {
			return err
		}
		kept, err := ours.EntriesAfter(after, atOnce)
		if err = errors.Join(err, ctx.Err()); err != nil {
			return err
		}
		for n, e := range copied {
			if n >= len(kept) || !e.same(kept[n]) {
				return fmt.Errorf("%w: entry %d isn't what the record has", errDiffers, e.Seq)
			}
		}
		after = copied[len(copied)-1].Seq
	}
}

func (db *DB) copyPhotos(ctx context.Context, folder string) error {
	copied := 0
	err := db.eachPhoto(func(file string) error {
		if copied++; copied == 1 {
			if err := makeFolder(folder); err != nil {
				return err
			}
		}
		return errors.Join(ctx.Err(), copyPhoto(file, filepath.Join(folder, filepath.Base(file))))
	})
	if err != nil || copied == 0 {
		return err
	}
	return syncFolder(folder)
}

// copyPhoto compares with the photo's name what it reads, and then what it wrote.
func copyPhoto(from, to string) error {
	photo, err := openPhoto(from)
	if err != nil {
		return err
	}
	defer photo.Close()
	f, err := os.OpenFile(to, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(f, photo)
	if err := errors.Join(err, f.Sync(), f.Close()); err != nil {
		return err
	}
	return checkPhoto(to)
}
