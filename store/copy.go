package store

import (
	"os"
	"path/filepath"
)

// copyFolder is where copies of photos lie that were made for showing. It is no part of the record: what is in it can be made
// again, and is cleared with ClearCopies.
func copyFolder(file string) string { return file + "-copies" }

// KeepCopy puts a copy of a photo, made for showing, in a folder beside the database, and gives its path as seen from where
// the database's name was given.
func (db *DB) KeepCopy(name string, data []byte) (path string, err error) {
	folder := copyFolder(db.file)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return "", inPlainWords(folder, err)
	}
	if err := os.WriteFile(filepath.Join(folder, filepath.Base(name)), data, 0o600); err != nil {
		return "", inPlainWords(folder, err)
	}
	return filepath.Join(copyFolder(db.name), filepath.Base(name)), nil
}

// ClearCopies removes all copies of photos that were made for showing.
func (db *DB) ClearCopies() error {
	return inPlainWords(copyFolder(db.file), os.RemoveAll(copyFolder(db.file)))
}
