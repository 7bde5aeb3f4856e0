//go:build goolm

package matrix

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"sync"
	"time"

	"maunium.net/go/mautrix/crypto/attachment"
	"maunium.net/go/mautrix/event"

	"becket/bot"
	"becket/bot/photo"
)

// uploadTime is how long one file may take on its way to the homeserver.
const uploadTime = 3 * time.Minute

// errUploading says that a file is on its way, so that its message waits and other rooms don't.
var errUploading = errors.New("a file is on its way to the homeserver")

// uploadError is why a file didn't reach the homeserver this time.
type uploadError struct{ error }

func (e uploadError) Unwrap() error { return e.error }

// uploads are the files on their way, by the message that brings each.
type uploads struct {
	mu      sync.Mutex
	all     sync.WaitGroup
	running map[string]bool
	failed  map[string]error // told once, to whoever asks next
}

func newUploads() *uploads { return &uploads{running: map[string]bool{}, failed: map[string]error{}} }

// start has something done beside everything else, once at a time for each message. Whoever asks again meanwhile is told
// errUploading; whoever asks after a failure is told that first.
func (u *uploads) start(txn string, do func() error, done func()) error {
	u.mu.Lock()
	defer u.mu.Unlock()
	if err := u.failed[txn]; err != nil {
		delete(u.failed, txn)
		return uploadError{err}
	}
	if u.running[txn] {
		return errUploading
	}
	u.running[txn] = true
	u.all.Go(func() {
		err := do()
		u.mu.Lock()
		delete(u.running, txn)
		if err != nil {
			u.failed[txn] = err
		}
		u.mu.Unlock()
		done()
	})
	return errUploading
}

// busy tells whether a message's file is on its way.
func (u *uploads) busy(txn string) bool {
	u.mu.Lock()
	defer u.mu.Unlock()
	return u.running[txn]
}

// attached is the message that brings a file, once the file is on the homeserver; until then the error is errUploading, or
// says why it isn't there.
func (r *service) attached(ctx context.Context, txn string, f bot.File, encrypted bool) (*event.MessageEventContent, error) {
	kept, found, err := r.side.Uploaded(ctx, txn)
	if err != nil {
		return nil, err
	}
	if found {
		var c event.MessageEventContent
		if err := json.Unmarshal(kept, &c); err != nil {
			return nil, fmt.Errorf("reading what a file's message says: %w", err)
		}
		// What went up in the open doesn't go into a room that has been encrypted since.
		if !encrypted || c.URL == "" {
			return &c, nil
		}
	}
	return nil, r.uploads.start(txn, func() error { return r.upload(txn, f, encrypted) }, r.wake)
}

// upload brings a copy of a file to the homeserver and keeps what its message will say. Where that can't ever be done, the message
// says so instead.
func (r *service) upload(txn string, f bot.File, encrypted bool) error {
	ctx, stop := context.WithTimeout(r.running, uploadTime)
	defer stop()
	c := &event.MessageEventContent{MsgType: event.MsgNotice, Body: fmt.Sprintf(sayNoCopy, f.Name)}
	data, err := photo.Copy(r.DB, f)
	if err == nil {
		c, err = r.put(ctx, f, data, encrypted)
	}
	switch {
	case isAway(err), ctx.Err() != nil:
		return errors.Join(err, context.Cause(ctx))
	case err != nil:
		r.Tell(fmt.Sprintf(tellNotUploaded, f.Name, err))
	}
	body, err := json.Marshal(c)
	if err != nil {
		return fmt.Errorf("writing what a file's message says: %w", err)
	}
	return r.side.KeepUploaded(context.WithoutCancel(ctx), txn, body)
}

// put uploads bytes, locked first where the room is encrypted, and gives the message that brings them. After an error the
// message says that it couldn't be.
func (r *service) put(ctx context.Context, f bot.File, data []byte, encrypted bool) (*event.MessageEventContent, error) {
	c := &event.MessageEventContent{MsgType: event.MsgFile, Body: f.Name, FileName: f.Name, Info: &event.FileInfo{MimeType: f.Type, Size: len(data)}}
	if strings.HasPrefix(f.Type, "image/") {
		c.MsgType = event.MsgImage
	}
	kind := f.Type
	var lock *attachment.EncryptedFile
	if encrypted {
		lock, kind = attachment.NewEncryptedFile(), "application/octet-stream"
		lock.EncryptInPlace(data)
	}
	up, err := r.cli.UploadBytes(ctx, data, kind)
	if err != nil {
		return &event.MessageEventContent{MsgType: event.MsgNotice, Body: fmt.Sprintf(sayNotTaken, f.Name)}, err
	}
	if lock == nil {
		c.URL = up.ContentURI.CUString()
		return c, nil
	}
	c.File = &event.EncryptedFileInfo{EncryptedFile: *lock, URL: up.ContentURI.CUString()}
	return c, nil
}
