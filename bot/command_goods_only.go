package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// goodsOnly takes an item down to goods, for good.
func (t *turn) goodsOnly(args string) error {
	item, why, found, err := t.namedItem(args, "goods only D-11 worn, kept for hauling")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actTakeIn, item.Flow); err != nil || !ok {
		return err
	}
	if item.Use == flows.Goods {
		t.refuse(goodsAlready, item.Mark)
		return nil
	}
	if why = strings.TrimLeft(why, ":,- "); why == "" {
		t.refuse(goodsWhy, item.Mark)
		return nil
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	ev, stays := store.GoodsOnly{Mark: item.Mark, Why: why}, ""
	if !s.due.IsZero() {
		ev.Due = &store.KeptDue{Last: s.lastSeq, Day: s.due}
		stays = format(goodsDue, s.due.Words())
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	if item.Holder != "" && item.Holder != t.m.From {
		t.tell(item.Holder, format(goodsTold, item.Mark, t.m.From))
	}
	held := ""
	if s.retired != nil || len(s.holds) > 0 {
		held = goodsStillOut
	}
	t.reply(joined(format(goodsNow, item.Mark), stays, held))
	return nil
}
