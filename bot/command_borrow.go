package bot

import (
	"encoding/json"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// borrow enters kit that isn't the team's own, with what shows its last inspection and the day on which it goes.
func (t *turn) borrow(args string) error {
	given := map[string]string{}
	if mark, _ := firstWord(args); mark != "" {
		if complaint := t.markFree(mark); complaint != "" {
			t.refuse("%s", complaint)
			return nil
		}
		given["mark"] = strings.ToUpper(mark)
	}
	return t.startForm(borrowing, given, borrowStart)
}

const borrowing = "borrow"

func (t *turn) borrowFields(f *form) ([]field, error) {
	taking, err := t.takeInFields(f)
	if err != nil {
		return nil, err
	}
	var fields []field
	for _, fd := range taking {
		switch {
		case fd.id == "confirm" || fd.id == "batch" || fd.id == "interval" || strings.HasPrefix(fd.id, "first."):
			continue
		case fd.id == "flow":
			fields = append(fields, field{id: "owner", ask: askOwner, kind: flows.KindNote, read: readOwner})
		}
		fields = append(fields, fd)
	}
	fields = append(fields, field{id: "evidence", ask: askEvidence, kind: flows.KindNote, photos: true, read: t.readEvidence(f)})
	if f.Given["evidence"] != "" {
		fields = append(fields, field{id: "examined", ask: askExamined, kind: flows.KindNote, read: t.readExamined})
	}
	return append(fields,
		field{id: "until", ask: askUntil, kind: flows.KindNote, read: t.readUntil},
		confirmField(t.borrowSummary(f))), nil
}

func readOwner(text string) (string, error) {
	if letters(text) == 0 || text == notKnown {
		return "", complaint(ownerNeeded)
	}
	return clip(text, 60), nil
}

// readEvidence keeps what was said or sent to show an inspection. A photo is kept with the item once it is entered.
func (t *turn) readEvidence(f *form) func(string) (string, error) {
	return func(text string) (string, error) {
		delete(f.Given, evidencePhotos)
		value, err := textOr(text)
		if len(t.m.Files) == 0 || err != nil {
			if _, isDay := due.ParseSpoken(value); value != "" && (isDay == nil || letters(value) < 3) {
				return "", complaint(evidenceFirst)
			}
			return value, err
		}
		photos, err := json.Marshal(t.m.Files)
		f.Given[evidencePhotos] = string(photos)
		return text, err
	}
}

// evidencePhotos is where a form keeps the photos that came with an answer.
const evidencePhotos = "evidence.photos"

func (t *turn) readExamined(text string) (string, error) {
	d, err := due.ParseSpoken(text)
	switch {
	case err != nil:
		return "", err
	case d.Day == 0:
		return "", complaint(dayNeeded)
	case d.After(t.day()):
		return "", complaint(format(dateAhead, d.Words()))
	}
	return d.String(), nil
}

func (t *turn) readUntil(text string) (string, error) {
	d, err := due.ParseSpoken(text)
	switch {
	case err != nil:
		return "", err
	case d.Day == 0:
		return "", complaint(dayNeeded)
	case d.Before(t.day()):
		return "", complaint(format(untilBehind, d.Words()))
	}
	return d.String(), nil
}

// borrowedOf is the item that a form describes.
func borrowedOf(f *form) (store.Item, error) {
	item, err := itemOf(f)
	if err != nil {
		return item, err
	}
	loan := store.Loan{Owner: f.Given["owner"], Evidence: f.Given["evidence"]}
	if loan.Examined, err = dateOf(f.Given["examined"]); err != nil {
		return item, err
	}
	loan.Until, err = dateOf(f.Given["until"])
	item.Loan = &loan
	return item, err
}

func (t *turn) borrowSummary(f *form) string {
	item, err := borrowedOf(f)
	if err != nil {
		return sentence(err.Error())
	}
	shown := shownByNone
	if last, is := item.Evidenced(); is {
		shown = format(shownBy, last.Day.Words(), item.Loan.Evidence)
	}
	return format(borrowConfirm, item.Mark, t.describe(item), orUnknown(item.Serial), item.Loan.Owner, item.Loan.Until.Words(), shown)
}

func (t *turn) finishBorrow(f *form) error {
	item, err := borrowedOf(f)
	if err != nil {
		return err
	}
	if err := item.Life().Check(t.day()); err != nil {
		t.refuse("%s", sentence(err.Error()))
		return nil
	}
	if complaint := t.markFree(item.Mark); complaint != "" { // somebody else was quicker
		t.refuse("%s", complaint)
		return nil
	}
	if _, err := t.write(store.ItemTaken{Item: item}); err != nil {
		return err
	}
	var photos []File
	if kept := f.Given[evidencePhotos]; kept != "" {
		if err := json.Unmarshal([]byte(kept), &photos); err != nil {
			return err
		}
	}
	for _, p := range photos {
		if _, err := t.write(store.Photographed{Mark: item.Mark, Hash: p.Hash, Name: p.Name, Type: p.Type, Size: p.Size}); err != nil {
			return err
		}
	}
	spoken, err := t.cameIn([]store.Item{item})
	if err != nil {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	t.reply(joined(format(borrowed, item.Mark, item.Loan.Owner), s.sentence(t.day())+".", spoken))
	return nil
}

// sentBack takes an item that isn't the team's own out of the register.
func (t *turn) sentBack(args string) error {
	item, _, found, err := t.namedItem(args, "sent back V-01")
	if err != nil || !found {
		return err
	}
	s, err := t.statusOf(item)
	switch {
	case err != nil:
		return err
	case item.Loan == nil:
		t.refuse(sentBackOurs, item.Mark)
		return nil
	case !s.custody.Gone.IsZero():
		t.refuse("%s.", s.sentence(t.day()))
		return nil
	}
	if in, is, err := t.tx.PartOf(t.m.Room, item.Mark); err != nil || is {
		t.refuse(partElsewhere, item.Mark, in.Mark)
		return err
	}
	if busy, err := t.underInspection(item.Mark); err != nil || busy {
		return err
	}
	if _, err := t.write(store.WentBack{Mark: item.Mark, Day: t.day()}); err != nil {
		return err
	}
	told := ""
	if len(s.holds) > 0 {
		told = format(sentBackHeld, reasonsOf(s.holds))
	}
	t.reply(joined(format(sentBackNow, item.Mark, item.Loan.Owner), told))
	return nil
}
