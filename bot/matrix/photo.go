//go:build goolm

package matrix

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"time"

	"maunium.net/go/mautrix/event"

	"becket/bot"
	"becket/bot/photo"
)

// fetchTime is how long a photo may take, all tries together: meanwhile nobody else is heard.
const fetchTime = 45 * time.Second

// fetch brings the file that came with a message into the store; false: none came. What can't be brought says why in
// its Problem, and the question stays open.
func (r *service) fetch(ctx context.Context, content *event.MessageEventContent) (bot.File, bool) {
	switch content.MsgType {
	case event.MsgImage, event.MsgFile:
	case event.MsgVideo, event.MsgAudio:
		return photo.Refused(content.GetFileName(), sayFileKind, content.GetFileName()), true
	default:
		return bot.File{}, false
	}
	name := content.GetFileName()
	if content.Info != nil && content.Info.Size > photo.MaxBytes {
		return photo.Keep(ctx, r.DB, name, bytes.NewReader(nil), int64(content.Info.Size)), true
	}
	bytesOf, err := r.download(ctx, content)
	if err != nil {
		return photo.Refused(name, sayFileFailed, name, plain(err)), true
	}
	return photo.Keep(ctx, r.DB, name, bytes.NewReader(bytesOf), int64(len(bytesOf))), true
}

// download fetches a file, a few times if the homeserver is in the way, and decrypts it if it is encrypted.
func (r *service) download(ctx context.Context, content *event.MessageEventContent) (data []byte, err error) {
	ctx, stop := context.WithTimeout(ctx, fetchTime)
	defer stop()
	const most = 4
	for tries := range most {
		if data, err = r.downloadOnce(ctx, content); !isAway(err) || tries == most-1 || !sleep(ctx, wait(err, tries)) {
			break
		}
	}
	if err != nil || content.File == nil {
		return data, err
	}
	return data, content.File.DecryptInPlace(data)
}

func (r *service) downloadOnce(ctx context.Context, content *event.MessageEventContent) ([]byte, error) {
	from := content.URL
	if content.File != nil {
		from = content.File.URL
	}
	uri, err := from.Parse()
	if err != nil {
		return nil, err
	}
	resp, err := r.cli.Download(ctx, uri)
	if err != nil {
		return nil, err
	}
	defer resp.Body.Close()
	data, err := io.ReadAll(io.LimitReader(resp.Body, photo.MaxBytes+1))
	if err == nil && len(data) > photo.MaxBytes {
		err = errTooBig
	}
	return data, err
}

var errTooBig = errors.New("it is larger than a file may be")

// plain says in a few words why something couldn't be fetched.
func plain(err error) string {
	switch {
	case errors.Is(err, errTooBig):
		return fmt.Sprintf("a file may have %d MB", photo.MaxBytes>>20)
	case errors.Is(err, context.DeadlineExceeded):
		return "it took too long"
	case isAway(err):
		return "the homeserver can't be reached"
	}
	return "the homeserver doesn't have it, or it was damaged on its way"
}
