package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// wrongOne moves a report that was put on the wrong mark: "wrong one D-02, it is D-07". The right item is held
// first; the other stays not for use until somebody has looked at it.
func (t *turn) wrongOne(args string) error {
	wrong, rest, found, err := t.namedItem(args, "wrong one D-02, it is D-07")
	if err != nil || !found {
		return err
	}
	fields := strings.Fields(rest)
	if len(fields) == 0 {
		t.refuse(whichMark, "wrong one D-02, it is D-07")
		return nil
	}
	right, _, found, err := t.namedItem(fields[len(fields)-1], "wrong one D-02, it is D-07")
	if err != nil || !found {
		return err
	}
	hold, found, err := t.ownReport(wrong.Mark)
	if err != nil {
		return err
	}
	if !found || sameWord(wrong.Mark, right.Mark) {
		t.refuse(noReportOfYours, wrong.Mark)
		return nil
	}
	if _, err := t.write(store.HoldPlaced{Mark: right.Mark, Verdict: flows.Quarantine, Why: hold.Why}); err != nil {
		return err
	}
	if _, err := t.write(store.HoldMoved{Mark: wrong.Mark, Hold: hold.N, To: right.Mark}); err != nil {
		return err
	}
	t.reply(joined(format(moved, right.Mark, wrong.Mark), t.whatItIs(right), t.whatItIs(wrong)))
	return t.tellOldConversation(right.Mark)
}

// ownReport is the speaker's own latest report that holds an item. What an inspection found isn't moved.
func (t *turn) ownReport(mark string) (store.Hold, bool, error) {
	holds, err := t.tx.Holds(t.m.Room, mark)
	if err != nil {
		return store.Hold{}, false, err
	}
	for n := len(holds) - 1; n >= 0; n-- {
		if h := holds[n]; !h.Released && h.By == t.m.From && h.Inspection == "" && h.Verdict != flows.Retire {
			return h, true, nil
		}
	}
	return store.Hold{}, false, nil
}
