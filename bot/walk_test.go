package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"becket/flows"
	"becket/store"
)

// walker goes through an inspection of one family and says, in every state, everything that can be said.
type walker struct {
	*conversation
	flow   *flows.Flow
	thread string
	hidden map[string][]string // READING: what mustn't be said before it is in
	tried  int
}

// odd is added to every figure, so that no leak can hide among other numbers.
const odd = "0.01357"

// lastOdd is how the readings of last time end.
const lastOdd = "0.00429"

// walkTeam is a yard with one item of the family, whose sheet has odd figures.
func walkTeam(f *flows.Flow, facts map[string]string) (string, map[string]flows.Number, error) {
	d, err := f.ClearWith(facts)
	if err != nil {
		return "", nil, err
	}
	sheet := map[string]flows.Number{}
	var figures, known []string
	for _, g := range f.Figures {
		n, set := d.Sheet[g.ID]
		if !set {
			continue
		}
		if g.Unit != "count" {
			n = n.Add(flows.MustNumber(odd))
		}
		sheet[g.ID] = n
		figures = append(figures, fmt.Sprintf("%s: %s", g.ID, n))
	}
	for id, choice := range facts {
		known = append(known, fmt.Sprintf("%s: %q", id, choice))
	}
	return fmt.Sprintf(`
team: {room: "!yard", name: Yard (invented), zone: UTC}
people:
- {id: "@ana", roles: [keeper], competent: [{flow: %[1]s, until: 2099-12-31}]}
- {id: "@ben", competent: [{flow: %[1]s, until: 2099-12-31}]}
- {id: "@dee"}
sheets:
- {maker: Skerry Works, model: Dunlin, flow: %[1]s, document: Care sheet (invented), edition: "3", page: table 2, figures: {%[2]s}, facts: {%[3]s}, confirmed_by: ["@ana", "@ben"]}
instruments:
- {mark: C-2, kind: digital caliper, doubt: 0.00217, check_by: 2099-12-31}
items:
- {mark: D-14, serial: 22-1180, flow: %[1]s, maker: Skerry Works, model: Dunlin, made: 2022-03, first_use: 2022-05-10, use: people}
- {mark: D-41, serial: 22-1187, flow: %[1]s, maker: Skerry Works, model: Dunlin, made: 2022-03, first_use: 2022-05-10, use: people}
`, f.ID, strings.Join(figures, ", "), strings.Join(known, ", ")), sheet, nil
}

// used is a reading that has worn a little since new: by the given odd bit.
func used(r *flows.Reading, sheet map[string]flows.Number, bit string) string {
	n := r.Low
	switch {
	case r.New != nil && r.New.Figure != "":
		n = sheet[r.New.Figure]
	case r.New != nil:
		n = r.New.Value
	case r.Harm == flows.HarmDown:
		n = r.High
	}
	if r.Unit == "count" {
		bit = "0"
	}
	if r.Harm == flows.HarmDown {
		n = n.Sub(flows.MustNumber(bit))
	} else {
		n = n.Add(flows.MustNumber(bit))
	}
	return strings.TrimSpace(strings.Repeat(n.String()+" ", max(1, r.Repeat)))
}

// walked begins a walk: D-14 has been inspected once, with odd readings and something to watch where the family
// knows of it, and is being inspected again.
func walked(t *testing.T, f *flows.Flow, facts map[string]string, junior bool) *walker {
	team, sheet, err := walkTeam(f, facts)
	if err != nil {
		t.Fatal(err)
	}
	w := &walker{conversation: talkIn(t, team, 1), flow: f, hidden: map[string][]string{}}
	last := finds{}
	for _, s := range f.Steps() {
		if s.Reading != nil {
			last[s.Name] = used(s.Reading, sheet, lastOdd)
			w.hidden[s.Name] = hiddenOf(s.Reading, sheet, strings.Fields(last[s.Name])[0])
		}
	}
	for _, s := range f.Steps() {
		if s.Check != nil && len(s.Check.When.Found) == 0 && len(s.Check.When.Facts) == 0 {
			if g, ok := watchable(s); ok {
				last[s.Name] = g
				break
			}
		}
	}
	w.inspect("@ben", "D-14", last)
	w.forward(48 * 3600e9)
	who := "@ben"
	if junior {
		who = "@dee"
	}
	w.every = nil
	w.thread = w.begin(who, "D-14")
	w.look("inspect D-14", w.every, func() *inspection { return w.open(w.thread) })
	return w
}

