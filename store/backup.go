package store

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
)

// Backup copies the database, as it stands, to file, its photos to a folder beside it, and checks the copy. Neither
// may be there before. Others can go on reading and writing. After an error nothing is left of the copy.
func (db *DB) Backup(ctx context.Context, file string) error {
	copied, err := locate(file)
	if err != nil {
		return err
	}
	to := DB{file: copied, name: file}
	for _, taken := range []string{to.file, to.photoFolder()} {
		if _, err := os.Lstat(taken); err == nil {
			return alreadyThere(taken)
		}
	}
	err = db.backup(ctx, &to)
	if err != nil {
		return errors.Join(inPlainWords(file, err), os.RemoveAll(to.half()), os.RemoveAll(to.photoFolder()))
	}
	return nil
}

// half is where a copy is until it is whole.
func (db *DB) half() string { return db.file + ".part" }

func (db *DB) backup(ctx context.Context, to *DB) error {
	// A backup that broke off may have left one.
	if err := os.RemoveAll(to.half()); err != nil {
		return err
	}
	err := db.readers.borrow(ctx, func(c *conn) error {
		_, err := c.sql.ExecContext(ctx, `VACUUM INTO ?`, to.half())
		return err
	})
	if err != nil {
		return err
	}
	if err := checkCopy(ctx, to.half()); err != nil {
		return err
	}
	// After the database: photos are kept before they are spoken of.
	if err := db.copyPhotos(ctx, to.photoFolder()); err != nil {
		return err
	}
	if err := syncFolder(to.half()); err != nil {
		return err
	}
	if err := os.Rename(to.half(), to.file); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(to.file))
}

func checkCopy(ctx context.Context, file string) error {
	c, err := dial(ctx, file, file, url.Values{"mode": {"ro"}}, nil)
	if err != nil {
		return err
	}
	said, err := c.integrity()
	if err == nil && len(said) > 0 {
		err = fmt.Errorf("the copy isn't whole: %s", said[0])
	}
	return errors.Join(err, c.close())
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
	return errors.Join(err, f.Sync(), f.Close())
}
