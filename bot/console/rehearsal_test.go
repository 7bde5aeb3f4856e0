package console_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/store"
)

// message is one line of the conversation. One that puts the clock forward has no done: id is that of the reminder that
// comes of it.
type message struct {
	id, line, status string
	now              string // the clock once it is taken
}

// conversation is what was said when nobody disturbed it.
type conversation struct {
	messages []message
	said     []heard // the replies in their order
	journal  []store.Entry
	took     time.Duration // the middle of how long an answer took
	opened   time.Duration // how long it took to start
}

// replies counts the replies to a message.
func (c conversation) replies(id string) (n int) {
	for _, h := range c.said {
		if h.Cause == id {
			n++
		}
	}
	return n
}

// rehearsal leads the conversation by what it is asked.
type rehearsal struct {
	*conversation
	t     *testing.T
	p     *process
	asks  map[string]*asked // what is asked in a thread
	again map[string]bool   // the last answer in a thread was refused
	took  []time.Duration
}

// rehearse holds the conversation undisturbed.
func rehearse(t *testing.T, program string) conversation {
	t.Helper()
	began := time.Now()
	r := &rehearsal{
		conversation: &conversation{}, t: t, p: start(t, program, "calm.db", begins),
		asks: map[string]*asked{}, again: map[string]bool{},
	}
	if h := <-r.p.lines; !h.Ready {
		t.Fatalf("first it said %s", h.raw)
	}
	r.opened = time.Since(began)
	r.talk()
	r.p.finish()
	slices.Sort(r.took)
	r.conversation.took = r.took[len(r.took)/2]
	r.journal = journal(t, "calm.db")
	verified(t, program, "calm.db")
	r.enough()
	return *r.conversation
}

// talk is the whole conversation: four items under inspection at once and one after the other, by three people.
func (r *rehearsal) talk() {
	r.say("@me", "", "due")
	fit := r.say("@me", "", "inspect D-07")
	watched := r.say("@ben", "", "inspect D-10")
	r.say("@isla", "", "quarantine D-02 rope creeps when I stop, 11 mm rope, wet", "files", []string{"photo.png"})
	for range 3 {
		r.answer("@me", fit, nothing)
		r.answer("@ben", watched, first)
	}
	r.say("@me", fit, "yes") // says nothing
	r.say("@me", fit, "note came back wet from the gully")
	edited := r.answer("@me", fit, nothing)
	r.say("@me", fit, "clear", "replaces", edited)
	r.say("@me", fit, "", "files", []string{"photo.png"})
	r.say("@me", fit, "pause")
	r.say("@me", fit, "carry on")
	r.say("@ben", watched, "put right 2 clear because it was dirt")
	r.say("@ben", watched, "back")
	r.untilSigned("@me", fit, nothing)
	r.untilSigned("@ben", watched, first)
	retired := r.say("@ana", "", "inspect D-09")
	r.answer("@ana", retired, nothing)
	r.answer("@ana", retired, nothing)
	r.say("@ben", retired, "clear") // not his
	r.untilSigned("@ana", retired, worst)
	r.say("@me", "", "take in")
	r.say("@me", "", "Skerry Works")
	r.say("@me", "", "leave off")
	r.forward(later)
	r.say("@me", "", "due")
	r.say("@ana", "", "history D-09")
	left := r.say("@me", "", "inspect D-07")
	r.answer("@me", left, nothing)
	r.say("@isla", "", "quarantine D-07 dropped from the rack", "files", []string{"photo.png"})
	r.say("@me", left, "leave off")
	r.say("@ana", "", "history D-07")
}

// say sends a message and hears what comes of it. It gives the message's id, by which its thread is named too.
func (r *rehearsal) say(from, thread, text string, more ...any) string {
	r.t.Helper()
	id := fmt.Sprintf("$%d", len(r.messages)+1)
	fields := map[string]any{"id": id, "from": from, "thread": thread, "text": text}
	for i := 0; i < len(more); i += 2 {
		fields[more[i].(string)] = more[i+1]
	}
	text = asLine(r.t, fields)
	began := time.Now()
	r.p.write(text)
	for h := range r.p.lines {
		switch {
		case h.Done == id:
			r.messages = append(r.messages, message{id, text, h.Status, r.p.now})
			r.took = append(r.took, time.Since(began))
			return id
		case h.ID == "":
			r.t.Fatalf("%s was answered %s", text, h.raw)
		}
		r.said = append(r.said, h)
		if h.Ask != nil || !h.Refused { // somebody else's refusal changes no question
			r.asks[h.Thread], r.again[h.Thread] = h.Ask, h.Refused
		}
	}
	r.t.Fatalf("%s was never done", text)
	return ""
}

