package bot

import (
	"fmt"
	"testing"

	"becket/flows"
)

// TestSafety21_WhatTheFirstSaidReachesNobody asks for a second opinion after very different first ones: what the others are
// told is the same to the byte, files and their names included.
func TestSafety21_WhatTheFirstSaidReachesNobody(t *testing.T) {
	t.Parallel()
	var told [][]Reply
	for _, first := range []struct {
		answer, view, photo string
	}{
		{"", "", "cam.png"},
		{"a", ": nothing at all to see", "fine.png"},
		{"crack", ": a crack right across, I am sure of it", "crack right across.png"},
		{"?", ": can't see a thing in this light", "dark.png"},
	} {
		c := talk(t)
		thread := c.begin("@dee", "D-14")
		c.until("@dee", thread, "look.cam", nil)
		point := c.open(thread)
		q, _ := point.next()
		where := "here"
		switch first.answer {
		case "":
		case "?":
			c.say("@dee", thread, "can't tell too dark")
		case "crack":
			c.say("@dee", thread, finds{"look.cam": "crack"}.words(q))
		default:
			c.say("@dee", thread, first.answer)
		}
		if first.answer != "" {
			where = fmt.Sprint(q.Position)
		}
		photo := c.photo("the cam from the left")
		photo.Name = first.photo
		_, h := c.send(Message{From: "@dee", Thread: thread, Text: "second opinion " + where + first.view, Files: []File{photo}})
		var others []Reply
		for _, r := range h {
			if r.Room != c.room {
				r.Key, r.Cause = "", "" // they name the message that asked
				others = append(others, r)
			}
		}
		if len(others) != 3 { // @ana, @ben and @fay are competent
			t.Fatalf("%d people were asked: %s", len(others), h.text())
		}
		told = append(told, others)
	}
	for n := range told {
		if !same(told[n], told[0]) {
			t.Errorf("after another first view the others are told %+v instead of %+v", told[n], told[0])
		}
	}
}

// TestSafety21_TheRemoteEye attacks from afar: an opinion frees nothing, counts from who was asked alone, and makes no finding milder.
func TestSafety21_TheRemoteEye(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", finds{"look.cam": "crack"})
	q, _ := c.open(thread).next()
	c.say("@dee", thread, finds{"look.cam": "crack"}.words(q))
	c.wantHeld("D-14")
	c.say("@dee", thread, fmt.Sprintf("second opinion %d", q.Position))
	for _, from := range []string{"@dee", "@eve", "@cal", "@zed"} { // who asks, whose competence is over, keeper only, nobody
		_, h := c.send(Message{From: from, Room: from, Text: "a"})
		if len(h) > 0 && !h.refused() {
			t.Errorf("%s wasn't asked, and is taken: %s", from, h.text())
		}
	}
	_, h := c.send(Message{From: "@ben", Room: "@ben", Text: "a"})
	c.wantSaid(h, "You differ")
	c.wantHeld("D-14")
	if o := c.open(thread).outcome(); o.Worst() != flows.Retire {
		t.Errorf("a clear opinion from afar made the finding milder: %v", o.Worst())
	}
	_, h = c.send(Message{From: "@ben", Room: "@ben", Text: "e"})
	if !h.refused() {
		t.Errorf("answered once, and taken again: %s", h.text())
	}
}

// TestSafety21_NobodyAnswers keeps the item out of use, however usable it was before, and the digest's list names it.
func TestSafety21_NobodyAnswers(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	if s := c.status("D-41"); len(s.holds) > 0 || !s.signed {
		t.Fatal("D-41 isn't usable to begin with")
	}
	thread := c.begin("@dee", "D-41")
	c.until("@dee", thread, "look.cam", nil)
	c.say("@dee", thread, "second opinion here")
	c.say("@dee", thread, "leave off")
	c.forward(9 * 24 * 3600e9)
	if s := c.status("D-41"); !s.waits || len(s.notForUse(s.last.Day)) == 0 {
		t.Error("asked and not answered, and the item may be used")
	}
	c.wantSaid(c.say("@cal", "", "handover"), "Second opinions asked for: 1")
}

// A second view that is typed where whoever looked first can read it isn't taken, and is said where it belongs.
func TestSafety21_AViewInTheRoomIsNotTaken(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	c.say("@dee", thread, "second opinion here")
	for _, text := range []string{"b", "clear", "D-14 clear", "can't tell too dark", "D-14 ab"} {
		c.wantRefused(c.say("@ben", "", text), "If that is your view of D-14: type it to me alone")
	}
	c.wantRefused(c.say("@cal", "", "b"), "I don't know what to do with")
	_, h := c.send(Message{From: "@ben", Room: "@ben", Text: "what now?"})
	c.wantSaid(h, "A second view, please, of D-14")
	if _, h := c.send(Message{From: "@ben", Room: "@ben", Text: "a"}); h.refused() {
		t.Errorf("typed alone after that, it isn't taken: %s", h.text())
	}
}

// Can't tell beside clear is no quarrel, and clears nothing: it is held in words that say so.
func TestSafety21_CantTellBesideClear(t *testing.T) {
	t.Parallel()
	for _, views := range []struct{ first, second, said string }{
		{"", "a", "One can't tell and the other sees nothing wrong"},
		{"a", "can't tell too dark", "One can't tell and the other sees nothing wrong"},
		{"", "can't tell too dark", "Neither of you can tell"},
		{"a", "b", "You differ"},
	} {
		c := talk(t)
		thread := c.begin("@dee", "D-14")
		c.until("@dee", thread, "look.cam", nil)
		q, _ := c.open(thread).next()
		if views.first == "" {
			c.say("@dee", thread, "second opinion here")
		} else {
			c.say("@dee", thread, views.first)
			c.say("@dee", thread, fmt.Sprintf("second opinion %d", q.Position))
		}
		_, h := c.send(Message{From: "@ben", Room: "@ben", Text: views.second})
		c.wantSaid(h, views.said)
		c.wantHeld("D-14")
	}
}

// Where neither can tell, nothing more is found: one hold stands, and whoever was asked can still release it.
func TestSafety21_CantTellTwiceHoldsOnce(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", finds{"look.cam": "? too dark"})
	before := len(c.status("D-41").holds)
	c.say("@ben", "", "second opinion D-41")
	_, h := c.send(Message{From: "@ana", Room: "@ana", Text: "can't tell"})
	c.wantSaid(h, "Neither of you can tell")
	if after := len(c.status("D-41").holds); before == 0 || after != before {
		t.Errorf("%d holds before the second look, %d after", before, after)
	}
}
