package store

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"go.mau.fi/util/dbutil"
	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Problem is trouble with a file, a folder or the disk, told in one or two plain sentences that say what was
// wrong and what to do. Cause is what the system said; it may be nil.
type Problem struct {
	Sentence string
	Cause    error
}

func (p Problem) Error() string { return p.Sentence }

// Unwrap gives the cause.
func (p Problem) Unwrap() error { return p.Cause }

func damaged(file string, cause error) Problem {
	return Problem{
		file + " is not a Becket database, or is damaged. Restore it from a backup; nothing was changed.",
		cause,
	}
}

func locked(file string, cause error) Problem {
	return Problem{
		file + " is in use by another program. Close that one first, or name another file; nothing was changed.",
		cause,
	}
}

func full(file string, cause error) Problem {
	return Problem{
		file + " can't grow: the disk is full, or a limit on file size is reached. Make room and try again; nothing was changed.",
		cause,
	}
}

func readOnly(file string, cause error) Problem {
	return Problem{
		file + " can't be written. Allow writing to it and to its folder, or name another file; nothing was changed.",
		cause,
	}
}

func missingFolder(file, folder string, cause error) Problem {
	return Problem{
		fmt.Sprintf("There is no folder %s for %s. Make the folder first, or name another file; nothing was changed.",
			folder, file),
		cause,
	}
}

func notAFile(file string) Problem {
	return Problem{file + " is a folder, not a file. Name a file in it; nothing was changed.", nil}
}

func fromTheFuture(file string, cause error) Problem {
	return Problem{
		file + " was written by a newer Becket than this one. Use the newer program; nothing was changed.",
		cause,
	}
}

func failingDisk(file string, cause error) Problem {
	return Problem{
		file + " couldn't be read or written: the disk reports an error. Check the disk and try again; nothing was changed.",
		cause,
	}
}

func alreadyThere(file string) Problem {
	return Problem{file + " is already there. Name another file; nothing was changed.", nil}
}

func alreadyUsed(file string) Problem {
	return Problem{file + " has a record in it already. Name a file that isn't there yet; nothing was changed.", nil}
}

func cantProject(file string, seq int64, cause error) Problem {
	return Problem{
		fmt.Sprintf("%s was written by an older Becket, and its entry %d can't be read, so it can't be brought up to date. Restore it from a backup; the record wasn't changed.", file, seq),
		cause,
	}
}

func closed(file string) Problem {
	return Problem{file + " was closed. Start Becket again.", nil}
}

// inPlainWords makes a Problem of what SQLite, its schema or the file system says about file. What it doesn't know it
// hands back as it is.
func inPlainWords(file string, err error) error {
	var told Problem
	if err == nil || errors.As(err, &told) {
		return err
	}
	if errors.Is(err, dbutil.ErrNotOwned) {
		return damaged(file, err)
	}
	var refused *sqlite.Error
	if errors.As(err, &refused) {
		return sqliteProblem(file, refused.Code(), err)
	}
	switch {
	case errors.Is(err, dbutil.ErrUnsupportedDatabaseVersion):
		return fromTheFuture(file, err)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return readOnly(file, err)
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT), errors.Is(err, syscall.EFBIG):
		return full(file, err)
	case errors.Is(err, syscall.EIO):
		return failingDisk(file, err)
	}
	return err
}

func sqliteProblem(file string, code int, err error) error {
	switch code {
	// A write beyond a limit on file size comes as a failed write, not as a full disk.
	case sqlite3.SQLITE_IOERR_WRITE, sqlite3.SQLITE_IOERR_SHMSIZE, sqlite3.SQLITE_IOERR_TRUNCATE:
		return full(file, err)
	}
	const primary = 0xff
	switch code & primary {
	case sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_CORRUPT:
		return damaged(file, err)
	case sqlite3.SQLITE_FULL:
		return full(file, err)
	case sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM:
		return readOnly(file, err)
	case sqlite3.SQLITE_BUSY:
		return locked(file, err)
	case sqlite3.SQLITE_IOERR:
		return failingDisk(file, err)
	}
	return err
}