// forward puts the clock forward, to where something has fallen due.
func (r *rehearsal) forward(now string) {
	r.t.Helper()
	r.p.forward(now)
	h := <-r.p.lines
	if h.ID == "" || h.Cause != "" {
		r.t.Fatalf("nothing fell due; it said %s", h.raw)
	}
	r.said = append(r.said, h)
	r.messages = append(r.messages, message{id: h.ID, line: asLine(r.t, map[string]any{"now": now}), now: now})
}

func asLine(t *testing.T, v any) string {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + "\n"
}

// A mood is what somebody finds where findings are asked for.
type mood func(a *asked) string

func nothing(a *asked) string {
	if a.Kind == "critical" {
		return "a"
	}
	return "clear"
}

func first(a *asked) string {
	if a.Section == "papers" {
		return a.Choices[0].Key
	}
	return nothing(a)
}

func worst(a *asked) string { return a.Choices[len(a.Choices)-1].Key }

// answer answers what is asked in a thread.
func (r *rehearsal) answer(from, thread string, m mood) string {
	r.t.Helper()
	a := r.asks[thread]
	switch {
	case a == nil:
		r.t.Fatalf("nothing is asked in %s; last was said: %s", thread, r.said[len(r.said)-1].raw)
	case r.again[thread]:
		return r.say(from, thread, "can't tell because it can't be read")
	case a.Kind == "confirm": // the same picture again
		return r.say(from, thread, "yes")
	case a.Kind == "match" && a.Expect != "":
		return r.say(from, thread, a.Expect)
	case a.Kind == "checks", a.Kind == "critical":
		return r.say(from, thread, m(a))
	case a.Kind == "choice", a.Kind == "sign":
		text := a.Choices[0].Key
		if a.Kind == "sign" {
			text = "sign " + text
		}
		return r.say(from, thread, text)
	case a.Kind == "reading" && strings.Contains(fmt.Sprint(a.Step), "pin"):
		return r.say(from, thread, "7.97 7.96 7.98")
	case a.Kind == "reading":
		return r.say(from, thread, "0.04 0.05 0.04")
	case a.Kind == "photo":
		return r.say(from, thread, "", "files", []string{"photo.png"})
	}
	return r.say(from, thread, "left plate by the hole, 0.6 mm")
}

func (r *rehearsal) untilSigned(from, thread string, m mood) {
	r.t.Helper()
	for n := 0; r.asks[thread] != nil; n++ {
		if n == 100 {
			r.t.Fatalf("no end to %s; last was said: %s", thread, r.said[len(r.said)-1].raw)
		}
		r.answer(from, thread, m)
	}
}

// enough tests that the conversation has something of everything in it, so that it can't become empty unnoticed.
func (r *rehearsal) enough() {
	kinds, verdicts := map[string]int{}, map[string]bool{}
	for _, e := range r.journal {
		kinds[e.Kind]++
		if e.Kind == (store.Signed{}).Kind() {
			var s struct{ Verdict string }
			if err := json.Unmarshal(e.Body, &s); err != nil {
				r.t.Error(err)
			}
			verdicts[s.Verdict] = true
		}
	}
	for kind, least := range map[string]int{"start": 4, "answer": 60, "note": 1, "photo": 4, "hold": 4, "pause": 1, "carry on": 1, "leave off": 1, "sign": 3} {
		if kinds[kind] < least {
			r.t.Errorf("the conversation has %d entries of the kind %q, fewer than %d", kinds[kind], kind, least)
		}
	}
	if len(verdicts) < 2 || !verdicts["retire"] {
		r.t.Errorf("the verdicts are only %v", verdicts)
	}
	refused := 0
	for _, m := range r.messages {
		if m.status == "refused" {
			refused++
		}
	}
	if refused < 2 {
		r.t.Errorf("%d messages were refused", refused)
	}
	for _, text := range twice(r.said) {
		r.t.Errorf("undisturbed: %s", text)
	}
}
