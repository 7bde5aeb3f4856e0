package bot

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// inspection is one inspection as its entries fold to.
type inspection struct {
	store.Inspection
	started  store.Started
	flow     *flows.Flow
	state    flows.State
	answers  []givenAnswer
	notes    []store.Noted
	photos   []keptPhoto
	doubts   []photoDoubt
	signed   *store.Signed
	signedBy string
	// finishing: a retire finding was made and the rest left off; only the signature is missing.
	finishing bool
	notDone   []string
	// newer is the model's sheet where it has changed since the start, once the end is reached.
	newer *store.NewerSheet
}

// givenAnswer is an answer with the entry that holds it.
type givenAnswer struct {
	store.Answered
	entry store.Entry
}

// load folds an inspection from its entries.
func (b *Bot) load(tx *store.Tx, row store.Inspection) (*inspection, error) {
	entries, err := tx.Entries(store.InspectionSubject(row.ID))
	if err != nil {
		return nil, err
	}
	i := &inspection{Inspection: row}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return nil, fmt.Errorf("entry %d: %w", e.Seq, err)
		}
		if err := i.take(b, tx, e, ev); err != nil {
			return nil, fmt.Errorf("entry %d: %w", e.Seq, err)
		}
	}
	if i.flow == nil {
		return nil, fmt.Errorf("the inspection %s has no beginning in the record", row.ID)
	}
	return i, i.examined(b)
}

// examined sets the examination's day: that of the earliest look or feel that stands, not of the signature.
func (i *inspection) examined(b *Bot) error {
	zone, err := b.zones.zone(i.started.Zone)
	if err != nil {
		return err
	}
	var first time.Time
	for _, a := range i.answers {
		section, _, _ := strings.Cut(a.Step, ".")
		if section != "look" && section != "feel" || a.Reopen || !i.standsSince(a) {
			continue
		}
		if first.IsZero() || a.entry.At.Before(first) {
			first = a.entry.At
		}
	}
	if !first.IsZero() {
		i.state.Day = due.On(first.In(zone))
	}
	return nil
}

// standsSince tells whether an answer is the one that its step has now.
func (i *inspection) standsSince(a givenAnswer) bool {
	for n := len(i.answers) - 1; n >= 0; n-- {
		if i.answers[n].Step == a.Step {
			return i.answers[n].entry.Seq == a.entry.Seq
		}
	}
	return false
}

func (i *inspection) take(b *Bot, tx *store.Tx, e store.Entry, ev store.Event) (err error) {
	switch ev := ev.(type) {
	case *store.Started:
		if i.flow, err = b.kept(tx, ev.Flow); err != nil {
			return err
		}
		i.started, i.state = *ev, i.flow.Start(ev.Start)
	case *store.Answered:
		ev.By = e.By
		i.answers = append(i.answers, givenAnswer{Answered: *ev, entry: e})
		i.state = i.state.Recorded(ev.Answer, ev.SetAside)
	case *store.Noted:
		i.notes = append(i.notes, *ev)
	case *store.Photographed:
		i.photos = append(i.photos, keptPhoto{Photographed: *ev, seq: e.Seq})
	case *store.PhotoDoubted:
		i.doubts = append(i.doubts, photoDoubt{photo: ev.Photo, seq: e.Seq, why: ev.Why})
	case *store.PhotoVouched:
		if d := i.doubtOf(ev.Photo); d != nil {
			d.answered, d.is, d.by = true, ev.Is, e.By
		}
	case *store.TakenOver:
		i.state.OneByOne = ev.OneByOne
	case *store.LeftOff:
		i.finishing, i.notDone = ev.ToSign, ev.NotDone
	case *store.Signed:
		i.signed, i.signedBy = ev, e.By
	case *store.Supervised:
		i.signed, i.signedBy = &ev.Signed, e.By
	}
	return nil
}

// next is the question that awaits an answer.
func (i *inspection) next() (flows.Question, bool) {
	q, open := flows.Next(i.flow, i.state)
	if open && q.Steps[0] == flows.PhotoStep && i.hasPhoto() {
		return flows.Question{}, false // there is one already, and it was the last question
	}
	if open && i.finishing && !slices.Contains(q.Steps, flows.PhotoStep) {
		if photo, ok := flows.At(flows.Plan(i.flow, i.state), flows.PhotoStep); ok && !i.state.Answered(flows.PhotoStep) && !i.hasPhoto() {
			return photo, true
		}
		return flows.Question{}, false
	}
	return q, open
}

// outcome is what the rules say so far: by the sheet it started with and by a newer one, and the stricter stands.
func (i *inspection) outcome() flows.Outcome { return judged(i.flow, i.state, i.newer, i.ID) }

func judged(f *flows.Flow, s flows.State, newer *store.NewerSheet, id string) flows.Outcome {
	o := flows.Judge(f, s)
	if newer != nil {
		s.Sheet, s.Unconfirmed = newer.Figures, newer.Unconfirmed
		if again := flows.Judge(f, s); again.Worst() > o.Worst() {
			o = again
		}
	}
	o.Inspection = id
	return o
}

