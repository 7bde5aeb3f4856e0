//go:build goolm && homeserver

package matrix

import (
	"bytes"
	"image"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"maunium.net/go/mautrix/event"
	"maunium.net/go/mautrix/id"
)

// fetches gives the file that came with a message, as an app shows it.
func (p *person) fetches(s said1) []byte {
	p.t.Helper()
	from := s.URL
	if s.File != nil {
		from = s.File.URL
	}
	uri, err := from.Parse()
	if err != nil {
		p.t.Fatalf("%q brings no file: %v", s.Body, err)
	}
	data, err := p.cli.DownloadBytes(p.t.Context(), uri)
	if err != nil {
		p.t.Fatal(err)
	}
	if s.File != nil {
		if err := s.File.DecryptInPlace(data); err != nil {
			p.t.Fatal(err)
		}
	}
	return data
}

// secondTime inspects K-1 with a photo that says where it was taken, and again up to the photo, which is answered with another.
// It gives the second inspection's thread.
func (s scene) secondTime(t *testing.T) id.EventID {
	t.Helper()
	s.ana.toPhoto(s.room, "4.9 5 4.9", "gate.jpg")
	s.ana.says(s.room, "", "sign fit")
	s.ana.hears(": FIT.")
	return s.ana.toPhoto(s.room, "5 4.9 5", "cam.png")
}

// toPhoto inspects K-1 up to the photo and sends that.
func (p *person) toPhoto(room id.RoomID, readings, name string) id.EventID {
	p.t.Helper()
	root := p.says(room, "", "inspect K-1")
	p.hears("K-1")
	for _, answer := range []string{"a", "clear", readings} {
		p.says(room, root, answer)
		if said := p.next(); said.MsgType == event.MsgImage || strings.Contains(said.Body, "to compare") {
			p.t.Errorf("an old photo came before the answer: %q", said.Body)
		}
	}
	p.shows(room, root, name)
	p.hears("By the rules")
	return root
}

func TestPhotoOfLastTime(t *testing.T) {
	for name, encrypted := range map[string]bool{"plain": false, "encrypted": true} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, encrypted)
			root := s.secondTime(t)
			got := s.ana.next()
			if got.MsgType != event.MsgImage || got.encrypted != encrypted || (got.File != nil) != encrypted || (got.URL != "") == encrypted {
				t.Fatalf("%s, encrypted %v, in the open %q, locked %v: %q", got.MsgType, got.encrypted, got.URL, got.File, got.Body)
			}
			if got.RelatesTo.GetThreadParent() != root || !strings.HasPrefix(got.Body, "K-1 ") {
				t.Errorf("%q in the thread %q, not in %q", got.Body, got.RelatesTo.GetThreadParent(), root)
			}
			original, err := os.ReadFile("../../testdata/photos/gate.jpg")
			if err != nil {
				t.Fatal(err)
			}
			shown := s.ana.fetches(got)
			if bytes.Contains(shown, []byte("behind the chapel")) || bytes.Contains(shown, []byte("GPS")) {
				t.Error("what was sent says where it was taken")
			}
			if want, _, err := image.Decode(bytes.NewReader(original)); err != nil {
				t.Error(err)
			} else if have, _, err := image.Decode(bytes.NewReader(shown)); err != nil || !bytes.Equal(want.(*image.YCbCr).Y, have.(*image.YCbCr).Y) {
				t.Errorf("it shows another picture (%v)", err)
			}
			s.b.verified() // and so the original is as it came
		})
	}
}

// uploads counts what goes up through the proxy, and meddles with it.
func (p *proxy) uploads(meddle func(n int64, w http.ResponseWriter) bool) *atomic.Int64 {
	var n atomic.Int64
	p.set(func(w http.ResponseWriter, r *http.Request) bool {
		return strings.HasPrefix(r.URL.Path, "/_matrix/media/") && r.Method == http.MethodPost && meddle(n.Add(1), w)
	}, nil)
	return &n
}

