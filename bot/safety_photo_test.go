package bot

import (
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// pictured inspects an item with a picture of its cam, and signs it.
func (c *conversation) pictured(from, mark string, f File) {
	c.Helper()
	thread := c.begin(from, mark)
	c.until(from, thread, "look.cam", nil)
	c.send(Message{From: from, Thread: thread, Text: "clear", Files: []File{f}})
	c.until(from, thread, "", nil)
	if h := c.say(from, thread, "sign "+c.open(thread).outcome().Verdict.String()); h.refused() {
		c.Fatal(h.text())
	}
}

// atCam opens an inspection and goes as far as the cam.
func (c *conversation) atCam(from, mark string) (thread string) {
	c.Helper()
	thread = c.begin(from, mark)
	c.until(from, thread, "look.cam", nil)
	return thread
}

func (c *conversation) doubted(h heard) bool { return strings.Contains(h.text(), "This picture was") }

func TestSafety24_TheSamePictureAgainIsAskedAbout(t *testing.T) {
	t.Parallel()
	c := talk(t)
	picture := c.photo("a cam")
	c.pictured("@ana", "D-41", picture)
	c.forward(24 * time.Hour)
	thread := c.atCam("@ben", "D-14")
	picture.Name = "another name.png"
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: "clear", Files: []File{picture}})
	c.wantSaid(h, "This picture was sent before, for D-41 on 14 November 2026. Is it of D-14, as it is today?")
	if c.open(thread).openDoubt() == nil {
		t.Fatal("nothing is asked")
	}
	h = c.say("@ben", thread, "ok")
	c.wantRefused(h, "")
	c.wantSaid(c.say("@ben", thread, "yes"), "on your word")
	c.until("@ben", thread, "", nil)
	c.say("@ben", thread, "sign fit")
	c.wantSaid(c.say("@ana", "", "history D-14"), "@ben says it is of D-14")
}

func TestSafety24_APictureNeverKeepsAFindingWaiting(t *testing.T) {
	t.Parallel()
	c := talk(t)
	picture := c.photo("a cam")
	c.pictured("@ana", "D-41", picture)
	thread := c.atCam("@ben", "D-14")
	q, _ := c.open(thread).next()
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: finds{"look.cam": "crack"}.words(q), Files: []File{picture}})
	if !c.doubted(h) {
		t.Fatal(h.text())
	}
	c.wantHeld("D-14") // before anybody says of what the picture is
	q, _ = c.open(thread).next()
	h = c.say("@ben", thread, finds{}.words(q))
	if h.refused() || c.doubted(h) {
		t.Errorf("the next answer goes its way, and a picture is asked about once: %s", h.text())
	}
	if next, _ := c.open(thread).next(); next.Steps[0] == q.Steps[0] {
		t.Error("the answer wasn't taken")
	}
	if h := c.say("@ben", thread, "yes"); !h.refused() && strings.Contains(h.text(), "on your word") {
		t.Errorf("a yes to another question vouches for a picture: %s", h.text())
	}
	c.wantHeld("D-14")
}

func TestSafety24_NotOfThisItem(t *testing.T) {
	t.Parallel()
	c := talk(t)
	picture := c.photo("a cam")
	c.pictured("@ana", "D-41", picture)
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, flows.PhotoStep, finds{"look.cam": "crack"})
	_, h := c.send(Message{From: "@ben", Thread: thread, Files: []File{picture}})
	if !c.doubted(h) {
		t.Fatal(h.text())
	}
	h = c.say("@ben", thread, "no")
	c.wantSaid(h, "doesn't count")
	c.wantAsked(thread, flows.PhotoStep)
	if _, h = c.send(Message{From: "@ben", Thread: thread, Files: []File{c.photo("its own")}}); c.doubted(h) {
		t.Error(h.text())
	}
	if _, open := c.open(thread).next(); open {
		t.Error("its own picture isn't taken")
	}
	if n := len(c.open(thread).photos); n != 2 {
		t.Errorf("%d pictures in the record", n)
	}
}

func TestSafety24_AnotherPictureInItsPlace(t *testing.T) {
	t.Parallel()
	c := talk(t)
	picture := c.photo("a cam")
	c.pictured("@ana", "D-41", picture)
	thread := c.atCam("@ben", "D-14")
	c.send(Message{From: "@ben", Thread: thread, Text: "clear", Files: []File{picture}})
	_, h := c.send(Message{From: "@ben", Thread: thread, Files: []File{c.photo("its own")}})
	c.wantSaid(h, "The new picture is kept")
	i := c.open(thread)
	if got, found := photoOf(i.photos, []string{"look.cam"}); !found || got.Hash == picture.Hash {
		t.Error("the new picture isn't of the cam")
	}
	if d := i.doubts[0]; !d.answered || d.is {
		t.Errorf("%+v", d)
	}
}

// Whole hours on a camera's clock against the start at 10:00 UTC on 14 November 2026.
func TestSafety24_TakenBeforeTheStart(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.atCam("@ben", "D-14")
	c.forward(5 * time.Minute)
	i := c.open(thread)
	for taken, asked := range map[string]bool{
		"":                          false,
		"2026-11-14T10:02:00":       false,
		"2026-11-14T09:30:00":       false, // a clock may be off
		"2026-11-14T08:30:00":       true,
		"2026-11-13T10:02:00":       true,
		"2026-11-14T12:02:00+02:00": false,
		"2026-11-14T10:02:00+02:00": true,
		"2031-01-01T00:00:00":       false, // no clock to go by
		"1980-01-01T00:00:00":       false,
		"nonsense":                  false,
	} {
		c.view(func(tx *store.Tx) error {
			t := &turn{bot: c.bot, tx: tx, zone: time.UTC}
			if why := t.takenBefore(i, keptPhoto{Photographed: store.Photographed{Taken: taken}}); (why != "") != asked {
				c.Errorf("%q: %q", taken, why)
			}
			return nil
		})
	}
	f := c.photo("x")
	f.Taken = "2026-11-13T10:02:00"
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: "clear", Files: []File{f}})
	c.wantSaid(h, "This picture was taken on 13 November 2026 10:02, and this inspection began on 14 November 2026 10:00. Is it of D-14, as it is today?")
}

// A picture that its sender has deleted is forgotten: nothing can be compared with it.
func TestSafety24_ADeletedPictureIsForgotten(t *testing.T) {
	t.Parallel()
	c := talk(t)
	first := c.atCam("@ana", "D-41")
	picture := c.photo("a cam")
	id := c.sent("@ana", first, "clear", picture)
	c.deletes("@ana", id)
	thread := c.atCam("@ben", "D-14")
	if _, h := c.send(Message{From: "@ben", Thread: thread, Text: "clear", Files: []File{picture}}); c.doubted(h) {
		t.Error(h.text())
	}
}

func TestAPictureWithALineIsKept(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	line := c.open(thread).line()
	if len(line) < 2 {
		t.Fatal("no line to answer")
	}
	words := []string{}
	for _, q := range line {
		words = append(words, finds{}.words(q))
	}
	c.send(Message{From: "@ben", Thread: thread, Text: strings.Join(words, ", "), Files: []File{c.photo("whole")}})
	if n := len(c.open(thread).photos); n != 1 {
		t.Errorf("%d pictures are kept", n)
	}
}
