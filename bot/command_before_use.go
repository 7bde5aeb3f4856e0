package bot

import (
	"slices"
	"strings"
	"time"

	"becket/flows"
	"becket/prompts"
	"becket/store"
)

// beforeUse names the form that asks the short list.
const beforeUse = "before use"

// beforeUseHolds is how long a list may lie before its answer no longer speaks of the item as it is. Common practice, no
// source.
const beforeUseHolds = time.Hour

// beforeUse asks the short list of an item's family. It is no inspection, and whoever is listed may answer it.
func (t *turn) beforeUse(args string) error {
	word, _ := firstWord(args)
	if b, is, err := t.tx.Bundle(t.m.Room, bareMark(word)); err != nil || is {
		if err == nil {
			err = t.beforeUseOfAll(b)
		}
		return err
	}
	item, _, found, err := t.namedItem(args, "check D-07")
	if err != nil || !found {
		return err
	}
	if why, err := t.notBeforeUse(item); err != nil || why != "" {
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	given := map[string]string{"mark": item.Mark, "asked": t.tx.Now().Format(time.RFC3339)}
	if !t.m.At.IsZero() {
		given["sent"] = t.m.At.Format(time.RFC3339Nano)
	}
	t.form = &form{Kind: beforeUse, Given: given, Thread: t.m.Thread, Passing: true}
	return t.askForm("")
}

// beforeUseOfAll says of a set or bag that each thing in it has its own list.
func (t *turn) beforeUseOfAll(b store.Bundle) error {
	marks, err := t.tx.Parts(t.m.Room, b.Mark)
	switch {
	case err != nil:
		return err
	case len(marks) == 0:
		t.refuse(bundleNoneIn, b.Mark)
	default:
		t.refuse(beforeUseEach, b.Mark, together(marks), marks[0])
	}
	return nil
}

// notBeforeUse says why an item has nothing to be checked for before use; empty: it has.
func (t *turn) notBeforeUse(item store.Item) (string, error) {
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	if t.here != nil || len(t.several) > 0 || t.round != nil {
		return format(beforeUseBusy, item.Mark, item.Mark), nil
	}
	row, busy, err := t.tx.Unfinished(t.m.Room, item.Mark)
	switch f := t.bot.library[item.Flow]; {
	case err != nil:
		return "", err
	case busy:
		return format(beforeUseTheirs, item.Mark, row.Inspector, item.Mark), nil
	case !s.usable(t.day()):
		return format(beforeUseNot, strings.TrimRight(s.sentence(t.day()), "."), s.item.Mark), nil
	case f == nil || len(f.BeforeUse) == 0:
		return format(beforeUseNoList, t.bot.title(item.Flow), item.Mark), nil
	}
	return "", nil
}

// beforeUseList is the item that a form is about, and what is looked at before its use.
func (t *turn) beforeUseList(f *form) (store.Item, *flows.Flow, []flows.Step, error) {
	item, found, err := t.tx.Item(t.m.Room, f.Given["mark"])
	family := t.bot.library[item.Flow]
	if err != nil || !found || family == nil {
		return item, nil, nil, err
	}
	sheet, _, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil {
		return item, nil, nil, err
	}
	return item, family, family.ChecksBeforeUse(factsOf(item, sheet, family)), nil
}

func (t *turn) beforeUseFields(f *form) ([]field, error) {
	item, family, checks, err := t.beforeUseList(f)
	if err != nil || family == nil {
		return nil, err
	}
	choices := make([]Choice, len(checks))
	for n, c := range checks {
		choices[n] = Choice{Key: key(n), Check: c.ID(), ID: c.ID(), Label: t.askBeforeUse(family, c)}
	}
	return []field{{
		id: "found", ask: format(beforeUseHow, item.Mark, strings.ToLower(family.Title)), kind: flows.KindChecks, choices: choices,
		read: func(text string) (string, error) { return t.readBeforeUse(f, len(checks), text) },
	}}, nil
}

// askBeforeUse is a check as it stands in the list for before use.
func (t *turn) askBeforeUse(family *flows.Flow, c flows.Step) string {
	return t.bot.guidance.Put(stepOf(family, c), c.Check.Ask, prompts.Before)
}

// readBeforeUse takes "clear", or letters with or without words behind them. Nothing else is either.
func (t *turn) readBeforeUse(f *form, checks int, text string) (string, error) {
	rest, unsure := cantTell(text)
	if !unsure {
		rest = text
	}
	wrong, _ := lettersBefore(rest, checks)
	switch {
	case unsure && len(wrong) == 0:
		return "", complaint(beforeUseUnsure)
	case len(wrong) > 0:
		return text, nil
	case bare(text) != clearWord:
		return "", complaint(beforeUseNeeds)
	}
	if sent, err := time.Parse(time.RFC3339Nano, f.Given["sent"]); err == nil && t.m.At.After(sent) && t.m.At.Sub(sent) < time.Duration(checks)*quickest {
		return "", complaint(format(beforeUseFast, checks))
	}
	return clearWord, nil
}

// lettersBefore reads the letters that a text begins with, of so many, and the words behind them: "b, d it sticks".
func lettersBefore(text string, of int) (which []int, rest string) {
	for rest = text; ; {
		word, after := firstWord(rest)
		n := keyIndex(strings.ToLower(strings.Trim(word, ".,:;")))
		if n < 0 || n >= of {
			return which, strings.Trim(rest, " .,:;-")
		}
		if !slices.Contains(which, n) {
			which = append(which, n)
		}
		rest = after
	}
}

// finishBeforeUse writes down what was found, and holds the item for it.
func (t *turn) finishBeforeUse(f *form) error {
	item, family, checks, err := t.beforeUseList(f)
	if err != nil || family == nil {
		return err
	}
	said := f.Given["found"]
	asked, err := time.Parse(time.RFC3339, f.Given["asked"])
	if err != nil {
		return err
	}
	if said == clearWord && t.tx.Now().Sub(asked) > beforeUseHolds {
		t.refuse(beforeUseOld, item.Mark, t.moment(asked), item.Mark)
		return nil
	}
	ev := store.CheckedBeforeUse{Mark: item.Mark, Flow: family.Hash}
	for _, c := range checks {
		ev.Checks = append(ev.Checks, c.ID())
	}
	if err := t.tx.KeepFlow(family.Hash, family.Text); err != nil {
		return err
	}
	if said == clearWord {
		return t.clearBeforeUse(item, ev)
	}
	return t.foundBeforeUse(item, family, checks, ev, said)
}

// clearBeforeUse says that nothing was found. Where the item went out of use meanwhile, it says that instead.
func (t *turn) clearBeforeUse(item store.Item, ev store.CheckedBeforeUse) error {
	if why, err := t.notBeforeUse(item); err != nil || why != "" {
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	t.say(beforeUseClear, item.Mark, t.m.From, t.moment(t.tx.Now()), s.due.Words())
	return nil
}

// foundBeforeUse holds the item as "fault" does, by what was said of each letter.
func (t *turn) foundBeforeUse(item store.Item, family *flows.Flow, checks []flows.Step, ev store.CheckedBeforeUse, text string) error {
	rest, unsure := cantTell(text)
	if !unsure {
		rest = text
	}
	wrong, words := lettersBefore(rest, len(checks))
	var names, should []string
	for _, n := range wrong {
		ev.Wrong = append(ev.Wrong, checks[n].ID())
		names = append(names, placeBeforeUse(*checks[n].Check))
		should = append(should, strings.TrimRight(t.askBeforeUse(family, checks[n]), "."))
	}
	switch {
	case unsure:
		words = strings.TrimSpace(beforeUseUntold + " " + words)
	case words == "":
		words = format(beforeUseNoWords, strings.Join(should, "; "))
	}
	ev.Said = words
	if _, err := t.write(ev); err != nil {
		return err
	}
	return t.quarantineItem(item, store.HoldPlaced{Verdict: flows.Quarantine, Why: format(beforeUseFound, together(names), words)})
}

// placeBeforeUse is where a check looks, in words.
func placeBeforeUse(c flows.Check) string {
	if c.Origin.Part != "" && c.Origin.Step != c.ID {
		return c.Origin.Part
	}
	return strings.ReplaceAll(c.ID, "_", " ")
}
