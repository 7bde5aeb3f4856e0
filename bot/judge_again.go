package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// judgeAgain judges every item of a model by what was found at its last signed inspection and by the figures and facts that
// count now. Where something holds that didn't, the item is held at once, and its holder and the keepers are told; a milder
// figure moves nothing. It says what moved.
func (t *turn) judgeAgain(sheet store.Sheet) (string, error) {
	items, err := t.tx.ItemsOf(t.m.Room, sheet.Maker, sheet.Model)
	if err != nil {
		return "", err
	}
	var moved, held []string
	for _, item := range items {
		m, err := t.judgeItemAgain(item, sheet)
		if err != nil {
			return "", err
		}
		if sooner, err := t.foretellNearer(item.Mark); err != nil {
			return "", err
		} else if m.said == "" {
			m.said = sooner
		}
		if m.said != "" {
			moved = append(moved, m.said)
		}
		if m.held {
			held = append(held, item.Mark)
		}
	}
	if len(moved) == 0 {
		return format(againNothing, len(items)), nil
	}
	told, err := t.tellAllOf(items, held, format(againToldWhy, sheet.Name(), sheet.Edition))
	return joined(append(append([]string{format(againMoved, len(moved), len(items))}, moved...), told)...), err
}

// move is what judging an item again brought about: what to say of it, empty where nothing moved, and whether it is held by
// it from now.
type move struct {
	said string
	held bool
}

// judgeItemAgain judges one item by a sheet.
func (t *turn) judgeItemAgain(item store.Item, sheet store.Sheet) (move, error) {
	i, err := t.lastJudged(item.Mark)
	if err != nil || i == nil {
		return move{}, err
	}
	return t.moveBy(item, i, sheetNow(i.flow, item, sheet, i.started.Start), i.flow, store.NewFigures)
}

// sheetNow is what a sheet says now of an item, as a flow knows it; its facts only where they aren't those that an
// inspection began with.
func sheetNow(f *flows.Flow, item store.Item, sheet store.Sheet, began flows.Start) store.NewerSheet {
	var now flows.Start
	newer := store.NewerSheet{Ref: sheetFor(f, sheet, &now)}
	newer.Figures, newer.Unconfirmed = now.Sheet, now.Unconfirmed
	if facts := factsOf(item, sheet, f); sheet.Counts() && (len(facts) > 0 || len(began.Facts) > 0) && !same(facts, began.Facts) {
		newer.Facts = facts
	}
	return newer
}

// lastJudged is an item's last signed inspection; nil where it has none, or is retired.
func (t *turn) lastJudged(mark string) (*inspection, error) {
	holds, err := t.tx.Holds(t.m.Room, mark)
	if err != nil || store.Retired(holds) != nil {
		return nil, err
	}
	last, signed, err := t.tx.LastSigned(t.m.Room, mark)
	if err != nil || !signed {
		return nil, err
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil || i.signed == nil {
		return nil, err
	}
	return i, nil
}

// rejudged is what an inspection's answers come to by a later sheet and an edition of its script. Without new facts, and by
// the script that it was answered in, nothing comes out milder than by the sheet that it began with.
func (i *inspection) rejudged(by store.NewerSheet, f *flows.Flow) flows.Outcome {
	if f.Hash == i.flow.Hash && by.Facts == nil {
		return judged(i.flow, i.state, &by, i.ID)
	}
	s := i.state
	if f.Hash != i.flow.Hash {
		s = f.Start(i.state.Start)
		for _, a := range i.state.Answers() {
			s = s.Recorded(a, "")
		}
	}
	s.Sheet, s.Unconfirmed = by.Figures, by.Unconfirmed
	if by.Facts != nil {
		s.Facts = by.Facts
	}
	o := flows.Judge(f, s)
	o.Inspection = i.ID
	return o
}

// moveBy holds an item where its last signed inspection, judged by what counts now, holds and didn't. An item is held once by
// the same thing.
func (t *turn) moveBy(item store.Item, i *inspection, by store.NewerSheet, f *flows.Flow, source store.Source) (move, error) {
	o := i.rejudged(by, f)
	ev := store.JudgedAgain{Mark: item.Mark, Inspection: i.ID, Sheet: by, Outcome: o}
	rule, because := holdsNow(i, o, source)
	why := format(againWhy, by.Ref, because)
	if f.Hash != i.flow.Hash {
		ev.Flow, why = f.Hash, format(againWhyScript, strings.ToLower(f.Title), f.Revision, because)
	}
	if rule == "" {
		return t.soonerByWatch(item, i, o)
	}
	if before, err := t.judgedBefore(ev); err != nil || before {
		return move{}, err
	}
	if f.Hash != i.flow.Hash {
		if err := t.tx.KeepFlow(f.Hash, f.Text); err != nil {
			return move{}, err
		}
	}
	if _, err := t.write(ev); err != nil {
		return move{}, err
	}
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Quarantine, Why: why, Rule: rule, Inspection: i.ID, Source: source}); err != nil {
		return move{}, err
	}
	m := move{said: format(againHeld, item.Mark, why), held: true}
	if sealed, err := t.sealed(item.Mark); err != nil {
		return m, err
	} else if sealed != nil { // how it was last time would steer who is measuring it now
		m.said = format(againSealed, item.Mark, sealed.Inspector)
	}
	return m, t.tellOldConversation(item.Mark)
}