func TestUploadThatFailsIsTriedAgain(t *testing.T) {
	s, _ := newScene(t, true)
	tried := s.b.proxy.uploads(func(n int64, w http.ResponseWriter) bool {
		if n > 2 {
			return false
		}
		w.WriteHeader(http.StatusBadGateway)
		return true
	})
	s.secondTime(t)
	if got := s.ana.next(); got.MsgType != event.MsgImage || tried.Load() != 3 {
		t.Errorf("after %d tries: %s %q", tried.Load(), got.MsgType, got.Body)
	}
	s.ana.nothing(300 * time.Millisecond)
	count := map[string]int{}
	for _, sent := range s.b.proxy.sends() {
		if count[sent.txn]++; count[sent.txn] > 1 {
			t.Errorf("%s was sent %d times", sent.txn, count[sent.txn])
		}
	}
}

func TestUploadHoldsUpItsOwnRoomOnly(t *testing.T) {
	s, _ := newScene(t, true)
	other := s.ana.room(true, s.b.user)
	s.ana.sees(other, s.b.user)
	s.ana.hears("You are the first here")
	release := make(chan struct{})
	s.b.proxy.uploads(func(int64, http.ResponseWriter) bool { <-release; return false })
	root := s.secondTime(t)
	// The room's next reply waits behind the photo; the other room's doesn't.
	s.ana.says(s.room, root, "sign fit")
	s.ana.says(other, "", "help")
	if got := s.ana.next(); got.room != other {
		t.Errorf("%q came into %s first", got.Body, got.room)
	}
	s.ana.nothing(500 * time.Millisecond)
	close(release)
	if got := s.ana.next(); got.MsgType != event.MsgImage {
		t.Errorf("after the photo had gone up came %q", got.Body)
	}
	s.ana.hears(": FIT.")
}

func TestUploadOnceAcrossARestart(t *testing.T) {
	s, _ := newScene(t, true)
	up := make(chan struct{}, 1)
	var held atomic.Bool
	held.Store(true)
	var n atomic.Int64
	s.b.proxy.set(func(w http.ResponseWriter, r *http.Request) bool {
		if strings.HasPrefix(r.URL.Path, "/_matrix/media/") && r.Method == http.MethodPost {
			n.Add(1)
			select {
			case up <- struct{}{}:
			default:
			}
			return false
		}
		if _, is := sendingOf(r); is && n.Load() > 0 && held.Load() { // the photo's own message doesn't get through
			w.WriteHeader(http.StatusBadGateway)
			return true
		}
		return false
	}, nil)
	s.secondTime(t)
	<-up
	// It ends once the file is up and its message is kept, and starts again.
	s.ana.eventually("what the message says is kept", func() bool {
		unsent, err := s.b.db.Unsent(t.Context(), 10)
		return err == nil && len(unsent) == 1 && len(s.b.proxy.sends()) > 0
	})
	time.Sleep(300 * time.Millisecond)
	s.b.end()
	held.Store(false)
	s.b.start()
	if got := s.ana.next(); got.MsgType != event.MsgImage {
		t.Errorf("heard %q", got.Body)
	}
	if n.Load() != 1 {
		t.Errorf("it went up %d times", n.Load())
	}
}

func TestPhotoThatCantBeSentIsSaid(t *testing.T) {
	for name, spoil := range map[string]func(s scene) string{
		"gone": func(s scene) string {
			all, _ := filepath.Glob(s.b.config.Database + "-photos/*")
			for _, f := range all {
				_ = os.Remove(f)
			}
			return "isn't there any more"
		},
		"refused": func(s scene) string {
			s.b.proxy.uploads(func(_ int64, w http.ResponseWriter) bool {
				w.WriteHeader(http.StatusRequestEntityTooLarge)
				_, _ = w.Write([]byte(`{"errcode":"M_TOO_LARGE","error":"too large"}`))
				return true
			})
			return "doesn't take it"
		},
	} {
		t.Run(name, func(t *testing.T) {
			s, _ := newScene(t, true)
			s.ana.toPhoto(s.room, "4.9 5 4.9", "gate.jpg")
			s.ana.says(s.room, "", "sign fit")
			s.ana.hears(": FIT.")
			want := spoil(s)
			root := s.ana.toPhoto(s.room, "5 4.9 5", "cam.png")
			if got := s.ana.hears(want); got.MsgType != event.MsgNotice {
				t.Errorf("%q is %s", got.Body, got.MsgType)
			}
			if _, told := s.b.toldWith("couldn't be sent"); !told {
				t.Error("the operator wasn't told")
			}
			s.ana.says(s.room, root, "sign fit")
			s.ana.hears(": FIT.")
		})
	}
}
