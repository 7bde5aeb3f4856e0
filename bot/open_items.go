package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// out tells whether an item is retired, held or back with its owner, so that nothing else about it presses.
func (s status) out() bool { return s.retired != nil || !s.custody.Gone.IsZero() || len(s.holds) > 0 }

// eachItem collects what is open about items.
func (s *survey) eachItem(find func(status) (matter, bool)) []matter {
	var all []matter
	for _, item := range s.items {
		if m, open := find(item); open {
			m.name, m.family = item.item.Mark, item.item.Flow
			all = append(all, m)
		}
	}
	return all
}

func (s *survey) held() ([]matter, error) {
	var failed error
	all := s.eachItem(func(i status) (matter, bool) {
		if i.retired != nil || len(i.holds) == 0 {
			return matter{}, false
		}
		age := since(due.On(i.holds[0].At.In(s.t.zone)).DaysUntil(s.today))
		var why []string
		for _, h := range i.holds {
			why = append(why, strings.TrimRight(h.Why, "."))
		}
		who, err := s.ends(i.item, i.holds)
		if err != nil {
			failed = err
		}
		return matter{say: format(openHeldFor, age, strings.Join(why, "; ")), who: who}, true
	})
	return all, failed
}

// lapsed tells whether an item that was inspected isn't for use until it is inspected again.
func (s *survey) lapsed(i status) bool {
	reasons := i.notForUse(s.today)
	return !i.out() && i.custody.Unseen.IsZero() && len(reasons) > 0 && !slices.Equal(reasons, []string{neverInspected})
}

func (s *survey) over() ([]matter, error) {
	return s.eachItem(func(i status) (matter, bool) {
		m := matter{key: "over " + i.item.Mark + " " + i.due.String(), who: s.handler(i.item)}
		if !i.custody.Unseen.IsZero() {
			return m, false
		}
		if i.item.Holder != "" {
			m.do = format(openBring, strings.Join(i.notForUse(s.today), "; "))
		}
		return m, s.lapsed(i)
	}), nil
}

func (s *survey) notSeen() ([]matter, error) {
	return s.eachItem(func(i status) (matter, bool) {
		who := keepersOf(s.people)
		if i.item.Holder != "" {
			who = []string{i.item.Holder}
		}
		return matter{say: format(openSince, i.custody.Unseen.Words()), who: who}, i.retired == nil && !i.custody.Unseen.IsZero()
	}), nil
}

func (s *survey) fresh() ([]matter, error) {
	return s.eachItem(func(i status) (matter, bool) {
		return matter{who: s.competent(i.item.Flow)}, !i.out() && slices.Equal(i.notForUse(s.today), []string{neverInspected})
	}), nil
}

func (s *survey) soon() ([]matter, error) {
	return s.eachItem(func(i status) (matter, bool) {
		soon := !i.out() && !i.due.IsZero() && !s.lapsed(i) && !i.due.After(s.today.AddDays(soonDays))
		m := matter{who: s.competent(i.item.Flow)}
		if i.wears != "" {
			m.say = i.dueWords()
		}
		return m, soon
	}), nil
}

// openBags are bags that wait to be looked through and sealed again.
func (s *survey) openBags() ([]matter, error) {
	bags, err := s.t.tx.OpenBags(s.t.m.Room)
	var all []matter
	for _, b := range bags {
		all = append(all, matter{name: b.Mark, say: format(openSince, b.Opened.Day.Words()), who: keepersOf(s.people)})
	}
	return all, err
}

// watched leaves out what is to be looked at a second time: whoever is asked reads the list too.
func (s *survey) watched() ([]matter, error) {
	asked, err := s.t.tx.OpenRepeats(s.t.m.Room)
	if err != nil {
		return nil, err
	}
	return s.eachItem(func(i status) (matter, bool) {
		again := slices.ContainsFunc(asked, func(r store.Repeat) bool { return r.Mark == i.item.Mark })
		watched := !i.out() && i.signed && i.last.Verdict == flows.Watch && !again
		return matter{say: format(openWatchedBy, i.dueWords()), who: s.competent(i.item.Flow)}, watched
	}), nil
}

func (s *survey) lifeEnds() ([]matter, error) {
	return s.eachItem(func(i status) (matter, bool) {
		end := i.lifeEnd.Date
		ends := i.retired == nil && !end.IsZero() && !end.Before(s.today) && !end.After(s.today.AddDays(lifeDays))
		return matter{say: format(openOn, end.Words()), who: keepersOf(s.people)}, ends
	}), nil
}

func (s *survey) unfinished() ([]matter, error) {
	rows, err := s.t.tx.OpenInspections(s.t.m.Room)
	var all []matter
	for _, row := range rows {
		all = append(all, matter{name: row.Mark, say: format(openBegun, row.Started.In(s.t.zone).Format("2 January 2006"), row.State), who: []string{row.Inspector}})
	}
	return all, err
}
