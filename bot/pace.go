package bot

import (
	"slices"
	"strings"
	"time"

	"becket/flows"
	"becket/store"
)

// quickest is the least time in which anybody looks at one thing.
const quickest = 2 * time.Second

// paceReason marks steps that are asked again because their section was answered too fast to be looked at.
const paceReason = "answered faster than anybody can look"

// quick tells whether an answer came faster than its checks can be looked at. It goes by the sender's own clock
// alone, and only between two messages that carry it: what arrives in a burst after a time without a signal
// isn't haste.
func (t *turn) quick(i *inspection, checks int) bool {
	before := i.started.Sent
	for _, a := range i.answers {
		if a.entry.Cause != t.m.ID && !a.Sent.IsZero() {
			before = a.Sent
		}
	}
	if before.IsZero() || t.m.At.IsZero() || t.m.At.Before(before) {
		return false
	}
	return t.m.At.Sub(before) < time.Duration(checks)*quickest
}

// quickBefore tells whether the section was answered too fast once already, since it was last asked again.
func (i *inspection) quickBefore(section, cause string) bool {
	quick := false
	for _, a := range i.answers {
		if s, _, _ := strings.Cut(a.Step, "."); s != section || a.entry.Cause == cause {
			continue
		}
		if a.Reopen && a.Reason == paceReason {
			quick = false
		}
		quick = quick || a.Quick
	}
	return quick
}

// pace answers haste: kindly the first time, and the second time in a section it is asked again.
func (t *turn) pace(i *inspection, q flows.Question, quick bool) (string, error) {
	switch {
	case !quick:
		return "", nil
	}
	before := i.quickBefore(q.Section, t.m.ID)
	if !before {
		last, err := t.lastInRound(i)
		if err != nil {
			return "", err
		}
		before = last != nil && last.quickBefore(q.Section, t.m.ID)
	}
	if !before {
		return quickOnce, nil
	}
	for _, asked := range flows.Plan(i.flow, i.state) {
		for _, step := range asked.Steps {
			if asked.Section != q.Section || !i.state.Answered(step) {
				continue
			}
			if err := t.record(i, flows.Answer{Step: step, Reopen: true, Reason: paceReason}, "", false); err != nil {
				return "", err
			}
		}
	}
	return quickTwice, nil
}

// spell is how long somebody works before a rest is offered.
const spell = 30 * time.Minute

// restOffer offers a rest each time another half hour has gone by without one.
func (t *turn) restOffer(before store.Bench) (string, error) {
	after, err := t.tx.Bench(t.m.Room, t.m.From)
	if err != nil || before.Since.IsZero() || !before.Since.Equal(after.Since) {
		return "", err
	}
	spells := after.Last.Sub(after.Since) / spell
	if spells <= before.Last.Sub(before.Since)/spell {
		return "", nil
	}
	return format(restNow, int(after.Last.Sub(after.Since).Minutes())), nil
}

// zerosAmong is how many of so many readings may end in 0 before the keeper is told: chance gives one in ten.
// The chances of this many or more are .0024, .0078 and .0094 (binomial, p = .1).
func zerosAmong() map[int]int { return map[int]int{20: 7, 30: 8, 50: 11} }

// endDigits tells the keepers, and nobody else, when somebody's readings look rounded.
func (t *turn) endDigits() error {
	b, err := t.tx.Bench(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	zeros, all := roundedAt(b.Digits)
	if all == 0 {
		return nil
	}
	if _, err := t.write(store.DigitsMarked{Person: t.m.From, Readings: all, Zeros: zeros}); err != nil {
		return err
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	for _, keeper := range keepersOf(people) {
		t.tell(keeper, format(digitsForKeeper, zeros, all, t.m.From, all/10))
	}
	return nil
}

// roundedAt looks at the last 20, 30 and 50 digits and gives the first count that is more than chance.
func roundedAt(digits string) (zeros, all int) {
	for _, n := range []int{20, 30, 50} {
		if len(digits) < n {
			return 0, 0
		}
		if z := strings.Count(digits[len(digits)-n:], "0"); z >= zerosAmong()[n] {
			return z, n
		}
	}
	return 0, 0
}

// tell says something to one person alone.
func (t *turn) tell(person, text string) {
	r := t.reply(text)
	r.Room, r.To, r.Thread = person, person, ""
}

// clockOff asks once in an inspection about a sender's clock that is more than a day off. Dates go by ours.
func (t *turn) clockOff(i *inspection) (string, error) {
	if t.m.At.IsZero() || t.m.At.Sub(t.tx.Now()).Abs() <= 24*time.Hour {
		return "", nil
	}
	if slices.ContainsFunc(i.notes, func(n store.Noted) bool { return strings.HasPrefix(n.Text, clockNoted) }) {
		return "", nil
	}
	n := store.Noted{Inspection: i.ID, Text: clockNoted + " " + t.m.At.Format("2 January 2006 15:04")}
	if _, err := t.write(n); err != nil {
		return "", err
	}
	i.notes = append(i.notes, n)
	return format(clockAsk, t.m.At.Format("2 January 2006"), t.tx.Now().In(t.zone).Format("2 January 2006")), nil
}
