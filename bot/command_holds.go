package bot

import (
	"strings"
	"time"

	"becket/flows/due"
	"becket/store"
)

// saysWhere reads "D-02 is in the red box" as the command that it stands for.
func (t *turn) saysWhere() {
	mark, rest := firstWord(t.m.Text)
	place, is := afterWords(rest, "is in")
	_, unmarked, err := t.tx.Unmarked(t.m.Room, mark)
	if is && place != "" && err == nil && (unmarked || t.namesItem(mark)) {
		t.m.Text = "put " + mark + " in " + place
	}
}

func (t *turn) isHeldOrUnmarked(mark string) (bool, error) {
	u, found, err := t.tx.Unmarked(t.m.Room, mark)
	if err != nil || found {
		return found && !u.Settled, err
	}
	return t.isHeld(mark)
}

// put says where a held item is kept meanwhile: "put D-02 in the red box".
func (t *turn) put(args string) error {
	mark, place := firstWord(args)
	for _, word := range []string{"is", "in", "into"} {
		if rest, cut := afterWords(place, word); cut {
			place = rest
		}
	}
	held, err := t.isHeldOrUnmarked(mark)
	if err != nil {
		return err
	}
	place = strings.Trim(place, " .")
	if !held || place == "" {
		t.refuse(putHow)
		return nil
	}
	if item, found, err := t.tx.Item(t.m.Room, mark); err != nil {
		return err
	} else if found {
		mark = item.Mark
	}
	if _, err := t.write(store.HoldKept{Mark: strings.ToUpper(mark), Place: place}); err != nil {
		return err
	}
	t.say(putThere, strings.ToUpper(mark), place)
	return nil
}

// inQuarantine lists every hold: what it is for, for how long, where the item is, and who can act.
func (t *turn) inQuarantine(_ string) error {
	holds, err := t.tx.Held(t.m.Room)
	if err != nil {
		return err
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	var lines []string
	numbers := map[string]int{}
	for _, h := range holds {
		item, found, err := t.tx.Item(t.m.Room, h.Mark)
		if err != nil {
			return err
		}
		if s, err := t.statusOf(item); err != nil || !found || s.retired != nil {
			if err != nil {
				return err
			}
			continue
		}
		numbers[h.Mark]++
		who, err := t.holdOwner(people, item, h)
		if err != nil {
			return err
		}
		why := clip(strings.TrimRight(h.Why, "."), 80)
		if i, err := t.sealed(h.Mark); err != nil {
			return err
		} else if i != nil { // what was found would steer who is measuring it now
			why = format(beingInspected, i.Inspector)
		}
		lines = append(lines, format(heldLine, h.Mark, numbers[h.Mark], heldFor(h.Source, why), t.sinceDay(h.At), t.keptWhere(h.Place), who))
	}
	unmarked, err := t.unmarkedLines()
	if err != nil {
		return err
	}
	rest, err := t.retiredLines()
	if err != nil {
		return err
	}
	if len(lines)+len(unmarked)+len(rest) == 0 {
		t.say(nothingHeld)
		return nil
	}
	t.reply(joined(section(dueHeldHead, lines), ifAny(unmarkedHead, unmarked), joined(rest...)))
	return nil
}

// heldFor says what a hold is for, the kind of it first unless its reason says that itself.
func heldFor(source store.Source, why string) string {
	if strings.HasPrefix(strings.TrimPrefix(why, "a "), string(source)) {
		return why
	}
	return format(heldKind, source, why)
}

// sinceDay says for how long something has been so.
func (t *turn) sinceDay(at time.Time) string { return since(t.daysSince(at)) }

func (t *turn) daysSince(at time.Time) int { return due.On(at.In(t.zone)).DaysUntil(t.day()) }

func (t *turn) keptWhere(place string) string {
	if place == "" {
		return keptNowhere
	}
	return format(keptIn, place)
}

// holdOwner is who has to act on a hold: the keeper for a provisional one, else who could release it.
func (t *turn) holdOwner(people []store.Person, item store.Item, h store.Hold) (string, error) {
	if _, listed, err := t.tx.Person(t.m.Room, h.By); err != nil {
		return "", err
	} else if !listed && h.Inspection == "" {
		return list(keepersOf(people)), nil
	}
	who, err := t.releasers(people, item, h)
	return whoReleases(who), err
}

// unmarkedLines list what was reported and not named yet.
func (t *turn) unmarkedLines() ([]string, error) {
	open, err := t.tx.OpenUnmarked(t.m.Room)
	if err != nil {
		return nil, err
	}
	var lines []string
	for _, u := range open {
		lines = append(lines, format(unmarkedOpen, u.Mark, clip(u.Text, 60), u.By, t.sinceDay(u.At), t.keptWhere(u.Place)))
	}
	return lines, nil
}

// retiredLines list what is still to be done after retirements.
func (t *turn) retiredLines() ([]string, error) {
	undestroyed, err := t.tx.Undestroyed(t.m.Room)
	if err != nil {
		return nil, err
	}
	replace, err := t.tx.ToReplace(t.m.Room)
	if err != nil {
		return nil, err
	}
	var heads []string
	for _, group := range []struct {
		head string
		all  []store.Retirement
	}{{undestroyedHead, undestroyed}, {toReplaceHead, replace}} {
		var lines []string
		for _, r := range group.all {
			lines = append(lines, format(retiredLine, r.Mark, t.sinceDay(r.At)))
		}
		if len(lines) > 0 {
			heads = append(heads, section(group.head, lines))
		}
	}
	return heads, nil
}
