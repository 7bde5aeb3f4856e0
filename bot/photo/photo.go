// Package photo decides what is kept of a file that came with a message, whichever way it came in: photos, and spreadsheets.
package photo

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
	"strings"
	"time"

	"github.com/bep/imagemeta"

	"becket/bot"
	"becket/bot/photo/small"
	"becket/bot/photo/strip"
	"becket/store"
)

// MaxBytes is how large a photo may be.
const MaxBytes = 25 << 20

// maxPixels is more than any camera takes; a small file can claim far more.
const maxPixels = 100_000_000

// Keep copies a picture, or a spreadsheet, of size bytes into the store. What can't be kept comes back with a sentence in Problem that
// says why and what to do.
func Keep(ctx context.Context, db *store.DB, name string, r io.ReadSeeker, size int64) bot.File {
	f := bot.File{Name: name}
	if size > MaxBytes {
		return Refused(name, "%s has %d MB; a file may have %d MB. Send a smaller one.", name, size>>20, MaxBytes>>20)
	}
	head := make([]byte, 512)
	n, _ := io.ReadFull(r, head)
	if kind := sheetOf(name, head[:n]); kind != "" {
		f.Type = kind
		return keepSheet(ctx, db, f, r, size)
	}
	if f.Type = typeOf(head[:n]); f.Type == "" {
		if otherSheet(name) {
			f.Problem = name + " is a spreadsheet that I can't read. Save it as .xlsx or as CSV. Nothing was taken."
			return f
		}
		return Refused(name, "%s is no photo that I know (JPEG, PNG, GIF, WebP or HEIC).", name)
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return Unreadable(name)
	}
	whole, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return Unreadable(name)
	}
	if width, height, err := measure(bytes.NewReader(whole), f.Type); err != nil {
		return Refused(name, "%s is damaged and can't be opened as a photo.", name)
	} else if int64(width)*int64(height) > maxPixels {
		return Refused(name, "%s has %d by %d points, more than any camera. Send a smaller one.", name, width, height)
	}
	f.Taken = taken(bytes.NewReader(whole), f.Type)
	shrunk := open(whole)
	f.Code = code(shrunk)
	if f.Hash, f.Size, err = db.PutBlob(ctx, bytes.NewReader(whole), MaxBytes); err != nil {
		return Refused(name, "%s couldn't be kept: %v", name, err)
	}
	keepSmall(db, f, shrunk, whole)
	return f
}

// keepSmall keeps the small copy that documents show, now that the picture is open. Where that fails, the first document makes it.
func keepSmall(db *store.DB, f bot.File, shrunk *image.RGBA, whole []byte) {
	if shrunk == nil || !small.Needed(f.Type, whole) {
		return
	}
	if copied, err := small.Copy(shrunk, f.Type, whole); err == nil {
		_ = db.KeepSmall(f.Hash, copied)
	}
}

// measure is how many points wide and high a picture says it is. None of them is looked at.
func measure(r io.ReadSeeker, kind string) (width, height int, err error) {
	format := map[string]imagemeta.ImageFormat{"image/webp": imagemeta.WebP, "image/heic": imagemeta.HEIF}
	if format, is := format[kind]; is {
		// Nobody here opens these, so what can't be read of one is no reason to turn it away.
		said, _ := imagemeta.Decode(imagemeta.Options{R: r, ImageFormat: format, Sources: imagemeta.CONFIG})
		return said.ImageConfig.Width, said.ImageConfig.Height, nil
	}
	said, _, err := image.DecodeConfig(r)
	return said.Width, said.Height, err
}

// taken is when a picture was taken by its camera's clock, as bot.File gives it; empty where it doesn't say so.
func taken(r io.ReadSeeker, kind string) string {
	format, is := map[string]imagemeta.ImageFormat{
		"image/jpeg": imagemeta.JPEG, "image/png": imagemeta.PNG, "image/webp": imagemeta.WebP, "image/heic": imagemeta.HEIF,
	}[kind]
	if !is {
		return ""
	}
	said := map[string]string{}
	// What can't be read of it is no reason to turn it away.
	_, _ = imagemeta.Decode(imagemeta.Options{
		R: r, ImageFormat: format, Sources: imagemeta.EXIF,
		ShouldHandleTag: func(tag imagemeta.TagInfo) bool { return tag.Tag == cameraClock || tag.Tag == cameraOffset },
		HandleTag: func(tag imagemeta.TagInfo) error {
			said[tag.Tag] = strings.Trim(fmt.Sprint(tag.Value), " \x00")
			return nil
		},
	})
	at, err := time.Parse("2006:01:02 15:04:05", said[cameraClock])
	if err != nil {
		return ""
	}
	local := at.Format("2006-01-02T15:04:05")
	if _, err := time.Parse("-07:00", said[cameraOffset]); err == nil {
		return local + said[cameraOffset]
	}
	return local
}

// The names of the tags (EXIF 2.32, 4.6.5: 0x9003 and 0x9011).
const (
	cameraClock  = "DateTimeOriginal"
	cameraOffset = "OffsetTimeOriginal"
)

// Copy is a kept file as it may leave: of a picture all but what is seen is taken out, above all where it was taken. An
// error says in a few words why there is none.
func Copy(db *store.DB, f bot.File) ([]byte, error) {
	r, err := db.Blob(f.Hash)
	if err != nil {
		return nil, err
	}
	data, err := io.ReadAll(r)
	if err = errors.Join(err, r.Close()); err != nil {
		return nil, err
	}
	if !strings.HasPrefix(f.Type, "image/") {
		return data, nil
	}
	return strip.Picture(f.Type, data)
}

// Unreadable is a file that can't be opened.
func Unreadable(name string) bot.File { return Refused(name, "The file %s can't be read.", name) }

// Refused is a file that isn't kept, with the sentence that says so.
func Refused(name, format string, args ...any) bot.File {
	return bot.File{Name: name, Problem: fmt.Sprintf(format, args...) + " Nothing was written; send it again with the answer."}
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
