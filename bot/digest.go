package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/store"
)

// A digest is read on a phone: so many names or lines under a head, and the rest as a number.
const (
	digestNames = 8
	digestLines = 5
	lineNames   = 50 // side by side, so that a long list can be cut into messages
)

// digest is everything that is open in one message, and the end of the record. The end is kept as it was posted.
func (t *turn) digest(s *survey) (string, error) {
	all, err := s.pressing()
	if err != nil {
		return "", err
	}
	lines := []string{format(digestHead, t.team.Name, s.today.Weekday(), s.today.Words())}
	for _, o := range all {
		lines = append(lines, s.under(o, digestNames, digestLines, dueWord))
	}
	if len(lines) == 1 {
		items, err := t.tx.CountItems(t.m.Room)
		if err != nil {
			return "", err
		}
		lines = append(lines, format(digestNothing, items))
	}
	head, err := t.postHead()
	return joined(append(lines, head)...), err
}

// under is a source's head with its matters, so many at most. Those that are named side by side stand together by who
// can act.
func (s *survey) under(o opened, names, lines int, more string) string {
	count := fmt.Sprint(len(o.matters))
	if o.short {
		count = s.counted(o.matters)
	}
	if len(o.matters) <= max(names, lines)+1 {
		names, lines = len(o.matters), len(o.matters) // "and 1 more" is as long as the one
	}
	said := []string{format(openCounted, s.headOf(o.source), count)}
	left := len(o.matters)
	if o.short {
		for _, group := range byWho(o.matters, names) {
			for some := range slices.Chunk(group, lineNames) {
				said = append(said, format(openWho, strings.Join(namesOf(some), ", "), canAct(group[0].who)))
			}
			left -= len(group)
			for _, m := range group {
				if m.say != "" {
					said = append(said, format(dueSoon, m.name, m.say))
				}
			}
		}
	} else {
		for _, m := range o.matters[:min(lines, len(o.matters))] {
			said = append(said, format(openWho, strings.TrimSpace(m.name+" "+m.say), canAct(m.who)))
			left--
		}
	}
	if left > 0 {
		said = append(said, format(openMore, left, more))
	}
	return strings.Join(said, "\n  ")
}

// headOf is a source's head; the one of what is due soon names the day.
func (s *survey) headOf(from source) string {
	if strings.Contains(from.head, "%s") {
		return format(from.head, s.today.AddDays(soonDays).Words())
	}
	return from.head
}

// byWho puts matters with the same people together, in the order in which they come, up to so many in all.
func byWho(matters []matter, most int) [][]matter {
	var groups [][]matter
	for _, m := range matters[:min(most, len(matters))] {
		n := slices.IndexFunc(groups, func(g []matter) bool { return slices.Equal(g[0].who, m.who) })
		if n < 0 {
			groups = append(groups, []matter{m})
			continue
		}
		groups[n] = append(groups[n], m)
	}
	return groups
}

func namesOf(matters []matter) []string {
	names := make([]string, len(matters))
	for n, m := range matters {
		names[n] = m.name
	}
	return names
}

// canAct names who can act, a few of them at most.
func canAct(who []string) string {
	const most = 3
	if len(who) > most {
		return format(openOthers, strings.Join(who[:most], ", "), len(who)-most)
	}
	return list(who)
}

// counted is how many there are; of items, also the kinds and how long their inspections take.
func (s *survey) counted(matters []matter) string {
	minutes, kinds, of := 0, []string{}, map[string]int{}
	for _, m := range matters {
		if m.family == "" {
			return fmt.Sprint(len(matters))
		}
		if of[m.family] == 0 {
			kinds = append(kinds, m.family)
		}
		of[m.family]++
		minutes += minutesFor(m.family)
	}
	slices.SortStableFunc(kinds, func(a, b string) int { return of[b] - of[a] })
	for n, family := range kinds {
		kinds[n] = format(openKind, of[family], s.t.bot.title(family))
	}
	return format(openMinutes, len(matters), minutes, strings.Join(kinds, ", "))
}

// postHead is the end of the record in a line, which is kept as it is posted.
func (t *turn) postHead() (string, error) {
	head, err := headOf(t.tx)
	if err != nil {
		return "", err
	}
	number, err := t.tx.LastNumber(t.m.Room)
	if err != nil {
		return "", err
	}
	if _, err := t.write(store.HeadPosted{Entries: head.Entries, Ends: head.Ends, Number: number}); err != nil {
		return "", err
	}
	if number == "" {
		return format(headNoNumber, head), nil
	}
	return format(headNumber, number, head), nil
}
