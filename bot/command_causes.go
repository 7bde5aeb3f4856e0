package bot

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"becket/flows/pattern"
	"becket/store"
)

// causes of wear, by the word that stands for each and what else people call it.
func wearCauses() [][]string {
	return [][]string{
		{"grit", "sand", "dirt", "mud", "calcite", "dust"}, {"rope", "running"}, {"edge", "rock", "rub", "abrasion"}, {"metal", "connector"}, {"drop", "fall", "knock"},
		{"overload", "shock"}, {"corrosion", "rust", "salt"}, {"chemical", "chemicals", "acid", "paint"}, {"heat", "burn"}, {"sun", "uv"}, {"age"}, {"misuse", "wrong"},
	}
}

// wearSides are the places of wear that are counted.
func wearSides() [][]string {
	return [][]string{{"left"}, {"right"}, {"top", "upper"}, {"bottom", "lower"}, {"front"}, {"back", "rear"}, {"inside", "inner"}, {"outside", "outer"}, {"both"}, {"middle", "centre"}}
}

// wordOf is the word that stands for what somebody typed; false for one that isn't there.
func wordOf(words [][]string, typed string) (string, bool) {
	for _, same := range words {
		if slices.Contains(same, typed) {
			return same[0], true
		}
	}
	return "", false
}

func firstWords(words [][]string) string {
	var first []string
	for _, same := range words {
		first = append(first, same[0])
	}
	return strings.Join(first, ", ")
}

// cause notes what wore an item, and where: "cause D-02 grit left".
func (t *turn) cause(args string) error {
	item, rest, found, err := t.namedItem(args, "cause D-02 grit left")
	if err != nil || !found {
		return err
	}
	ev := store.WornBy{Mark: item.Mark}
	understood := true
	for _, typed := range strings.FieldsFunc(strings.ToLower(rest), func(r rune) bool { return strings.ContainsRune(" ,.:;-", r) }) {
		cause, isCause := wordOf(wearCauses(), typed)
		side, isSide := wordOf(wearSides(), typed)
		switch {
		case isCause && ev.Cause == "":
			ev.Cause = cause
		case isSide && ev.Side == "":
			ev.Side = side
		default:
			understood = understood && slices.Contains([]string{"by", "on", "the", "and", "side", "worn"}, typed)
		}
	}
	if !understood || ev.Cause == "" && ev.Side == "" {
		t.refuse(causeHow, item.Mark, firstWords(wearCauses()), firstWords(wearSides()))
		return nil
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	by, on := "", ""
	if ev.Cause != "" {
		by = format(causeBy, ev.Cause)
	}
	if ev.Side != "" {
		on = format(causeOn, ev.Side)
	}
	t.say(causeKept, item.Mark, by, on)
	return nil
}

// causes says what worn items have in common, and what of it may be luck.
func (t *turn) causes(string) error {
	items, err := t.wornItems()
	if err != nil {
		return err
	}
	noted, measured, read := 0, 0, 0
	for _, i := range items {
		noted, measured, read = noted+oneIf(i.Worn), measured+oneIf(i.Measured), read+oneIf(i.Read)
	}
	if noted+read == 0 {
		t.say(causesNone)
		return nil
	}
	var shown, luck []string
	for _, f := range pattern.Find(items) {
		if line := findingWords(f); f.Shown {
			shown = append(shown, line)
		} else {
			luck = append(luck, line)
		}
	}
	head := format(causesHead, noted, len(items))
	if measured > 0 {
		head += " " + format(causesRead, read, measured)
	}
	lines := []string{head, ifAny(causesShown, shown), ifAny(causesLuck, luck)}
	if len(shown)+len(luck) == 0 {
		lines = append(lines, causesFew)
	}
	if len(shown) > 0 {
		lines = append(lines, causesRule)
	}
	t.reply(joined(lines...))
	return nil
}

func oneIf(is bool) int {
	if is {
		return 1
	}
	return 0
}

// wornItems is the whole register as it is counted, retired items included: they show most.
func (t *turn) wornItems() (counted []pattern.Item, err error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, err
	}
	said, err := t.tx.Worn(t.m.Room)
	if err != nil {
		return nil, err
	}
	days, err := t.tx.Exposed(t.m.Room)
	if err != nil {
		return nil, err
	}
	measured, err := t.tx.Measured(t.m.Room, 1)
	if err != nil {
		return nil, err
	}
	for _, item := range items {
		one := pattern.Item{Mark: item.Mark, Family: capital(t.bot.title(item.Flow)), Model: item.ModelName()}
		var w store.WornBy
		if w, one.Worn = said[strings.ToUpper(item.Mark)]; one.Worn {
			one.Cause, one.Side = w.Cause, w.Side
		}
		for _, day := range days {
			if word := exposureWord(day.What); slices.Contains(day.Marks, item.Mark) && !slices.Contains(one.Conditions, word) {
				one.Conditions = append(one.Conditions, word)
			}
		}
		if slices.Contains(measured, item.Mark) {
			if err := t.readWear(item, &one); err != nil {
				return nil, err
			}
		}
		counted = append(counted, one)
	}
	return counted, nil
}

