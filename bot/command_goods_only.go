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
	if _, err := t.write(store.GoodsOnly{Mark: item.Mark, Why: why}); err != nil {
		return err
	}
	if item.Holder != "" && item.Holder != t.m.From {
		t.tell(item.Holder, format(goodsTold, item.Mark, t.m.From))
	}
	t.say(goodsNow, item.Mark)
	return nil
}