// readingsDue tells whether a reading is still to come, so that nothing that could steer it may be said.
func (i *inspection) readingsDue() bool {
	if !slices.Contains([]store.InspectionState{store.Underway, store.OnHold, store.Waiting}, i.State) || i.finishing {
		return false
	}
	for _, q := range flows.Plan(i.flow, i.state) {
		for _, step := range q.Steps {
			if !i.state.Answered(step) && (q.Kind == flows.KindReading || i.opensReading(step)) {
				return true
			}
		}
	}
	return false
}

// opensReading tells whether something found at this step would have to be measured.
func (i *inspection) opensReading(step string) bool {
	for _, s := range i.flow.Steps() {
		if s.Reading != nil && slices.ContainsFunc(s.Reading.When.Found, func(f string) bool { return strings.HasPrefix(f, checkOf(step)+".") }) {
			return true
		}
	}
	return false
}

// longPause is how long an inspection may rest before identity, look and feel are done again.
const longPause = 12 * time.Hour

// longestPause is how long readings and what was worked by hand may rest.
const longestPause = 7 * 24 * time.Hour

// stale are the steps whose answers no longer count, since a long pause came after them. A pause is the time in
// which nothing was answered: no command ends it.
func (i *inspection) stale(now time.Time) []string {
	long, longest := i.rested(now, longPause), i.rested(now, longestPause)
	if long.IsZero() {
		return nil // without a long pause there was no longer one, and no plan is needed to say so
	}
	var steps []string
	for _, q := range flows.Plan(i.flow, i.state) {
		after := longest
		if slices.Contains([]string{"identity", "papers", "since", "look", "feel"}, q.Section) {
			after = long
		}
		for _, step := range q.Steps {
			if i.state.Answered(step) && i.answeredAt(step).Before(after) {
				steps = append(steps, step)
			}
		}
	}
	return steps
}

// rested is when work went on after the last pause of more than so long; zero: there was none.
func (i *inspection) rested(now time.Time, pause time.Duration) time.Time {
	var after time.Time
	last := i.Started
	for _, a := range i.answers {
		if a.Reopen {
			continue
		}
		if a.entry.At.Sub(last) > pause {
			after = a.entry.At
		}
		last = a.entry.At
	}
	if now.Sub(last) > pause {
		after = now
	}
	return after
}

// answeredAt is when a step got the answer that it has now.
func (i *inspection) answeredAt(step string) (at time.Time) {
	for _, a := range i.answers {
		if a.Step == step && !a.Reopen {
			at = a.entry.At
		}
	}
	return at
}

// byHand are the steps that were felt or worked rather than seen: another person does them again.
func (i *inspection) byHand() []string {
	var steps []string
	for _, s := range i.flow.Steps() {
		if (s.Section.OnRope || slices.Contains([]string{"feel", "function"}, s.Section.ID)) && i.state.Answered(s.Name) {
			steps = append(steps, s.Name)
		}
	}
	return steps
}

// find looks for the inspection that a message belongs to: the one of its conversation, or the only one of
// the speaker's that waits for an answer.
func (t *turn) find() error {
	if t.m.Thread != "" {
		row, found, err := t.tx.InspectionIn(t.m.Room, t.m.Thread)
		if err == nil && !found {
			return t.findMoved()
		}
		if err != nil {
			return err
		}
		t.dropMark(row.Mark)
		return t.place(row)
	}
	rows, err := t.tx.OpenInspections(t.m.Room)
	if err != nil {
		return err
	}
	rows = slices.DeleteFunc(rows, func(r store.Inspection) bool { return r.Inspector != t.m.From })
	for _, r := range rows {
		if r.State == store.OnHold {
			t.paused = append(t.paused, r.Mark)
		}
	}
	rows = slices.DeleteFunc(rows, func(r store.Inspection) bool { return r.State != store.Underway })
	if len(rows) > 1 {
		mark, rest := firstWord(t.m.Text)
		for _, r := range rows {
			t.several = append(t.several, r.Mark)
			if sameWord(bareMark(mark), r.Mark) && rest != "" {
				t.m.Text = rest
				t.several = nil
				return t.place(r)
			}
		}
		return nil
	}
	if len(rows) == 1 {
		t.dropMark(rows[0].Mark)
		return t.place(rows[0])
	}
	return nil
}

// dropMark takes the mark of the open item off the start of an answer: "K-03 clear".
func (t *turn) dropMark(mark string) {
	word, rest := firstWord(t.m.Text)
	if rest != "" && sameWord(bareMark(word), mark) {
		t.m.Text = rest
	}
}

func (t *turn) place(row store.Inspection) error {
	if row.Closed() || row.State == store.Waiting || row.State == store.Complete {
		t.ended = true
		return nil
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	t.thread = i.Thread
	if i.Inspector != t.m.From {
		t.others = i
		return nil
	}
	t.here = i
	return nil
}

// sealed tells whether an item is under inspection with readings still to come: until they are in, nobody is
// told its last verdict, its last readings, or what its limits are.
func (t *turn) sealed(mark string) (*inspection, error) {
	row, found, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil || !found {
		return nil, err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil || !i.readingsDue() && i.Repeats == "" { // what repeats another is blind to its end
		return nil, err
	}
	return i, nil
}
