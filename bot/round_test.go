package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// tin is an invented store of connectors of one make, inspected by @ben, who may sign for them as @ana may. @dee may not.
func tin(n int) string {
	team := `
team: {room: "!yard", name: Yard (invented), zone: UTC}
people:
- {id: "@ana", roles: [keeper], competent: [{flow: connector, until: 2099-12-31}]}
- {id: "@ben", competent: [{flow: connector, until: 2099-12-31}]}
- {id: "@eve", competent: [{flow: connector, until: 2026-11-14}]}
- {id: "@dee"}
sheets:
- {maker: Northlight, model: Kittiwake, flow: connector, document: Kittiwake leaflet (invented), edition: "1", page: page 2, figures: {groove_max: 1.0, section_new: 11.0, kn_open: 8, sleeve_turns: 5}, facts: {lock: screw}, confirmed_by: ["@ana", "@ben"]}
instruments:
- {mark: C-2, kind: digital caliper, doubt: 0.04, check_by: 2099-12-31}
items:
`
	for k := range n {
		team += fmt.Sprintf("- {mark: K-%02d, serial: K23-01%02d, flow: connector, maker: Northlight, model: Kittiwake, made: 2023-05, first_use: 2023-06-01, use: people}\n", k+1, k+1)
	}
	return team
}

// roundOf begins a round with the bench set up, and gives its conversation.
func (c *conversation) roundOf(from, what string) (thread string) {
	c.Helper()
	h := c.say(from, "", "round "+what)
	for range 6 {
		if len(h) == 0 || h.refused() {
			c.Fatalf("no round %s: %s", what, h.text())
		}
		asked := h[len(h)-1]
		if asked.Ask == nil || asked.Ask.Section != "round" {
			break
		}
		for question, answer := range map[string]string{askLight: "yes", askBenchInstrument: "C-2", askRope: "none", askInstructions: "yes"} {
			if strings.Contains(asked.Text, question) {
				h = c.say(from, "", answer)
			}
		}
	}
	return h[len(h)-1].Thread
}

// inHand is the inspection that a round asks now; nil: none.
func (c *conversation) inHand(thread string) (i *inspection) {
	c.Helper()
	c.view(func(tx *store.Tx) error {
		row, found, err := tx.InspectionIn(c.room, thread)
		if err != nil || !found || row.State != store.Underway {
			return err
		}
		i, err = c.bot.load(tx, row)
		return err
	})
	return i
}

// lineFor is a line for the item in hand, clear but for what is found elsewhere.
func lineFor(i *inspection, a finds) string {
	var parts []string
	for _, q := range i.line() {
		said := a.words(q)
		if q.Kind == flows.KindChecks && said != clearWord {
			said = moreWord
		}
		parts = append(parts, strings.ReplaceAll(said, ",", ""))
	}
	return strings.Join(parts, ", ")
}

// answerItem answers all of the item in hand, as few replies as there can be, and counts them.
func (c *conversation) answerItem(from, thread string, a finds) (replies int, last heard) {
	c.Helper()
	mark := c.inHand(thread).Mark
	for range 60 {
		i := c.inHand(thread)
		if i == nil || i.Mark != mark {
			return replies, last
		}
		q, _ := i.next()
		said := a.words(q)
		if len(i.line()) > 0 {
			said = lineFor(i, a)
		} else if said == clearLetter {
			said = letterWord + said
		}
		replies++
		if last = c.say(from, thread, said); last.refused() {
			c.Fatalf("%q to %v: %s", said, q.Steps, last.text())
		}
	}
	c.Fatalf("no end to %s", mark)
	return 0, nil
}

