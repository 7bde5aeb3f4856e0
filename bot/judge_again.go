package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// judgeAgain judges every item of a model by what was found at its last signed inspection and by the figures that count
// now. Where something holds that didn't, the item is held at once; a milder figure moves nothing. It says what moved.
func (t *turn) judgeAgain(sheet store.Sheet) (string, error) {
	items, err := t.tx.ItemsOf(t.m.Room, sheet.Maker, sheet.Model)
	if err != nil {
		return "", err
	}
	var moved []string
	for _, item := range items {
		because, err := t.judgeItemAgain(item, sheet)
		if err != nil {
			return "", err
		}
		if because != "" {
			moved = append(moved, because)
		}
	}
	if len(moved) == 0 {
		return format(againNothing, len(items)), nil
	}
	return joined(append([]string{format(againMoved, len(moved), len(items))}, moved...)...), nil
}

// judgeItemAgain is judgeAgain for one item: what to say of it, empty where nothing moved.
func (t *turn) judgeItemAgain(item store.Item, sheet store.Sheet) (string, error) {
	holds, err := t.tx.Holds(t.m.Room, item.Mark)
	if err != nil || store.Retired(holds) != nil {
		return "", err
	}
	last, signed, err := t.tx.LastSigned(t.m.Room, item.Mark)
	if err != nil || !signed {
		return "", err
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil || i.signed == nil {
		return "", err
	}
	var now flows.Start
	newer := store.NewerSheet{Ref: sheetFor(i.flow, sheet, &now), Figures: now.Sheet, Unconfirmed: now.Unconfirmed}
	o := judged(i.flow, i.state, &newer, i.ID)
	before := i.signed.Outcome.Rules
	n := slices.IndexFunc(o.Rules, func(r flows.Rule) bool {
		return r.Verdict.Holds() && !slices.ContainsFunc(before, func(b flows.Rule) bool { return b.ID == r.ID && b.Verdict >= r.Verdict })
	})
	if n < 0 {
		return t.soonerByWatch(item, last, o)
	}
	if _, err := t.write(store.JudgedAgain{Mark: item.Mark, Inspection: i.ID, Sheet: newer, Outcome: o}); err != nil {
		return "", err
	}
	rule := o.Rules[n] // the worst of them; the others are found again at the next inspection
	why := format(againWhy, newer.Ref, strings.TrimRight(rule.Because, "."))
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Quarantine, Why: why, Rule: rule.ID, Inspection: i.ID}); err != nil {
		return "", err
	}
	return format(againHeld, item.Mark, why), t.tellOldConversation(item.Mark)
}

// soonerByWatch names an item that would only have been watched; its day isn't moved by itself.
func (t *turn) soonerByWatch(item store.Item, last store.Inspection, o flows.Outcome) (string, error) {
	if last.Verdict == flows.Fit && o.Worst() == flows.Watch {
		return format(againWatch, item.Mark, item.Mark), nil
	}
	return "", nil
}
