package bot

import (
	"slices"

	"becket/flows/due"
	"becket/store"
)

// matter is one thing that is open in a team's store, and who can act on it.
type matter struct {
	name   string   // what it is about, as people say it: a mark, a model, a person
	key    string   // the same matter has the same key for as long as it is open, and no other has it
	family string   // of the item it is about; empty: it is about none
	say    string   // what is to be said of it after its name; empty: its head says all
	who    []string // who can act on it
	// do says what ends it, where one person can be asked to. Empty: nobody is asked alone.
	do string
	// early: it isn't chased yet, and only said when the store is handed over.
	early bool
}

// source is a subject of which something can be open.
type source struct {
	head   string // what stands above its matters; with %s, the end of the week
	short  bool   // its matters are named side by side rather than on a line each
	digest bool   // said in the digest; what isn't is said when the store is handed over
	find   func(s *survey) ([]matter, error)
}

// sources is everything that can be open, in the order in which it is said. A new subject is a line here.
func sources() []source {
	return []source{
		{head: openCopy, digest: true, find: (*survey).unaccounted},
		{head: openHeld, digest: true, find: (*survey).held},
		{head: openOpinions, digest: true, find: (*survey).opinions},
		{head: openUnmarked, digest: true, find: (*survey).unmarked},
		{head: openNotices, digest: true, find: (*survey).notices},
		{head: openNoticeAnswers, digest: true, find: (*survey).noticeAnswers},
		{head: openOver, short: true, digest: true, find: (*survey).over},
		{head: openFresh, short: true, digest: true, find: (*survey).fresh},
		{head: openNotSeen, digest: true, find: (*survey).notSeen},
		{head: openSoon, short: true, digest: true, find: (*survey).soon},
		{head: openBags, digest: true, find: (*survey).openBags},
		{head: openWatched, find: (*survey).watched},
		{head: openUnfinished, find: (*survey).unfinished},
		{head: openLife, digest: true, find: (*survey).lifeEnds},
		{head: openUndestroyed, digest: true, find: (*survey).undestroyed},
		{head: openReplace, find: (*survey).toReplace},
		{head: openInstruments, digest: true, find: (*survey).instruments},
		{head: openRepeats, digest: true, find: (*survey).repeats},
		{head: openCompetence, digest: true, find: (*survey).competence},
		{head: openMaker, digest: true, find: (*survey).makerAnswers},
		{head: openSheets, short: true, digest: true, find: (*survey).sheets},
		{head: openNoSheet, short: true, find: (*survey).noSheet},
	}
}

// How long before a day comes it is spoken of.
const (
	soonDays       = 7
	lifeDays       = 90
	competenceDays = 30
	instrumentDays = 30
	// undestroyedDays is how long after its retirement an item that nobody has seen destroyed is chased.
	undestroyedDays = 30
)

// survey is a team's store looked over once, for all the sources. items are those about which something can be open.
type survey struct {
	t      *turn
	today  due.Date
	people []store.Person
	items  []status
}

// survey looks over what needs something done within so many days, and all that is out of use.
func (t *turn) survey(days int) (*survey, error) {
	s := &survey{t: t, today: t.day()}
	var err error
	if s.people, err = t.tx.People(t.m.Room); err != nil {
		return nil, err
	}
	marks, err := t.tx.DueBy(t.m.Room, s.today.AddDays(days))
	if err != nil {
		return nil, err
	}
	held, err := t.tx.Held(t.m.Room)
	if err != nil {
		return nil, err
	}
	for _, h := range held {
		marks = append(marks, h.Mark)
	}
	slices.Sort(marks)
	for _, mark := range slices.Compact(marks) {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return nil, err
		}
		status, err := t.statusOf(item)
		if err != nil {
			return nil, err
		}
		s.items = append(s.items, status)
	}
	return s, nil
}

// opened is what one source has open.
type opened struct {
	source
	matters []matter
}

// pressing is everything open that the digest says, by source.
func (s *survey) pressing() ([]opened, error) {
	all, err := s.open()
	var now []opened
	for _, o := range all {
		o.matters = slices.DeleteFunc(o.matters, func(m matter) bool { return m.early })
		if o.source.digest && len(o.matters) > 0 {
			now = append(now, o)
		}
	}
	return now, err
}

// open is everything open, by source; sources with nothing are left out.
func (s *survey) open() ([]opened, error) {
	var all []opened
	for _, from := range sources() {
		matters, err := from.find(s)
		if err != nil {
			return nil, err
		}
		if len(matters) > 0 {
			all = append(all, opened{from, matters})
		}
	}
	return all, nil
}

// competent is who may sign for a family today; where nobody may, the keepers have to find somebody.
func (s *survey) competent(family string) []string {
	if who := whoMay(s.people, actSign, family, s.today); len(who) > 0 {
		return who
	}
	return keepersOf(s.people)
}

// handler is who has an item in hand, or else who may sign for it.
func (s *survey) handler(item store.Item) []string {
	if item.Holder != "" {
		return []string{item.Holder}
	}
	return s.competent(item.Flow)
}

// asked is what exactly one person is asked to do, by person and key.
func (s *survey) asked() (map[string]map[string]matter, error) {
	all, err := s.open()
	if err != nil {
		return nil, err
	}
	by := map[string]map[string]matter{}
	for _, o := range all {
		for _, m := range o.matters {
			if len(m.who) != 1 || m.do == "" || !slices.ContainsFunc(s.people, func(p store.Person) bool { return p.ID == m.who[0] }) {
				continue
			}
			if by[m.who[0]] == nil {
				by[m.who[0]] = map[string]matter{}
			}
			by[m.who[0]][m.key] = m
		}
	}
	return by, nil
}