// TestRepliesOfAClearItem counts what a clear item costs. The targets are the job's: connector 4 alone and 2 in a
// round, pulley 8 and tandem 9, toothed rope grab 9, descender 10 and with a pin to measure 11, belay device 9; in a round
// neither the start nor the signature is an item's own.
func TestRepliesOfAClearItem(t *testing.T) {
	targets := map[string]int{
		"connector": 4, "pulley single": 8, "pulley tandem": 9, "toothed-rope-grab": 9, "cam-handle-descender indicator": 10,
		"cam-handle-descender pin": 11, "assisted-braking-belay-device": 9,
	}
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		team, _, err := walkTeam(f, facts)
		if err != nil {
			t.Fatal(err)
		}
		name := f.ID
		for _, id := range []string{"layout", "wear_mark"} {
			if facts[id] != "" {
				name += " " + facts[id]
			}
		}
		target, known := targets[name]
		alone := 0
		for seed := range uint64(4) {
			c := talkIn(t, team, seed)
			thread := c.begin("@ben", "D-14")
			n := 2 // the start and the signature
			for range 60 {
				i := c.open(thread)
				q, open := i.next()
				if !open {
					break
				}
				said := clean(f, facts, q)
				if line := i.line(); len(line) > 0 {
					said = lineFor(i, nil)
				}
				if h := c.say("@ben", thread, said); h.refused() {
					t.Fatalf("%q to %v: %s", said, q.Steps, h.text())
				}
				n++
			}
			alone = max(alone, n)
			c.wantSaid(c.say("@ben", thread, "sign fit"), "Signed")
		}
		t.Logf("%s: %d alone, %d in a round; target %d alone", name, alone, alone-2, target)
		if facts["swivel"] == "yes" {
			target += 2 // its gap is read and the turning of it looked at, which the target's pulley hasn't got
		}
		if known && alone > target {
			t.Errorf("%s costs %d replies; the target is %d", name, alone, target)
		}
	})
}

// clean is the answer of something as new.
func clean(f *flows.Flow, facts map[string]string, q flows.Question) string {
	if q.Kind != flows.KindReading {
		return finds{}.words(q)
	}
	d, err := f.ClearWith(facts)
	if err != nil {
		return err.Error()
	}
	return strings.Join(d.Answers[q.Steps[0]].List, " ")
}

func TestARoundOfConnectors(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(12), 7)
	thread := c.roundOf("@ben", "connectors")
	inFull, order := 0, []string{}
	for range 12 {
		i := c.inHand(thread)
		order = append(order, i.Mark)
		if strings.Contains(c.every[len(c.every)-1].Text, "your own mark gone") {
			inFull++
		}
		if n, _ := c.answerItem("@ben", thread, nil); n != 2 {
			t.Errorf("%s cost %d replies", i.Mark, n)
		}
	}
	if inFull != 2 {
		t.Errorf("of twelve, %d lists were in full; it is the first and every tenth", inFull)
	}
	if slices.IsSorted(order) {
		t.Errorf("the order isn't mixed: %v", order)
	}
	c.wantSaid(c.say("@ben", thread, "sign round fit"), "Signed, 12: FIT")
	for _, mark := range order {
		if s := c.status(mark); !s.usable(c.day()) {
			t.Errorf("%s: %s", mark, s.sentence(c.day()))
		}
	}
}

// TestInARoundAsOutside finds each thing that can be found in a connector, once alone and once in a round: the same
// questions, the same holds, the same verdict.
func TestInARoundAsOutside(t *testing.T) {
	t.Parallel()
	library, err := sharedLibrary()
	if err != nil {
		t.Fatal(err)
	}
	f := library[slices.IndexFunc(library, func(f *flows.Flow) bool { return f.ID == "connector" })]
	var cases []finds
	for _, step := range f.Steps() {
		if step.Check != nil {
			cases = append(cases, finds{step.Name: "?  it is hidden"})
			for _, g := range step.Check.Findings {
				cases = append(cases, finds{step.Name: g.ID})
			}
		}
	}
	alone, round := talkIn(t, tin(len(cases)), 3), talkIn(t, tin(len(cases)), 3)
	thread := round.roundOf("@ben", "store")
	for range cases {
		i := round.inHand(thread)
		a := cases[0]
		cases = cases[1:]
		a["measure.groove_depth"], a["measure.thickness"] = "0.11 0.12 0.13", "10.91 10.92 10.93"
		round.answerItem("@ben", thread, a)
		own := alone.begin("@ben", i.Mark)
		alone.until("@ben", own, "", a)
		var got, want flows.Outcome
		round.view(func(tx *store.Tx) error {
			row, _, err := tx.Inspection(i.ID)
			if err != nil {
				return err
			}
			done, err := round.bot.load(tx, row)
			got = done.outcome()
			return err
		})
		want = alone.open(own).outcome()
		if got.Verdict != want.Verdict || fmt.Sprint(got.Rules) != fmt.Sprint(want.Rules) {
			t.Errorf("%v: in a round %s %v, alone %s %v", a, got.Verdict, got.Rules, want.Verdict, want.Rules)
		}
		if g, w := len(round.status(i.Mark).holds), len(alone.status(i.Mark).holds); g != w {
			t.Errorf("%v: %d holds in a round, %d alone", a, g, w)
		}
	}
}

