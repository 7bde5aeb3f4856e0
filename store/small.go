package store

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
)

// smallFolder is where small copies of photos lie, each under its original's hash, so that no document has to open the originals. It
// is no part of the record and proves nothing: copies and exports of the record leave it out, and what is missing in it is made again.
func (db *DB) smallFolder() string { return db.file + "-small" }

// KeepSmall keeps a small copy of the photo that has a hash. It goes with the photo. Nobody waits until it is on disk: one that gets
// lost or damaged is made again.
func (db *DB) KeepSmall(hash string, data []byte) error {
	if err := isHash(hash); err != nil {
		return err
	}
	if err := os.MkdirAll(db.smallFolder(), 0o700); err != nil {
		return inPlainWords(db.smallFolder(), err)
	}
	half, err := os.CreateTemp(db.smallFolder(), halfPhoto)
	if err != nil {
		return inPlainWords(db.smallFolder(), err)
	}
	sum := sha256.Sum256(data)
	_, err = half.Write(append(bytes.Clone(data), sum[:]...))
	if err = errors.Join(err, half.Close()); err == nil {
		err = os.Rename(half.Name(), filepath.Join(db.smallFolder(), hash))
	}
	if err != nil {
		_ = os.Remove(half.Name()) // what went wrong is said already
	}
	return inPlainWords(db.smallFolder(), err)
}

// KeepSmall does so within a transaction, whatever becomes of that.
func (tx *Tx) KeepSmall(hash string, data []byte) error { return tx.db.KeepSmall(hash, data) }

// KeepSmallLater does so with a copy that was made beside the conversation, in which the photo may have been deleted meanwhile.
func (db *DB) KeepSmallLater(hash string, data []byte) error {
	err := db.KeepSmall(hash, data)
	if _, gone := os.Lstat(filepath.Join(db.photoFolder(), hash)); errors.Is(gone, fs.ErrNotExist) {
		err = errors.Join(err, db.removeSmall(hash))
	}
	return err
}

// LacksSmall tells whether a photo is there with more than so many bytes, and a small copy of it isn't. Whether that is whole, who
// uses it sees.
func (db *DB) LacksSmall(hash string, more int64) bool {
	if isHash(hash) != nil {
		return false
	}
	kept, err := os.Lstat(filepath.Join(db.photoFolder(), hash))
	if err != nil || kept.Size() <= more {
		return false
	}
	_, err = os.Lstat(filepath.Join(db.smallFolder(), hash))
	return errors.Is(err, fs.ErrNotExist)
}

// Small is the small copy of the photo that has a hash; false where there is none that is whole.
func (tx *Tx) Small(hash string) (data []byte, whole bool) {
	if isHash(hash) != nil {
		return nil, false
	}
	kept, err := os.ReadFile(filepath.Join(tx.db.smallFolder(), hash))
	at := len(kept) - sha256.Size
	if err != nil || at < 0 {
		return nil, false
	}
	sum := sha256.Sum256(kept[:at])
	return kept[:at], bytes.Equal(kept[at:], sum[:])
}

// removeSmall removes the small copy of a photo that is removed.
func (db *DB) removeSmall(hash string) error {
	err := os.Remove(filepath.Join(db.smallFolder(), hash))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return inPlainWords(db.smallFolder(), err)
}

// clearSmall removes what is half written, and small copies of photos that aren't here any more.
func (db *DB) clearSmall() error {
	entries, err := os.ReadDir(db.smallFolder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if _, gone := os.Lstat(filepath.Join(db.photoFolder(), e.Name())); errors.Is(gone, fs.ErrNotExist) {
			err = errors.Join(err, os.Remove(filepath.Join(db.smallFolder(), e.Name())))
		}
	}
	return inPlainWords(db.smallFolder(), err)
}
