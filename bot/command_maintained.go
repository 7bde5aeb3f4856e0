package bot

import (
	"strings"

	"becket/store"
)

// maintained writes down that somebody worked on an item.
func (t *turn) maintained(args string) error {
	item, what, found, err := t.namedItem(args, "maintained D-07 new captive bar")
	if err != nil || !found {
		return err
	}
	if what = strings.TrimLeft(what, ":,- "); what == "" {
		t.refuse(maintainedHow)
		return nil
	}
	if _, err := t.write(store.Maintained{Mark: item.Mark, What: what}); err != nil {
		return err
	}
	if err := t.keepPhotosOf(item.Mark); err != nil {
		return err
	}
	t.say(maintainedKept, item.Mark, strings.TrimRight(what, "."))
	return nil
}

// keepPhotosOf writes down the pictures that came with a message about an item.
func (t *turn) keepPhotosOf(mark string) error {
	for _, f := range t.m.Files {
		if _, err := t.write(store.Photographed{Mark: mark, Hash: f.Hash, Name: f.Name, Type: f.Type, Size: f.Size}); err != nil {
			return err
		}
	}
	return nil
}

// independence warns where whoever signs is the item's only user, or worked on it since it was last inspected. It
// never stops a signature: the law asks for sufficient independence and leaves the judging to people.
func (t *turn) independence(i *inspection) (string, error) {
	item, found, err := t.tx.Item(t.m.Room, i.Mark)
	if err != nil || !found {
		return "", err
	}
	var warned []string
	if item.Holder == t.m.From {
		warned = append(warned, format(warnOnlyUser, item.Mark))
	}
	done, when, found, err := t.tx.MaintainedBy(t.m.Room, item.Mark, t.m.From)
	if err != nil {
		return "", err
	}
	if found {
		warned = append(warned, format(warnMaintainer, item.Mark, strings.TrimRight(done, "."), when.In(t.zone).Format("2 January 2006")))
	}
	return strings.Join(warned, "\n"), nil
}
