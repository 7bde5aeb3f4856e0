package bot

import (
	"strings"

	"becket/store"
)

// outsideStatement reads "with statement by NAME: what they write" at the start of a release.
func outsideStatement(text string) (name, said string, is bool) {
	rest, is := afterWords(text, "with statement")
	if !is {
		return "", "", false
	}
	for _, word := range []string{"by", "of", "from"} {
		if after, cut := afterWords(rest, word); cut {
			rest = after
			break
		}
	}
	name, said, _ = strings.Cut(rest, ":")
	return strings.TrimSpace(name), strings.TrimSpace(said), true
}

// sendStatement keeps the written statement of a competent person from elsewhere, where nobody in the team could
// release the hold. A keeper countersigns it; until then nothing is released.
func (t *turn) sendStatement(s status, hold store.Hold, outside, said string) error {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	could, err := t.releasers(people, s.item, hold)
	if err != nil {
		return err
	}
	switch listed := personCalled(people, outside); {
	case len(could) > 0:
		t.refuse(statementNotNeeded, list(could), s.item.Mark)
		return nil
	case outside == "" || len(said) < inWriting || listed:
		t.refuse(statementHow, s.item.Mark)
		return nil
	case len(t.m.Files) == 0:
		t.refuse(statementPhoto, s.item.Mark)
		return nil
	case hold.Source.NeedsDocument() && len(t.m.Files) < 2: // the statement's own photo isn't the maker's word
		t.refuse(statementTwoPapers, hold.Source, s.item.Mark)
		return nil
	}
	inspection, err := t.clears(s, hold)
	if err != nil || inspection == "" {
		return err
	}
	ev := store.StatementSent{Mark: s.item.Mark, Hold: hold.N, Outside: outside, Statement: said, Inspection: inspection}
	if hold.Source.NeedsDocument() {
		ev.Document = t.m.Files[1].Name
	}
	if err := t.keepPapers(s.item.Mark, format(statementTitle, outside)); err != nil {
		return err
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	keepers, err := t.countersigners(people, s.item, hold)
	if err != nil {
		return err
	}
	for _, id := range keepers {
		t.tell(id, format(statementToKeeper, s.item.Mark, t.describe(s.item), strings.TrimRight(hold.Why, "."), outside, said, s.item.Mark))
	}
	t.say(statementKept, s.item.Mark, outside, list(keepers), s.item.Mark)
	return nil
}

// personCalled tells whether a name is somebody of the team: they aren't from elsewhere.
func personCalled(people []store.Person, name string) bool {
	for _, p := range people {
		if sameWord(p.ID, name) || p.Name != "" && sameWord(p.Name, name) || sameWord(strings.TrimPrefix(p.ID, "@"), name) {
			return true
		}
	}
	return false
}

// countersigners are the keepers whom nothing bars and who didn't send the statement themselves.
func (t *turn) countersigners(people []store.Person, item store.Item, hold store.Hold) ([]string, error) {
	var who []string
	for _, id := range keepersOf(people) {
		bar, err := t.barred(id, item, hold)
		if err != nil {
			return nil, err
		}
		if bar == "" && id != t.m.From {
			who = append(who, id)
		}
	}
	return who, nil
}

// countersign is the keeper's word to a statement from elsewhere: the hold ends, with both in the record.
func (t *turn) countersign(args string) error {
	item, _, found, err := t.namedItem(args, "countersign D-02")
	if err != nil || !found {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	sent, by, hold, err := t.statementFor(s)
	if err != nil {
		return err
	}
	switch {
	case s.retired != nil:
		t.refuse(neverReleased, item.Mark)
		return nil
	case sent == nil:
		t.refuse(noStatement, item.Mark, item.Mark)
		return nil
	case by == t.m.From:
		t.refuse(countersignSecond, item.Mark)
		return nil
	}
	if bar, err := t.barred(t.m.From, item, hold); err != nil || bar != "" {
		if bar != "" {
			t.refuse("%s", bar)
		}
		return err
	}
	inspection, err := t.clears(s, hold)
	if err != nil || inspection == "" {
		return err
	}
	return t.releaseHold(item, hold, store.HoldReleased{
		Mark: item.Mark, Hold: hold.N, Statement: sent.Statement, Inspection: inspection,
		Document: sent.Document, Outside: sent.Outside, SentBy: by,
	})
}

// statementFor is the latest statement from elsewhere for a hold that still stands, and who sent it.
func (t *turn) statementFor(s status) (sent *store.StatementSent, by string, hold store.Hold, err error) {
	entries, err := t.tx.EntriesIn(t.m.Room, "item:"+s.item.Mark)
	if err != nil {
		return nil, "", hold, err
	}
	for _, e := range entries {
		if e.Kind != (store.StatementSent{}).Kind() {
			continue
		}
		ev, err := e.Event()
		if err != nil {
			return nil, "", hold, err
		}
		statement := ev.(*store.StatementSent)
		for _, h := range s.holds {
			if h.N == statement.Hold {
				sent, by, hold = statement, e.By, h
			}
		}
	}
	return sent, by, hold, nil
}
