package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/store"
)

// unmarked is what was reported without a mark and isn't known yet.
func (s *survey) unmarked() ([]matter, error) {
	open, err := s.t.tx.OpenUnmarked(s.t.m.Room)
	var all []matter
	for _, u := range open {
		all = append(all, matter{name: u.Mark, say: format(openUnmarkedIs, clip(u.Text, 60), s.t.sinceDay(u.At)), who: keepersOf(s.people)})
	}
	return all, err
}

// notices is every maker's notice that speaks of kit here and that nobody has acted on.
func (s *survey) notices() ([]matter, error) {
	kept, err := s.t.tx.Notices(s.t.m.Room)
	var all []matter
	for _, k := range kept {
		if !k.Held && len(k.Matched) > 0 {
			all = append(all, matter{
				name: format(openNotice, k.Number), say: format(openNoticeOf, strings.Join(matchedMarks(k.Matched), ", "), k.Number), who: keepersOf(s.people),
			})
		}
	}
	return all, err
}

// noticeAnswers is what a notice asks about and nobody has in the hand yet.
func (s *survey) noticeAnswers() ([]matter, error) {
	open, err := s.t.tx.UnansweredNotices(s.t.m.Room)
	var all []matter
	for _, i := range open {
		m := matter{name: i.Mark, key: fmt.Sprintf("notice %d %s", i.Notice, i.Mark), say: format(openAsked, s.t.sinceDay(i.Asked)), who: keepersOf(s.people)}
		switch {
		case !i.Answered.IsZero():
			m.say = format(openNotFound, i.By)
		case i.Holder != "":
			m.who, m.do = []string{i.Holder}, format(openHaveIt, i.Mark, i.Mark)
		}
		all = append(all, m)
	}
	return all, err
}

// toReplace is what was retired and nothing has taken its place.
func (s *survey) toReplace() ([]matter, error) {
	open, err := s.t.tx.ToReplace(s.t.m.Room)
	var all []matter
	for _, r := range open {
		all = append(all, matter{name: r.Mark, say: s.t.sinceDay(r.At), who: keepersOf(s.people)})
	}
	return all, err
}

// undestroyed is what was retired and that nobody has seen destroyed.
func (s *survey) undestroyed() ([]matter, error) {
	open, err := s.t.tx.Undestroyed(s.t.m.Room)
	var all []matter
	for _, r := range open {
		days := s.t.daysSince(r.At)
		all = append(all, matter{name: r.Mark, say: since(days), who: keepersOf(s.people), early: days < undestroyedDays})
	}
	return all, err
}

// ends is who could end every one of an item's holds; where nobody could, the keepers have to find somebody.
func (s *survey) ends(item store.Item, holds []store.Hold) ([]string, error) {
	var who []string
	for n, h := range holds {
		could, err := s.t.releasers(s.people, item, h)
		if err != nil {
			return nil, err
		}
		if n == 0 {
			who = could
		}
		who = slices.DeleteFunc(who, func(id string) bool { return !slices.Contains(could, id) })
	}
	if len(who) == 0 {
		who = keepersOf(s.people)
	}
	return who, nil
}
