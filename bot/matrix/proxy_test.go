//go:build goolm && homeserver

package matrix

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"net/http/httputil"
	"net/url"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// proxy stands between Becket and the homeserver: it sees what Becket sends, and can get in the way.
type proxy struct {
	*httptest.Server
	began  time.Time
	mu     sync.Mutex
	sent   []sending
	syncs  int
	hidden string
	// meddle may answer a request itself and say so with true.
	meddle func(w http.ResponseWriter, r *http.Request) bool
	// swallow has the answer to a request thrown away once the homeserver has given it.
	swallow func(r *http.Request) bool
}

// sending is a message that Becket sent into a room.
type sending struct{ room, kind, txn string }

func startProxy(t testing.TB, hs *homeserver) *proxy {
	t.Helper()
	to, err := url.Parse(hs.url())
	if err != nil {
		t.Fatal(err)
	}
	running, stop := context.WithCancel(context.Background())
	p := &proxy{began: time.Now()}
	forward := httputil.NewSingleHostReverseProxy(to)
	forward.ModifyResponse = p.change
	forward.ErrorHandler = func(w http.ResponseWriter, _ *http.Request, _ error) { w.WriteHeader(http.StatusBadGateway) }
	p.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		r.Header.Del("Accept-Encoding") // its answers are read on the way
		// This homeserver can't go on once a request was broken off in the middle of its database.
		r = r.WithContext(running)
		p.mu.Lock()
		if s, is := sendingOf(r); is {
			p.sent = append(p.sent, s)
		}
		meddle, swallow := p.meddle, p.swallow
		p.mu.Unlock()
		switch {
		case meddle != nil && meddle(w, r):
		case swallow != nil && swallow(r):
			forward.ServeHTTP(httptest.NewRecorder(), r)
			panic(http.ErrAbortHandler)
		default:
			forward.ServeHTTP(w, r)
		}
	}))
	t.Cleanup(func() { stop(); p.Server.Close() })
	return p
}

// change rewrites what the homeserver tells Becket.
func (p *proxy) change(r *http.Response) error {
	path := r.Request.URL.Path
	if !strings.HasSuffix(path, "/sync") && !strings.HasSuffix(path, "/messages") && !strings.HasSuffix(path, "/state") {
		return nil
	}
	body, err := io.ReadAll(r.Body)
	if err != nil {
		return err
	}
	body = p.unhurried(body)
	p.mu.Lock()
	if strings.HasSuffix(path, "/sync") {
		p.syncs++
	}
	if p.hidden != "" {
		body = bytes.ReplaceAll(body, []byte(p.hidden), bytes.ReplaceAll([]byte(p.hidden), []byte("o"), []byte("0")))
	}
	p.mu.Unlock()
	r.Body = io.NopCloser(bytes.NewReader(body))
	r.ContentLength = int64(len(body))
	r.Header.Set("Content-Length", strconv.Itoa(len(body)))
	return nil
}

// unhurried lets the clock of whoever sends run six hundred times as fast for Becket, which would complain of answers that come
// faster than anybody can look.
func (p *proxy) unhurried(body []byte) []byte {
	const name = `"origin_server_ts":`
	return regexp.MustCompile(name+`\d+`).ReplaceAllFunc(body, func(b []byte) []byte {
		n, err := strconv.ParseInt(string(b[len(name):]), 10, 64)
		if since := n - p.began.UnixMilli(); err == nil && since > 0 {
			n += since * 599
		}
		return fmt.Appendf(nil, "%s%d", name, n)
	})
}

// synced counts the answers to Becket's questions what has happened.
func (p *proxy) synced() int {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.syncs
}

// hide changes a text in what Becket is told, so that it doesn't find it; none if it is empty.
func (p *proxy) hide(text string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.hidden = text
}

// sendingOf reads /_matrix/client/v3/rooms/ROOM/send/KIND/TXN.
func sendingOf(r *http.Request) (sending, bool) {
	part := strings.Split(strings.TrimPrefix(r.URL.Path, "/_matrix/client/v3/rooms/"), "/")
	if r.Method != http.MethodPut || len(part) != 4 || part[1] != "send" {
		return sending{}, false
	}
	return sending{room: part[0], kind: part[2], txn: part[3]}, true
}

// sends are the messages sent so far.
func (p *proxy) sends() []sending {
	p.mu.Lock()
	defer p.mu.Unlock()
	return append([]sending(nil), p.sent...)
}

func (p *proxy) set(meddle func(http.ResponseWriter, *http.Request) bool, swallow func(*http.Request) bool) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.meddle, p.swallow = meddle, swallow
}