func TestWhatALineRefuses(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(2), 1)
	thread := c.roundOf("@ben", "store")
	i := c.inHand(thread)
	whole := lineFor(i, nil)
	parts := partsOf(whole)
	with := func(n int, part string) string {
		changed := slices.Clone(parts)
		changed[n] = part
		return strings.Join(changed, ", ")
	}
	group := slices.IndexFunc(i.line(), func(q flows.Question) bool { return q.Kind == flows.KindChecks })
	feel := slices.IndexFunc(i.line(), func(q flows.Question) bool { return q.Kind == flows.KindChecks && q.Section == "feel" })
	note := slices.IndexFunc(i.line(), func(q flows.Question) bool { return q.Kind == flows.KindNote })
	for _, wrong := range []string{
		strings.Join(parts[:len(parts)-1], ", "), whole + ", a", whole + ", clear", // the gate is no part of it
		with(group, "a"), with(group, "ok"), with(group, "yes"), with(group, "same"), with(group, "👍"), with(group, "all clear"), with(group, "as last time"),
		with(0, moreWord), with(0, "c"), with(0, "clear"), with(note, "c"), with(note, "ok"), with(feel, "gloves"), with(feel, "numb"),
		"c, c, c, c, c, c, c", "clear, clear", "all clear, all sections",
	} {
		if h := c.say("@ben", thread, wrong); !h.refused() {
			t.Errorf("%q was taken: %s", wrong, h.text())
		}
	}
	if i := c.inHand(thread); len(i.answers) > 0 {
		t.Fatalf("something was written: %v", i.answers)
	}
	c.wantSaid(c.say("@ben", thread, with(group, "can't tell because paint")), "can't tell")
	c.say("@ben", thread, "a")
	c.wantSaid(c.say("@ben", thread, "no photo"), "QUARANTINE")
}

// A serial number that isn't the register's stops the line: the rest may have been said of another item.
func TestALineStopsAtAnotherSerial(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(2), 1)
	thread := c.roundOf("@ben", "store")
	i := c.inHand(thread)
	rest := strings.Join(partsOf(lineFor(i, nil))[1:], ", ")
	for range 2 {
		c.wantSaid(c.say("@ben", thread, "X99-9999, "+rest), lineStopped)
	}
	i = c.inHand(thread)
	if n := len(i.state.Answers()); n != 1 {
		t.Errorf("%d answers stand after another item's serial", n)
	}
	c.wantHeld(i.Mark)
}

func TestNobodySignsARoundMilder(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(6), 1)
	thread := c.roundOf("@ben", "store")
	var marks []string
	for _, a := range []finds{nil, {"feel.felt_pins": "stain"}, {"function.gate": "failed"}, {"look.line": "?  it is covered"}, nil, nil} {
		marks = append(marks, c.inHand(thread).Mark)
		c.answerItem("@ben", thread, a)
	}
	for _, mild := range []string{"sign round quarantine", "sign round retire", "sign round incomplete", "sign round", "sign round all", "sign round f", "sign " + marks[1] + " fit", "sign " + marks[2] + " watch", "sign " + marks[3] + " fit"} {
		if h := c.say("@ben", "", mild); !h.refused() {
			t.Errorf("%q was taken: %s", mild, h.text())
		}
	}
	for _, other := range []string{"@ana", "@dee"} {
		c.wantRefused(c.say(other, "", "sign round fit"), "Nothing of yours")
		c.wantRefused(c.say(other, "", "sign "+marks[0]+" fit"), "only their answers count")
	}
	c.wantSaid(c.say("@ben", "", "sign round fit"), "Signed, 3: FIT")
	for n, mark := range marks {
		if usable := c.status(mark).usable(c.day()); usable != (n == 0 || n > 3) {
			t.Errorf("%s may be used: %v", mark, usable)
		}
	}
	c.wantSaid(c.say("@ben", "", "sign round watch"), "Signed, 1: WATCH")
	c.wantSaid(c.say("@ben", "", "sign "+marks[3]+" quarantine"), "Signed")
	c.wantHeld(marks[2])
	c.wantHeld(marks[3])
}