// watchable is a finding of a check that is watched.
func watchable(s flows.Step) (string, bool) {
	for _, g := range s.Check.Findings {
		if g.Verdict == flows.Watch {
			return g.ID, true
		}
	}
	return "", false
}

// hiddenOf are the numbers that would steer a reading: its limits, the new value and the last one. Round numbers,
// which a script may use for anything, are looked for by the words they are said with.
func hiddenOf(r *flows.Reading, sheet map[string]flows.Number, last string) (numbers []string) {
	add := func(n flows.Number) {
		if strings.Contains(n.String(), ".") && len(n.String()) > 4 {
			numbers = append(numbers, n.String())
		}
	}
	if r.New != nil && r.New.Figure != "" {
		add(sheet[r.New.Figure])
	}
	for _, l := range r.Limits {
		if l.At.Figure != "" {
			add(sheet[l.At.Figure])
			add(sheet[l.At.Figure].Percent(l.At.Percent))
		}
	}
	if r.Unit != "count" {
		numbers = append(numbers, last)
	}
	return numbers
}

// look searches replies for what isn't to be said yet. What the inspection is by then is only looked up for a reply
// that has something suspicious in it.
func (w *walker) look(said string, replies heard, state func() *inspection) {
	w.Helper()
	for _, r := range replies {
		w.tried++
		suspect := slices.DeleteFunc(lastVerdict(), func(words string) bool { return !strings.Contains(r.Text, words) })
		for step, numbers := range w.hidden {
			for _, n := range numbers {
				if says(r.Text, n) && !w.mayBeSaid(n, step, state()) {
					w.Errorf("%q is answered to %s with %s of %s: %s", said, r.To, n, step, r.Text)
				}
			}
		}
		for _, words := range suspect {
			if i := state(); i.readingsDue() && !(words == "WATCH" && watchedNow(i)) {
				w.Errorf("%q is answered to %s with the last verdict's words %q: %s", said, r.To, words, r.Text)
			}
		}
	}
}

// lastVerdict are words with which the last verdict could be told.
func lastVerdict() []string {
	return []string{"fit when inspected", "watched;", "WATCH", "2026-0001", "By the rules: ", "signed here as", "not fit when"}
}

// says tells whether a text has a number in it, and not as a part of a longer one.
func says(text, number string) bool {
	for {
		before, after, found := strings.Cut(text, number)
		if !found {
			return false
		}
		rest := strings.TrimLeft(after, "0")
		if before == strings.TrimRight(before, "0123456789.") && rest == strings.TrimLeft(rest, "123456789") {
			return true
		}
		text = after
	}
}

// mayBeSaid tells whether the inspection is over, the reading is in, or the number is that of another one that is.
func (w *walker) mayBeSaid(n, step string, i *inspection) bool {
	if i.State != store.Underway && i.State != store.OnHold || i.state.Answered(step) {
		return true
	}
	for other, numbers := range w.hidden {
		if i.state.Answered(other) && slices.Contains(numbers, n) {
			return true
		}
	}
	return false
}

func watchedNow(i *inspection) bool {
	return slices.ContainsFunc(i.outcome().Rules, func(r flows.Rule) bool { return r.Verdict == flows.Watch })
}

// tryAs says something without a trace, and searches what is answered.
func (w *walker) tryAs(from, thread, text string) {
	w.Helper()
	m := Message{ID: "$tried", Room: w.room, From: from, Thread: thread, Text: text}
	err := w.db.Do(w.Context(), func(tx *store.Tx) error {
		t := &turn{bot: w.bot, tx: tx, m: m, zone: tx.Now().Location(), thread: thread}
		if _, err := t.enter(); err != nil {
			return err
		}
		if err := t.route(); err != nil {
			return err
		}
		w.look(text, t.replies, func() *inspection {
			row, _, err := tx.Inspection(w.thread)
			if err != nil {
				w.Fatal(err)
			}
			i, err := w.bot.load(tx, row)
			if err != nil {
				w.Fatal(err)
			}
			return i
		})
		return errUndo
	})
	if !errors.Is(err, errUndo) {
		w.Fatalf("%s says %q: %v", from, text, err)
	}
}

// sayAs says something for good, and searches what is answered.
func (w *walker) sayAs(from, text string) {
	w.Helper()
	w.look(text, w.say(from, w.thread, text), func() *inspection { return w.conversation.open(w.thread) })
}

