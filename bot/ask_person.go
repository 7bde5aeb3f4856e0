package bot

import (
	"strings"
	"time"

	"becket/flows/due"
	"becket/store"
)

// Somebody who is asked alone is asked in the morning, and again each week for as long as it is open.
const (
	morningHour = 8
	againDays   = 7
	// latestDays is how long a matter can be put off at a time. Its date stays in the digest all the while.
	latestDays = 14
)

// askEach starts asking whoever alone can act on a matter.
func (t *turn) askEach(s *survey) error {
	by, err := s.asked()
	if err != nil {
		return err
	}
	for person, matters := range by {
		for key := range matters {
			if err := t.tx.Ask(t.m.Room, person, key); err != nil {
				return err
			}
		}
	}
	return nil
}

// askPerson asks one person about all that is due with them, in one message of their own, and claims it. What isn't
// open any more, or isn't theirs alone, is forgotten.
func (t *turn) askPerson(person string, reminders []store.Reminder) error {
	s, err := t.survey(lifeDays)
	if err != nil {
		return err
	}
	by, err := s.asked()
	if err != nil {
		return err
	}
	lines, first := []string{format(askHead, person)}, ""
	for _, r := range reminders {
		m, open := by[person][r.Matter]
		if !open {
			if err := t.tx.Forget(r); err != nil {
				return err
			}
			continue
		}
		if first == "" {
			first = m.name
		}
		lines = append(lines, "  "+m.asks())
		if err := t.tx.Claim(r, due.At(s.today.AddDays(againDays), morningHour, 0, t.zone)); err != nil {
			return err
		}
	}
	if first == "" {
		return nil
	}
	lines = append(lines, format(askHow, first))
	return t.sayByItself(Reply{Key: t.m.ID, Room: person, To: person, Text: strings.Join(lines, "\n")})
}

// asks is a matter as its one person is asked about it.
func (m matter) asks() string {
	if m.say == "" {
		return format(askOne, m.name, m.do)
	}
	return format(askOne, strings.TrimSpace(m.name+" "+m.say), m.do)
}

// askedOf finds what the speaker was asked about and is still open, and which of it a text names; without a name the
// only one. If none is meant it has said so.
func (t *turn) askedOf(text, example string) (r store.Reminder, m matter, open, found bool, err error) {
	asked, err := t.tx.Asked(t.m.Room, t.m.From)
	if err != nil {
		return r, m, false, false, err
	}
	s, err := t.survey(lifeDays)
	if err != nil {
		return r, m, false, false, err
	}
	by, err := s.asked()
	if err != nil {
		return r, m, false, false, err
	}
	name, _ := firstWord(text)
	var names []string
	for _, a := range asked {
		of, isOpen := by[t.m.From][a.Matter]
		if !isOpen {
			of.name = nameIn(a.Matter)
		}
		if names = append(names, of.name); sameWord(of.name, name) || name == "" && len(asked) == 1 {
			return a, of, isOpen, true, nil
		}
	}
	switch {
	case len(asked) == 0:
		t.refuse(askedNothing, t.m.From)
	case name == "":
		t.refuse(askedWhich, strings.Join(names, ", "), format(example, names[0]))
	default:
		t.refuse(askedNotThat, clip(name, 30), strings.Join(names, ", "))
	}
	return r, m, false, false, nil
}

// nameIn is the mark in a matter's key, which stands second in it.
func nameIn(key string) string {
	_, rest := firstWord(key)
	name, _ := firstWord(rest)
	return name
}

// done ends what the record shows done, and says what it doesn't show.
func (t *turn) done(args string) error {
	r, m, open, found, err := t.askedOf(args, "done %s")
	if err != nil || !found {
		return err
	}
	if open {
		t.refuse(doneNot, m.name, m.do)
		return nil
	}
	if err := t.tx.Forget(r); err != nil {
		return err
	}
	t.say(doneIs, m.name)
	return nil
}

// later puts off asking the speaker about a matter. What is due stays due.
func (t *turn) later(args string) error {
	name, days, ok := readLater(args)
	if !ok {
		t.refuse(laterHow, latestDays)
		return nil
	}
	r, m, open, found, err := t.askedOf(name, "later %s 3 days")
	if err != nil || !found {
		return err
	}
	switch {
	case !open:
		t.say(doneIs, m.name)
		return t.tx.Forget(r)
	case days > latestDays:
		t.refuse(laterLongest, latestDays, m.name)
		return nil
	}
	day := t.day().AddDays(days)
	until := due.At(day, morningHour, 0, t.zone)
	if _, err := t.write(store.PutOff{Matter: r.Matter, Until: until.UTC().Truncate(time.Second)}); err != nil {
		return err
	}
	if err := t.tx.AskAgain(t.m.Room, t.m.From, r.Matter, until); err != nil {
		return err
	}
	t.say(laterThen, day.Weekday(), day.Words(), m.name)
	return nil
}

// readLater reads "3 days", "C-2 3 days", "a week" and "C-2 tomorrow".
func readLater(text string) (name string, days int, ok bool) {
	words := strings.Fields(strings.TrimRight(text, "."))
	if n := len(words); n > 0 && strings.EqualFold(words[n-1], "tomorrow") {
		return strings.Join(words[:n-1], " "), 1, n <= 2
	}
	if len(words) < 2 || len(words) > 3 {
		return "", 0, false
	}
	n := len(words)
	number, unit := strings.ToLower(words[n-2]), strings.TrimSuffix(strings.ToLower(words[n-1]), "s")
	days, ok = wholeDays(number)
	switch {
	case unit == "week":
		days *= 7
	case unit != "day":
		ok = false
	}
	return strings.Join(words[:n-2], " "), days, ok && days > 0
}

// wholeDays reads a number of up to three digits, or "a" for one.
func wholeDays(text string) (int, bool) {
	if text == "a" || text == "one" {
		return 1, true
	}
	n := 0
	for _, r := range text {
		if r < '0' || r > '9' || len(text) > 3 {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, text != ""
}