// Safety rules 13, 14 and 15, at the signature of a round.
func TestSafety14_ARoundGrownOld(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(3), 1)
	thread := c.roundOf("@ben", "store")
	for range 3 {
		c.answerItem("@ben", thread, nil)
	}
	c.forward(13 * time.Hour)
	h := c.say("@ben", "", "sign round fit")
	c.wantSaid(h, "more than 12 hours have gone by: K-")
	if strings.Contains(h.text(), "Signed,") {
		t.Errorf("old answers were signed: %s", h.text())
	}
	for n := range 3 {
		i := c.inHand(thread)
		if i == nil {
			i = c.waiting(n)
			c.say("@ben", "", "carry on "+i.Mark)
			i = c.inHand(thread)
		}
		for range 30 {
			q, open := c.inHand(thread).next()
			if !open {
				break
			}
			if n == 0 && q.Section == "function" { // of those taken up again the last check is asked once more
				t.Errorf("%v is asked again after half a day", q.Steps)
			}
			said := finds{}.words(q)
			c.say("@ben", thread, said)
		}
		c.wantSaid(c.say("@ben", thread, "sign fit"), "Signed")
		if s := c.status(i.Mark); s.last.Day.String() != "2026-11-14" {
			t.Errorf("%s was examined on %s", i.Mark, s.last.Day)
		}
	}
}

// waiting is an inspection that was laid by in a round.
func (c *conversation) waiting(_ int) (i *inspection) {
	c.Helper()
	c.view(func(tx *store.Tx) error {
		for k := range 99 {
			row, found, err := tx.Unfinished(c.room, fmt.Sprintf("K-%02d", k+1))
			if err != nil {
				return err
			}
			if found && row.State == store.Waiting {
				i, err = c.bot.load(tx, row)
				return err
			}
		}
		return nil
	})
	return i
}

func TestSafety15_CompetenceEndsBeforeTheRoundIsSigned(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(2), 1)
	thread := c.roundOf("@eve", "store")
	c.answerItem("@eve", thread, nil)
	c.answerItem("@eve", thread, nil)
	c.now = time.Date(2026, 11, 15, 0, 30, 0, 0, time.UTC) // her last day is over
	h := c.say("@eve", "", "sign round fit")
	if strings.Contains(h.text(), "Signed,") {
		t.Errorf("signed after her competence has ended: %s", h.text())
	}
}

// Attention rule 7, in a round: haste over a line is said, and in the next item's line that line is asked again.
func TestAttention07_HasteInLines(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(4), 1)
	thread := c.roundOf("@ben", "store")
	at := c.now
	send := func(text string, after time.Duration) heard {
		at = at.Add(after)
		_, h := c.send(Message{From: "@ben", Thread: thread, Text: text, At: at})
		return h
	}
	send("next", time.Second)
	send(lineFor(c.inHand(thread), nil), time.Minute)
	send("a", time.Minute)
	c.wantSaid(send(lineFor(c.inHand(thread), nil), 5*time.Second), quickOnce) // 16 checks in 5 seconds
	send("a", time.Minute)
	i := c.inHand(thread)
	c.wantSaid(send(lineFor(i, nil), 5*time.Second), quickTwice)
	if i = c.inHand(thread); i.state.Answered("feel.nail") || i.state.Answered("look.line") {
		t.Error("what was answered too fast twice isn't asked again")
	}
}

