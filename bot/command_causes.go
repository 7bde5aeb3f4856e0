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
	items, worn, err := t.wornItems()
	if err != nil {
		return err
	}
	if worn == 0 {
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
	lines := []string{format(causesHead, worn, len(items)), ifAny(causesShown, shown), ifAny(causesLuck, luck)}
	if len(shown)+len(luck) == 0 {
		lines = append(lines, causesFew)
	}
	if len(shown) > 0 {
		lines = append(lines, causesRule)
	}
	t.reply(joined(lines...))
	return nil
}

// wornItems is the whole register as it is counted, retired items included: they show most.
func (t *turn) wornItems() (counted []pattern.Item, worn int, err error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, 0, err
	}
	said, err := t.tx.Worn(t.m.Room)
	if err != nil {
		return nil, 0, err
	}
	days, err := t.tx.Exposed(t.m.Room)
	if err != nil {
		return nil, 0, err
	}
	for _, item := range items {
		one := pattern.Item{Mark: item.Mark, Family: capital(t.bot.title(item.Flow)), Model: item.ModelName()}
		var w store.WornBy
		if w, one.Worn = said[strings.ToUpper(item.Mark)]; one.Worn {
			one.Cause, one.Side = w.Cause, w.Side
			worn++
		}
		for _, day := range days {
			if word := exposureWord(day.What); slices.Contains(day.Marks, item.Mark) && !slices.Contains(one.Conditions, word) {
				one.Conditions = append(one.Conditions, word)
			}
		}
		counted = append(counted, one)
	}
	return counted, worn, nil
}

// findingWords says a count, and how often luck alone would bring it about.
func findingWords(f pattern.Finding) string {
	luck := format(byLuck, int(math.Round(100*f.ByChance)))
	if f.ByChance < 0.01 {
		luck = byLuckRarely
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
