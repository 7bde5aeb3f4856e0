package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/store"
)

// release ends one hold, in writing. It takes a competent person who isn't the only one that reported it nor
// the item's holder, and a complete new inspection, on rope included, that came out usable.
func (t *turn) release(args string) error {
	item, rest, found, err := t.namedItem(args, "release D-02 cleaned, spring replaced by the maker")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actRelease, item.Flow); err != nil || !ok {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	switch {
	case s.retired != nil:
		t.refuse(neverReleased, item.Mark)
		return nil
	case len(s.holds) == 0:
		t.refuse(notHeld, item.Mark)
		return nil
	}
	hold, statement, ok := t.whichHold(s, rest)
	if !ok {
		return nil
	}
	if outside, said, is := outsideStatement(statement); is {
		return t.sendStatement(s, hold, outside, said)
	}
	if len(statement) < inWriting {
		t.refuse(releaseInWriting, s.item.Mark)
		return nil
	}
	bar, err := t.barred(t.m.From, item, hold)
	if err != nil {
		return err
	}
	if bar != "" {
		t.refuse("%s", bar)
		return nil
	}
	inspection, err := t.clears(s, hold)
	if err != nil || inspection == "" {
		return err
	}
	document, ok, err := t.makersDocument(item.Mark, hold, statement)
	if err != nil || !ok {
		return err
	}
	return t.releaseHold(item, hold, store.HoldReleased{Mark: item.Mark, Hold: hold.N, Statement: statement, Inspection: inspection, Document: document})
}

// releaseHold ends the hold and says how the item stands now.
func (t *turn) releaseHold(item store.Item, hold store.Hold, ev store.HoldReleased) error {
	if _, err := t.write(ev); err != nil {
		return err
	}
	after, err := t.statusOf(item)
	if err != nil {
		return err
	}
	now := after.sentence(t.day())
	if i, err := t.sealed(item.Mark); err != nil {
		return err
	} else if i != nil { // how it was last time would steer who is measuring it now
		now = format(sealedUse, item.Mark, i.Inspector)
	}
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	t.reply(joined(format(released, item.Mark, t.m.From, strings.TrimRight(hold.Why, ".")), sentence(now), unsaid))
	return nil
}

// whichHold reads the hold's number, where there are several, and the written statement.
func (t *turn) whichHold(s status, rest string) (store.Hold, string, bool) {
	hold := s.holds[0]
	if len(s.holds) > 1 {
		word, after := firstWord(afterHold(rest))
		n, err := strconv.Atoi(strings.TrimRight(word, ".:,"))
		if err != nil || n < 1 || n > len(s.holds) {
			lines := []string{format(whichHold, s.item.Mark)}
			for i, h := range s.holds {
				lines = append(lines, fmt.Sprintf("  %d  %s", i+1, format(holdReason, strings.TrimRight(h.Why, "."), h.By, h.At.Format("2 January 2006"))))
			}
			t.refuse("%s", joined(append(lines, format(whichHoldHow, s.item.Mark))...))
			return hold, "", false
		}
		hold, rest = s.holds[n-1], after
	} else if _, after := firstWord(afterHold(rest)); afterHold(rest) != rest {
		rest = after // "hold 1", where there is one only
	}
	return hold, strings.TrimLeft(rest, ":,- "), true
}

// afterHold takes the word "hold" off the start of a text that goes on with a number.
func afterHold(text string) string {
	rest, is := afterWords(text, "hold")
	word, _ := firstWord(rest)
	if _, err := strconv.Atoi(strings.TrimRight(word, ".:,")); !is || err != nil {
		return text
	}
	return rest
}

// inWriting is how many letters a written statement has at least.
const inWriting = 10

// clears finds the inspection that clears a hold. Empty: it has said why not.
func (t *turn) clears(s status, hold store.Hold) (string, error) {
	last := s.last
	if !s.signed || !last.Verdict.Usable() || last.Seq < hold.N {
		t.refuse(releaseInspectFirst, s.item.Mark, s.item.Mark)
		return "", nil
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil {
		return "", err
	}
	if o := i.outcome(); len(o.NotDone) > 0 || !o.Verdict.Usable() {
		t.refuse(releaseInspectFirst, s.item.Mark, s.item.Mark)
		return "", nil
	}
	if hold.Source.Findable() && !answers(i, hold) {
		t.refuse(releaseUnanswered, strings.TrimRight(hold.Why, "."))
		return "", nil
	}
	return i.ID, nil
}

// barred says why somebody may not end a hold, whatever their families: they alone reported it, they have the item, or
// they were in the incident. Empty: nothing bars them.
func (t *turn) barred(person string, item store.Item, hold store.Hold) (string, error) {
	switch {
	case hold.By == person && !slices.Contains([]store.Source{store.Noticed, store.NewFigures, store.NewScript}, hold.Source): // whoever types what the maker says reports nothing
		return format(releaseNotReporter, person), nil
	case item.Holder == person:
		return format(releaseNotHolder, item.Mark), nil
	case hold.About == 0:
		return "", nil
	}
	incident, found, err := t.tx.Incident(hold.About)
	if err == nil && found && slices.Contains(incident.People, person) {
		return format(releaseNotInIncident, person), nil
	}
	return "", err
}

// releasers are who could end a hold today.
func (t *turn) releasers(people []store.Person, item store.Item, hold store.Hold) ([]string, error) {
	var who []string
	for _, id := range whoMay(people, actRelease, item.Flow, t.day()) {
		bar, err := t.barred(id, item, hold)
		if err != nil {
			return nil, err
		}
		if bar == "" {
			who = append(who, id)
		}
	}
	return who, nil
}

// makersDocument finds the document without which an arrest or a notice isn't released: it came with this message, or
// was kept since the hold and is named in the statement. Not ok: it has said what is missing.
func (t *turn) makersDocument(mark string, hold store.Hold, statement string) (title string, ok bool, err error) {
	if !hold.Source.NeedsDocument() {
		return "", true, nil
	}
	title, err = t.documentNamed(mark, statement, hold.N)
	if err == nil && title == "" {
		t.refuse(releaseNeedsDocument, hold.Source, mark)
	}
	return title, title != "", err
}

// documentNamed is the title of the document that came with this message, or that was kept with an item after an entry and is
// named in what is written. Empty: there is none.
func (t *turn) documentNamed(mark, written string, after int64) (title string, err error) {
	if len(t.m.Files) > 0 {
		return t.m.Files[0].Name, t.keepPapers(mark, t.m.Files[0].Name)
	}
	entries, err := t.tx.EntriesIn(t.m.Room, store.ItemSubject(mark))
	if err != nil {
		return "", err
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return "", err
		}
		if p, is := ev.(*store.PaperKept); is && e.Seq > after && containsFold(written, p.Title) {
			return p.Title, nil
		}
	}
	return "", nil
}

func containsFold(text, part string) bool {
	return strings.Contains(strings.ToLower(text), strings.ToLower(part))
}

// answers tells whether an inspection asked about this hold and found it gone.
func answers(i *inspection, hold store.Hold) bool {
	step := fmt.Sprintf("since.%s%d", pastHold, hold.N)
	a, given := i.state.Given(step)
	return given && a.Clear && !flows.Judge(i.flow, i.state).Held()
}
