package store

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// halfPhoto starts the name of a photo that is still being written.
const halfPhoto = ".new-"

// photosEnding makes the name of the folder of photos out of the database's.
const photosEnding = "-photos"

func (db *DB) photoFolder() string { return db.file + photosEnding }

// PutBlob keeps what r gives, at most limit bytes, under its sha256 in hex, and returns once it is on disk. Putting
// the same again changes nothing. Too many bytes are a Problem, and nothing is kept.
func (db *DB) PutBlob(ctx context.Context, r io.Reader, limit int64) (hash string, size int64, err error) {
	if err := makeFolder(db.photoFolder()); err != nil {
		return "", 0, inPlainWords(db.photoFolder(), err)
	}
	half, err := os.CreateTemp(db.photoFolder(), halfPhoto)
	if err != nil {
		return "", 0, inPlainWords(db.photoFolder(), err)
	}
	defer func() {
		// It has another name by now, unless something failed.
		_ = os.Remove(half.Name())
	}()
	sum := sha256.New()
	size, err = io.Copy(io.MultiWriter(half, sum), io.LimitReader(r, limit+1))
	if size > limit {
		err = Problem{fmt.Sprintf("The photo is larger than %d bytes. Send a smaller one; nothing was kept.", limit), nil}
	}
	err = errors.Join(err, ctx.Err(), half.Sync())
	if err = errors.Join(err, half.Close()); err != nil {
		return "", 0, inPlainWords(db.photoFolder(), err)
	}
	hash = hex.EncodeToString(sum.Sum(nil))
	if err := db.place(half.Name(), hash); err != nil {
		return "", 0, inPlainWords(db.photoFolder(), err)
	}
	return hash, size, nil
}

// KeepFile keeps what was made within the transaction, as PutBlob does. Where the transaction fails the file stays, under the
// name that the same content would be given again.
func (tx *Tx) KeepFile(data []byte) (hash string, size int64, err error) {
	return tx.db.PutBlob(context.Background(), bytes.NewReader(data), int64(len(data)))
}

// File reads what was kept under a hash.
func (tx *Tx) File(hash string) ([]byte, error) {
	r, err := tx.db.Blob(hash)
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(r)
	return data, errors.Join(err, r.Close())
}

// place gives a whole photo its name. One that is there already stays.
func (db *DB) place(half, hash string) error {
	db.photos.Lock()
	defer db.photos.Unlock()
	target := filepath.Join(db.photoFolder(), hash)
	if _, err := os.Lstat(target); err == nil {
		return checkPhoto(target)
	}
	if err := os.Rename(half, target); err != nil {
		return err
	}
	return syncFolder(db.photoFolder())
}

// Blob opens what was kept under a hash. Reading it to the end gives a Problem instead of io.EOF if it isn't what was
// kept.
func (db *DB) Blob(hash string) (io.ReadCloser, error) {
	if err := isHash(hash); err != nil {
		return nil, err
	}
	return openPhoto(filepath.Join(db.photoFolder(), hash))
}

// isHash refuses what no photo is called.
func isHash(name string) error {
	if raw, err := hex.DecodeString(name); err != nil || len(raw) != sha256.Size || name != strings.ToLower(name) {
		return fmt.Errorf("%q isn't the name of a photo", name)
	}
	return nil
}

func openPhoto(file string) (io.ReadCloser, error) {
	f, err := os.Open(file)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, Problem{"The photo " + file + " is missing. Restore it from a backup.", err}
	}
	if err != nil {
		return nil, Problem{"The photo " + file + " can't be read. Allow reading it.", err}
	}
	return &photo{file: f, sum: sha256.New()}, nil
}

// photo compares its content with its name while it is read.
type photo struct {
	file *os.File
	sum  hash.Hash
}

func (p *photo) Read(b []byte) (int, error) {
	n, err := p.file.Read(b)
	p.sum.Write(b[:n])
	if errors.Is(err, io.EOF) && hex.EncodeToString(p.sum.Sum(nil)) != filepath.Base(p.file.Name()) {
		err = Problem{"The photo " + p.file.Name() + " is damaged. Restore it from a backup.", nil}
	}
	return n, err
}

func (p *photo) Close() error { return p.file.Close() }

func checkPhoto(file string) error {
	p, err := openPhoto(file)
	if err != nil {
		return err
	}
	_, err = io.Copy(io.Discard, p)
	return errors.Join(err, p.Close())
}

// eachPhoto calls fn with the file of every photo kept, in the order of their hashes.
func (db *DB) eachPhoto(fn func(file string) error) error {
	entries, err := os.ReadDir(db.photoFolder())
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	for _, e := range entries {
		if err == nil && !strings.HasPrefix(e.Name(), halfPhoto) {
			err = fn(filepath.Join(db.photoFolder(), e.Name()))
		}
	}
	return inPlainWords(db.photoFolder(), err)
}

// clearHalfPhotos removes what a broken-off PutBlob left behind. Nobody else can be writing: the file is locked.
func (db *DB) clearHalfPhotos() error {
	halves, err := filepath.Glob(filepath.Join(db.photoFolder(), halfPhoto+"*"))
	for _, half := range halves {
		err = errors.Join(err, os.Remove(half))
	}
	return inPlainWords(db.photoFolder(), err)
}

func makeFolder(folder string) error {
	err := os.Mkdir(folder, 0o700)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return syncFolder(filepath.Dir(folder))
}

// syncFolder puts names that were given in a folder on disk.
func syncFolder(folder string) error { return syncFile(folder) }

// syncFile puts what was written to a file on disk.
func syncFile(file string) error {
	f, err := os.Open(file)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}