// Attention rule 15, in a round: after a rest the one before it once more.
func TestAttention15_AfterARestInARound(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(2), 1)
	thread := c.roundOf("@ben", "store")
	for _, step := range []string{"identity.marks", "papers.history"} {
		q, _ := c.inHand(thread).next()
		for !slices.Contains(q.Steps, step) {
			c.say("@ben", thread, finds{}.words(q))
			q, _ = c.inHand(thread).next()
		}
	}
	before := c.inHand(thread).lastSteps()
	c.forward(11 * time.Minute)
	h := c.say("@ben", thread, "clear")
	c.wantSaid(h, restBefore)
	i := c.inHand(thread)
	if q, _ := i.next(); !slices.Equal(q.Steps, before) {
		t.Errorf("after the rest %v is asked; before it %v was answered", q.Steps, before)
	}
	if !i.state.Answered("papers.history") {
		t.Error("what was answered after the rest is lost")
	}
}

// An answer of an item that was done already can be edited: it comes back into the hand, and what it now finds holds.
func TestAnEditBringsAnItemBack(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(3), 1)
	thread := c.roundOf("@ben", "store")
	first := c.inHand(thread).Mark
	c.say("@ben", thread, lineFor(c.inHand(thread), nil))
	gate, _ := c.send(Message{From: "@ben", Thread: thread, Text: "a"})
	second := c.inHand(thread).Mark
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: "e", Replaces: gate})
	c.wantSaid(h, "held from now")
	c.wantHeld(first)
	if i := c.inHand(thread); i.Mark != first {
		t.Errorf("%s is in hand", i.Mark)
	}
	c.say("@ben", thread, "no photo")
	if i := c.inHand(thread); i.Mark == first {
		t.Errorf("%s is still in hand", first)
	}
	c.answerItem("@ben", thread, nil)
	if i := c.inHand(thread); i.Mark != second {
		t.Errorf("%s was put by and never asked again", second)
	}
}

// What cold hands do: a line without its commas, the wrong letter for the last gate, another mark while one is paused.
func TestSlipsInARound(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(3), 1)
	thread := c.roundOf("@ben", "store")
	i := c.inHand(thread)
	for range 3 {
		c.wantRefused(c.say("@ben", thread, strings.ReplaceAll(lineFor(i, nil), ",", "")), "commas")
	}
	if s := c.status(i.Mark); len(s.holds) > 0 {
		t.Error("a missing comma held an item")
	}
	first := i.Mark
	c.answerItem("@ben", thread, nil)
	c.wantSaid(c.say("@ben", thread, "back"), "Back to "+first)
	if i = c.inHand(thread); i.Mark != first || i.state.Answered("function.gate") {
		t.Errorf("back went to %s", i.Mark)
	}
	c.say("@ben", thread, "b")
	c.say("@ben", thread, "pause")
	paused := c.open(c.inRound(thread, store.OnHold)).Mark
	for _, mark := range []string{"K-01", "K-02", "K-03", "next", "round"} {
		if h := c.say("@ben", "", mark); !h.refused() {
			t.Errorf("%q while %s is paused: %s", mark, paused, h.text())
		}
	}
	c.say("@ben", "", "carry on")
	if i = c.inHand(thread); i.Mark != paused {
		t.Errorf("%s is in hand", i.Mark)
	}
}

// inRound is the id of a round's inspection in a state.
func (c *conversation) inRound(thread string, state store.InspectionState) (id string) {
	c.Helper()
	c.view(func(tx *store.Tx) error {
		rows, err := tx.InRound(thread)
		for _, r := range rows {
			if r.State == state {
				id = r.ID
			}
		}
		return err
	})
	return id
}

// Safety rule 14: nothing is issued between looking and signing.
func TestSafety14_NothingIsIssuedBeforeTheRoundIsSigned(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(2), 1)
	for range 2 { // the second time it was fit before, and could be issued but for the round
		thread := c.roundOf("@ben", "store")
		for range 2 {
			c.answerItem("@ben", thread, nil)
		}
		c.wantSaid(c.say("@ana", "", "issue K-01 to @dee"), "Nothing was issued")
		c.wantSaid(c.say("@ben", "", "sign round fit"), "Signed, 2")
		c.forward(24 * time.Hour)
	}
	c.wantSaid(c.say("@ana", "", "issue K-01 to @dee"), "K-01")
}
