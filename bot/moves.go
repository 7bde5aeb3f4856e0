package bot

import (
	"becket/store"
)

// mostMoves is how many of an item's moves its history says, the newest first.
const mostMoves = 12

// moves says where an item went, newest first: issued, taken back, not seen, found.
func (t *turn) moves(mark string) ([]string, error) {
	entries, err := t.tx.EntriesIn(t.m.Room, store.ItemSubject(mark))
	if err != nil {
		return nil, err
	}
	var lines []string
	for n := len(entries) - 1; n >= 0 && len(lines) < mostMoves; n-- {
		ev, err := entries[n].Event()
		if err != nil {
			return nil, err
		}
		if said := moveWords(ev); said != "" {
			lines = append(lines, format(moveLine, t.on(entries[n].At), said, entries[n].By))
		}
	}
	return lines, nil
}

// moveWords says one move; empty for entries of another kind.
func moveWords(ev store.Event) string {
	switch ev := ev.(type) {
	case *store.Issued:
		said := format(moveIssued, ev.To, ev.For)
		if ev.Visitor != "" {
			said += format(moveVisitor, ev.Visitor)
		}
		return said
	case *store.Returned:
		if ev.Place == "" {
			return moveBack
		}
		return format(movePlaced, ev.Place)
	case *store.NotSeen:
		return moveUnseen
	case *store.Found:
		return format(moveFound, ev.Place)
	case *store.CheckedBeforeUse:
		if len(ev.Wrong) > 0 {
			return format(moveFoundBefore, ev.Said)
		}
		return moveBeforeUse
	case *store.GoodsOnly:
		return format(moveGoods, ev.Why)
	}
	return ""
}
