package bot

import (
	"strings"

	"becket/store"
)

// notSeen writes down that items weren't where they should be. They stay due.
func (t *turn) notSeen(args string) error {
	all, found, err := t.things(args, "not seen K-12")
	if err != nil || !found {
		return err
	}
	ofRound := false
	for _, one := range all {
		if t.round != nil {
			if mark, in := t.round.Has(one.item.Mark); in {
				if missed, err := t.missInRound(mark); err != nil || !missed {
					return err
				}
				ofRound = true
			}
		}
		if err := t.notSeenItem(one.item); err != nil {
			return err
		}
	}
	if ofRound {
		return t.goOn("")
	}
	return nil
}

func (t *turn) notSeenItem(item store.Item) error {
	was, err := t.tx.Custody(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if _, err := t.write(store.NotSeen{Mark: item.Mark, Day: t.day()}); err != nil {
		return err
	}
	if !was.Unseen.IsZero() {
		t.say(notSeenAgain, item.Mark, was.Unseen.Words())
		return nil
	}
	holder := ""
	if item.Holder != "" {
		holder = format(notSeenHolder, item.Holder)
	}
	t.reply(joined(format(notSeenNow, item.Mark, t.day().Words(), item.Mark), t.whatItIs(item), holder))
	return nil
}

// found says where an item that wasn't seen turned up.
func (t *turn) foundAgain(args string) error {
	item, place, found, err := t.namedItem(args, "found K-12 in the east hut")
	if err != nil || !found {
		return err
	}
	c, err := t.tx.Custody(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	place = placeIn(place)
	switch {
	case c.Unseen.IsZero():
		t.refuse(foundNotLost, item.Mark)
		return nil
	case place == "":
		t.refuse(foundHow)
		return nil
	}
	if _, err := t.write(store.Found{Mark: item.Mark, Place: place, Day: t.day()}); err != nil {
		return err
	}
	t.say(foundNow, item.Mark, place, c.Unseen.Words())
	return nil
}

// placeIn is the place that words after a mark name; empty where they name none.
func placeIn(text string) string {
	text = strings.Trim(text, " .,:;-")
	for _, lead := range []string{"to ", "at ", "is "} {
		if len(text) > len(lead) && strings.EqualFold(text[:len(lead)], lead) {
			text = strings.TrimSpace(text[len(lead):])
		}
	}
	if letters(text) == 0 {
		return "" // a number alone may be a mark
	}
	return clip(text, 60)
}
