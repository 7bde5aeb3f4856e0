package console

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image"
	_ "image/gif" // what a photo may be
	_ "image/jpeg"
	_ "image/png"
	"io"
	"net/http"
	"os"
	"path/filepath"

	"becket/bot"
	"becket/store"
)

// What is kept as a photo.
const (
	maxPhoto  = 25 << 20    // bytes
	maxPixels = 100_000_000 // more is no photo of a camera
)

// keepFile copies a picture into the store before its message is received. What can't be kept comes back with
// a sentence that says why.
func keepFile(ctx context.Context, db *store.DB, path string) bot.File {
	f := bot.File{Name: filepath.Base(path)}
	wrong := func(format string, args ...any) bot.File {
		f.Problem = fmt.Sprintf(format, args...) + " Nothing was written; send it again with the answer."
		return f
	}
	info, err := os.Stat(path)
	switch {
	case err != nil:
		return wrong("The file %s can't be read.", f.Name)
	case !info.Mode().IsRegular(): // opening a pipe would wait for somebody to write to it
		return wrong("%s is no file.", f.Name)
	case info.Size() > maxPhoto:
		return wrong("%s has %d MB; a photo may have %d MB. Send a smaller one.", f.Name, info.Size()>>20, maxPhoto>>20)
	}
	file, err := os.Open(path)
	if err != nil {
		return wrong("The file %s can't be read.", f.Name)
	}
	defer file.Close()
	head := make([]byte, 512)
	n, _ := io.ReadFull(file, head)
	if f.Type = typeOf(head[:n]); f.Type == "" {
		return wrong("%s is no photo that I know (JPEG, PNG, GIF, WebP or HEIC).", f.Name)
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return wrong("The file %s can't be read.", f.Name)
	}
	if config, _, err := image.DecodeConfig(file); err == nil && config.Width*config.Height > maxPixels {
		return wrong("%s has %d by %d points, more than any camera. Send a smaller one.", f.Name, config.Width, config.Height)
	} else if err != nil && !errors.Is(err, image.ErrFormat) {
		return wrong("%s is damaged and can't be opened as a photo.", f.Name)
	}
	if _, err := file.Seek(0, io.SeekStart); err != nil {
		return wrong("The file %s can't be read.", f.Name)
	}
	if f.Hash, f.Size, err = db.PutBlob(ctx, file, maxPhoto); err != nil {
		return wrong("%s couldn't be kept: %v", f.Name, err)
	}
	return f
}

// typeOf sniffs what a picture is; empty: none that is kept.
func typeOf(head []byte) string {
	switch t := http.DetectContentType(head); t {
	case "image/jpeg", "image/png", "image/gif", "image/webp":
		return t
	}
	if len(head) >= 12 && bytes.Equal(head[4:8], []byte("ftyp")) && (bytes.HasPrefix(head[8:12], []byte("hei")) || bytes.HasPrefix(head[8:12], []byte("mif"))) {
		return "image/heic"
	}
	return ""
}
