package bot

import (
	"math"
	"time"

	"becket/flows"
	"becket/flows/agreement"
	"becket/store"
)

// usualCatch is what people catch at least: inspectors miss about 20 to 30 % of defects (See, SAND2012-8590, from memory).
// Somebody whose whole interval lies below it catches few; with few faults set, nobody's does.
const usualCatch = 0.7

// catchYears is how long what somebody caught counts.
const catchYears = 1

// caughtBy counts the faults of the last year that somebody was set in practice, or that they or the other found in a
// blind second look, and how many of them they caught.
func (t *turn) caughtBy(who string) (agreement.Caught, error) {
	since := t.tx.Now().AddDate(-catchYears, 0, 0)
	caught, planted, err := t.tx.Practice(t.m.Room, who, since)
	if err != nil {
		return agreement.Caught{}, err
	}
	pairs, err := t.tx.PairsOf(t.m.Room, who, since)
	for _, p := range pairs {
		own := p.First
		if own.Inspector != who {
			own = p.Second
		}
		if !faulty(p.First) && !faulty(p.Second) {
			continue // there was nothing to catch, as far as two people could tell
		}
		if planted++; faulty(own) {
			caught++
		}
	}
	return agreement.CaughtOf(caught, planted), err
}

// faulty tells whether an inspection found something.
func faulty(i store.Inspection) bool { return i.Verdict > flows.Fit }

// catchesFew tells whether somebody certainly catches less than people do.
func catchesFew(c agreement.Caught) bool { return c.Planted > 0 && c.Between.High < usualCatch }

// askedWithCare tells whether the speaker is asked one thing at a time: where the keeper says so, or where they catch few.
// In that case they are told so, alone and once a month.
func (t *turn) askedWithCare() (bool, error) {
	if t.person.OneByOne {
		return true, nil
	}
	c, err := t.caughtBy(t.m.From)
	if err != nil || !catchesFew(c) {
		return false, err
	}
	rule, month := "one by one "+t.m.From, t.tx.Now().In(t.zone).Format("2006-01")+"-01"
	told, err := t.tx.Told(t.m.Room, rule, month)
	if err != nil || told {
		return true, err
	}
	t.tell(t.m.From, format(practiceToldCare, c.Found, c.Planted))
	return true, t.tx.Occurred(t.m.Room, rule, month, t.tx.Now().Truncate(time.Microsecond), t.m.ID)
}

// practiceSoFar says how many faults the speaker caught in the last year, and how sure that is.
func (t *turn) practiceSoFar() (string, error) {
	c, err := t.caughtBy(t.m.From)
	if err != nil || c.Planted == 0 {
		return practiceNone, err
	}
	said := format(practiceSoFar, c.Found, c.Planted, int(math.Floor(100*c.Between.Low)), int(math.Ceil(100*c.Between.High)))
	if catchesFew(c) {
		said = joined(said, practiceCareful)
	}
	return said, nil
}