// readWear tells whether an item's readings show wear, and on which side. What somebody is measuring now, or is to look at blind, isn't spoken of.
func (t *turn) readWear(item store.Item, one *pattern.Item) error {
	if hidden, err := t.hidden(item.Mark); err != nil || hidden {
		return err
	}
	sheet, _, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil {
		return err
	}
	all, err := t.coursesOf(item, sheet)
	one.Measured = len(all) > 0
	for _, c := range all {
		one.Read = one.Read || c.worn()
	}
	one.ReadSide = wornSide(all)
	return err
}

// wornSide is the side on which the places of an item wore that are measured on both sides, like wall_left and wall_right; "both" where both
// did; empty: none, or none is measured on both. A name alone tells no side: what is left of a wall is a wall_left too.
func wornSide(all []*course) string {
	sides := map[string]bool{}
	for _, c := range all {
		side, opposite, paired := sideOf(c.id)
		if paired && c.worn() && slices.ContainsFunc(all, func(o *course) bool { return o.id == opposite }) {
			sides[side] = true
		}
	}
	if len(sides) > 1 {
		return "both"
	}
	for side := range sides {
		return side
	}
	return ""
}

// sideOf is the side that a reading's id names, and the id of the same place on the opposite side.
func sideOf(id string) (side, opposite string, paired bool) {
	words := strings.Split(id, "_")
	for n, word := range words {
		for _, pair := range [][2]string{{"left", "right"}, {"top", "bottom"}, {"upper", "lower"}, {"front", "back"}, {"inside", "outside"}, {"inner", "outer"}} {
			for at := range pair {
				if word == pair[at] {
					words[n] = pair[1-at]
					side, _ = wordOf(wearSides(), word)
					return side, strings.Join(words, "_"), true
				}
			}
		}
	}
	return "", "", false
}

// findingWords says a count, and how often luck alone would bring it about.
func findingWords(f pattern.Finding) string {
	luck := format(byLuck, int(math.Round(100*f.ByChance)))
	if f.ByChance < 0.01 {
		luck = byLuckRarely
	}
	if f.Read {
		luck = byReadingsWords + luck
	}
	switch f.Kind {
	case pattern.Side:
		return format(patternSide, f.Group, f.Hit, f.In, sideWords(f.What), f.Against) + luck
	case pattern.Cause:
		return format(patternCause, f.Group, f.Hit, f.In, f.What, f.Against, f.Others) + luck
	case pattern.Condition:
		return format(patternUsed, f.What, f.Hit, f.In, f.Against, f.Others) + luck
	}
	return format(patternModel, f.Group, f.Hit, f.In, f.Against, f.Others) + luck
}

// sideWords is how a side is said: "on the left", "inside".
func sideWords(side string) string {
	if side == "inside" || side == "outside" {
		return side
	}
	preposition := "on"
	if slices.Contains([]string{"top", "bottom", "front", "back"}, side) {
		preposition = "at"
	}
	return fmt.Sprintf("%s the %s", preposition, side)
}
