package console

import (
	"context"
	"os"
	"path/filepath"

	"becket/bot"
	"becket/bot/photo"
	"becket/store"
)

// keepFile copies a picture into the store before its message is received. What can't be kept comes back with
// a sentence that says why.
func keepFile(ctx context.Context, db *store.DB, path string) bot.File {
	name := filepath.Base(path)
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return photo.Unreadable(name)
	case !info.Mode().IsRegular(): // opening a pipe would wait for somebody to write to it
		return photo.Refused(name, "%s is no file.", name)
	}
	file, err := os.Open(path)
	if err != nil {
		return photo.Unreadable(name)
	}
	defer file.Close()
	return photo.Keep(ctx, db, name, file, info.Size())
}
