package bot

import (
	"strings"

	"becket/store"
)

// offerNeighbours names the items of a retired one's batch, or of its model where no batch is known, and asks whether
// to bring their inspections forward.
func (t *turn) offerNeighbours(item store.Item) error {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	var batch, model []string
	for _, other := range items {
		if other.Mark == item.Mark {
			continue
		}
		s, err := t.statusOf(other)
		if err != nil {
			return err
		}
		if s.retired != nil || len(s.holds) > 0 || len(s.calledIn(t.day())) > 0 {
			continue
		}
		switch {
		case item.Batch != "" && strings.EqualFold(other.Batch, item.Batch) && strings.EqualFold(other.Maker, item.Maker):
			batch = append(batch, other.Mark)
		case sameModel(other, item):
			model = append(model, other.Mark)
		}
	}
	marks, same := batch, format(sameBatch, item.Batch)
	if len(marks) == 0 {
		marks, same = model, format(sameModelAs, item.ModelName())
	}
	if len(marks) == 0 {
		return nil
	}
	return t.offer("bring forward", map[string]string{"marks": strings.Join(marks, " "), "same": same, "of": item.Mark})
}

func (t *turn) bringForwardFields(f *form) ([]field, error) {
	return []field{yesOrNo("confirm", format(bringForwardAsk, f.Given["same"], strings.Join(strings.Fields(f.Given["marks"]), ", ")))}, nil
}

func (t *turn) finishBringForward(f *form) error {
	if f.Given["confirm"] != "yes" {
		t.say(bringForwardNot, f.Given["marks"])
		return nil
	}
	return t.callIn(strings.Fields(f.Given["marks"]), format(neighbourWhy, f.Given["of"], t.day().Words()))
}

// bringForward makes items due at once: "bring forward P-04 P-05 same batch as P-03".
func (t *turn) bringForward(args string) error {
	item, rest, found, err := t.namedItem(args, "bring forward P-04 same batch as P-03")
	if err != nil || !found {
		return err
	}
	more, why, err := t.moreItems(rest)
	if err != nil {
		return err
	}
	if why = strings.TrimLeft(why, ":,- "); why == "" {
		why = noReasonGiven
	}
	marks := []string{item.Mark}
	for _, m := range more {
		marks = append(marks, m.Mark)
	}
	return t.callIn(marks, format(broughtForwardWhy, t.day().Words(), why))
}

// callIn makes items not for use until they are inspected, and says so.
func (t *turn) callIn(marks []string, why string) error {
	for _, mark := range marks {
		if _, err := t.write(store.CalledIn{Mark: mark, Why: why, Day: t.day()}); err != nil {
			return err
		}
	}
	t.say(broughtForward, strings.Join(marks, ", "), marks[0])
	return nil
}
