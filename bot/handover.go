package bot

import "strings"

// A message of the handover has so many characters at most: what a phone shows without cutting it.
const handoverLength = 3500

// everyDays is further ahead than anything is due.
const everyDays = 100 * 365

// handover says everything that is open, for who takes over the store, in as few messages as hold it.
func (t *turn) handover(_ string) error {
	s, err := t.survey(everyDays)
	if err != nil {
		return err
	}
	all, err := s.open()
	if err != nil {
		return err
	}
	items, err := t.tx.CountItems(t.m.Room)
	if err != nil {
		return err
	}
	parts := []string{format(handoverHead, t.team.Name, s.today.Words(), items, strings.Join(keepersOf(s.people), ", "))}
	for _, o := range all {
		parts = append(parts, s.under(o, len(o.matters), len(o.matters), ""))
	}
	if len(all) == 0 {
		parts = append(parts, handoverNothing)
	}
	told, err := t.tx.Telling(t.m.Room)
	if err != nil {
		return err
	}
	if len(told.Days) == 0 {
		parts = append(parts, digestNone)
	}
	for _, text := range cutToLength(parts, handoverLength) {
		t.reply(text)
	}
	return nil
}

// cutToLength puts lines together into texts of a length at most, whole lines and, where it can be, whole parts. A
// single line that is longer stays whole.
func cutToLength(parts []string, most int) []string {
	var texts []string
	now := ""
	add := func(line string) {
		if now != "" && len([]rune(now))+1+len([]rune(line)) > most {
			texts, now = append(texts, now), ""
		}
		now = joined(now, line)
	}
	for _, part := range parts {
		if len([]rune(part)) <= most {
			add(part)
			continue
		}
		for line := range strings.SplitSeq(part, "\n") {
			add(line)
		}
	}
	return append(texts, now)
}