// unasked stands for a rule where an item is held for what its facts now ask for and nobody looked at.
const unasked = "facts.unasked"

// holdsNow is the worst rule that holds now and didn't, and why; the others are found again at the next inspection. By new
// facts, what was never looked at holds too. Empty: none.
func holdsNow(i *inspection, o flows.Outcome, source store.Source) (rule, because string) {
	before := i.signed.Outcome
	if source == store.NewScript && i.signed.Verdict.Holds() {
		return "", "" // out of use by it already, whatever its rules are called now
	}
	n := slices.IndexFunc(o.Rules, func(r flows.Rule) bool {
		return r.Verdict.Holds() && !slices.ContainsFunc(before.Rules, func(b flows.Rule) bool { return b.ID == r.ID && b.Verdict >= r.Verdict })
	})
	if n >= 0 {
		return o.Rules[n].ID, strings.TrimRight(o.Rules[n].Because, ".")
	}
	if source == store.NewFigures && i.signed.Verdict.Usable() {
		if missing := stepsBeyond(o.Missing, before.Missing); len(missing) > 0 {
			return unasked, format(againUnasked, stepWords(missing))
		}
	}
	return "", ""
}

func stepsBeyond(now, before []string) []string {
	return slices.DeleteFunc(slices.Clone(now), func(step string) bool { return slices.Contains(before, step) })
}

// judgedBefore tells whether an inspection was judged by the same sheet and script already.
func (t *turn) judgedBefore(ev store.JudgedAgain) (bool, error) {
	entries, err := t.tx.EntriesIn(t.m.Room, ev.Subject())
	if err != nil {
		return false, err
	}
	for _, e := range entries {
		if e.Kind != ev.Kind() {
			continue
		}
		was, err := e.Event()
		if err != nil {
			return false, err
		}
		if j, is := was.(*store.JudgedAgain); is && j.Inspection == ev.Inspection && j.Flow == ev.Flow && same(j.Sheet, ev.Sheet) {
			return true, nil
		}
	}
	return false, nil
}

// soonerByWatch names an item that would only have been watched; its day isn't moved by itself.
func (t *turn) soonerByWatch(item store.Item, i *inspection, o flows.Outcome) (move, error) {
	if i.signed.Verdict != flows.Fit || o.Worst() != flows.Watch {
		return move{}, nil
	}
	if sealed, err := t.sealed(item.Mark); err != nil || sealed != nil {
		return move{}, err
	}
	return move{said: format(againWatch, item.Mark, item.Mark)}, nil
}

// judgedSince are the holds that came of judging an inspection again and stand.
func (t *turn) judgedSince(i *inspection) ([]string, error) {
	holds, err := t.tx.Standing(t.m.Room, i.Mark)
	var lines []string
	for _, h := range holds {
		if h.Inspection == i.ID && (h.Source == store.NewFigures || h.Source == store.NewScript) {
			lines = append(lines, format(againLine, t.on(h.At), strings.TrimRight(h.Why, ".")))
		}
	}
	return lines, err
}