// everything is said in one state: every answer there is, and every command, by the inspector and by others.
func (w *walker) everything(who string, q flows.Question) {
	w.Helper()
	position := max(1, q.Position-1)
	for n := range optionsOf(q) {
		w.tryAs(who, w.thread, key(n))
	}
	within := []string{
		clearWord, "can't tell", "can't tell, it is stuck", "", "ok", "x y z", "999999", "9.9 9.9 9.9", "back", "pause", "carry on", "leave off", "note came back wet", "why", "help",
		fmt.Sprintf("put right %d clear", position), fmt.Sprintf("put right %d can't tell, it is stuck", position), "sign fit", "sign", "take over",
	}
	for _, text := range within {
		w.tryAs(who, w.thread, text)
	}
	for _, from := range []string{who, "@ana"} {
		for _, text := range []string{"history D-14", "can I use D-14", "why D-14", "due", "quarantine D-14 rope creeps", "quarantine D-41 rope creeps"} {
			w.tryAs(from, "", text)
		}
	}
	for _, text := range []string{
		"inspect D-14", "history D-15", "wrong one D-14, it is D-41", "release D-14 cleaned and tried on two ropes", "strike D-14 meant for D-41", "goods only D-14 worn, kept for hauling",
		"sheet Skerry Works, Dunlin", "confirm sheet Skerry Works, Dunlin", "take over D-14", "instrument", "take in D-14",
	} {
		w.tryAs("@ana", "", text)
	}
	w.tryAs("@ana", w.thread, "clear")
	w.tryAs("@zed", w.thread, "history D-14")
	w.tryAs("@zed", "", "quarantine D-14 rope creeps")
}

func TestWalkFindsANumber(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]bool{"New 8.137.": true, "8.1370 mm": true, "(8.137)": true, "18.137": false, "8.1371": false, "8.13": false, "8.1371, 8.137": true} {
		if got := says(text, "8.137"); got != want {
			t.Errorf("%q says 8.137: %v", text, got)
		}
	}
}

// TestWalkNothingBeforeTheReading walks every family, with all clear, with each section's worst, and with nothing to
// be told, by who may sign and by who may not.
func TestWalkNothingBeforeTheReading(t *testing.T) {
	t.Parallel()
	ways := map[string]func(w *walker, q flows.Question) string{
		"clear": func(w *walker, q flows.Question) string { return w.answer(q) },
		"found": func(w *walker, q flows.Question) string { // whatever opens a reading or is watched, else clear
			for n, o := range optionsOf(q) {
				if q.Kind != flows.KindChoice && (w.opens(o) || o.Verdict == flows.Watch) {
					return key(n)
				}
			}
			return w.answer(q)
		},
		"can't tell": func(w *walker, q flows.Question) string {
			if q.Kind == flows.KindPhoto || q.Section == "close" || q.Kind == flows.KindChoice {
				return w.answer(q)
			}
			return "can't tell, it is stuck"
		},
	}
	var tried atomic.Int64
	t.Cleanup(func() {
		all := tried.Load()
		t.Logf("%d things were said", all)
		if all < 5000 {
			t.Errorf("only %d things were said; a walk over every state takes more", all)
		}
	})
	eachFlow(t, func(t *testing.T, f *flows.Flow, facts map[string]string) {
		for name, way := range ways {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				junior := name == "can't tell"
				w := walked(t, f, facts, junior)
				who := w.open(w.thread).Inspector
				for range 120 {
					q, open := w.open(w.thread).next()
					if !open || !w.waiting() {
						break
					}
					w.everything(who, q)
					text := way(w, q)
					w.sayAs(who, text)
					if again, still := w.open(w.thread).next(); still && slices.Equal(again.Steps, q.Steps) {
						w.sayAs(who, text) // set aside: once more
					}
				}
				tried.Add(int64(w.tried))
			})
		}
	})
}

// answer is the clear answer, and readings a little beyond those of last time.
func (w *walker) answer(q flows.Question) string {
	if q.Kind == flows.KindReading {
		step, _ := w.flow.Step(q.Steps[0])
		return used(step.Reading, w.open(w.thread).state.Sheet, "0.00531")
	}
	return finds{}.words(q)
}

// opens tells whether a finding asks for a reading.
func (w *walker) opens(o flows.Option) bool {
	for _, s := range w.flow.Steps() {
		if s.Reading != nil && slices.Contains(s.Reading.When.Found, o.Check+"."+o.ID) {
			return true
		}
	}
	return false
}

// waiting tells whether a reading can still come.
func (w *walker) waiting() bool { return w.open(w.thread).readingsDue() }
