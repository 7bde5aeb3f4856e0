package bot

import (
	"slices"
	"strings"

	"becket/bot/tag"
	"becket/store"
)

// tags gives labels for items as a PDF.
func (t *turn) tags(args string) error {
	items, err := t.pickItems(strings.Trim(args, " .?"), tagsHow)
	if err != nil || items == nil {
		return err
	}
	marks, ended, err := t.markedStill(items)
	if err != nil {
		return err
	}
	switch {
	case len(marks) == 0 && len(ended) > 0:
		t.refuse(tagsAllEnded, strings.Join(ended, ", "))
		return nil
	case len(marks) == 0:
		t.refuse(tagsNone)
		return nil
	}
	sheet, err := tag.Sheet(marks, t.tx.Now())
	if err != nil {
		return err
	}
	kept, err := t.keep(tagsName, "application/pdf", sheet)
	if err != nil {
		return err
	}
	said := format(tagsHere, len(marks))
	if len(ended) > 0 {
		said = joined(said, format(tagsLeftOut, strings.Join(ended, ", ")))
	}
	var byHand []string
	for _, mark := range marks {
		if shown, err := tag.Printable(mark); err != nil {
			return err
		} else if !shown {
			byHand = append(byHand, mark)
		}
	}
	if len(byHand) > 0 {
		said = joined(said, format(tagsByHand, strings.Join(byHand, ", ")))
	}
	t.reply(said).Files = []File{kept}
	return nil
}

// markedStill tells the marks that may stand on something from those of retired or gone items: a fresh label would make such a one look
// like kit in use.
func (t *turn) markedStill(items []store.Item) (marks, ended []string, err error) {
	for _, item := range items {
		s, err := t.statusOf(item)
		switch {
		case err != nil:
			return nil, nil, err
		case s.retired != nil || !s.custody.Gone.IsZero():
			ended = append(ended, item.Mark)
		default:
			marks = append(marks, item.Mark)
		}
	}
	return marks, ended, nil
}

// codeOf is what a tag in a message's pictures reads; empty where there is none.
func (t *turn) codeOf() string {
	for _, f := range t.m.Files {
		if f.Code != "" {
			return f.Code
		}
	}
	return ""
}

// byCode asks whether the item in a picture is the one whose tag, or whose maker's code, is in it. Nothing is begun by a
// picture alone.
func (t *turn) byCode(code string) error {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	serial := false
	meant := slices.DeleteFunc(slices.Clone(items), func(i store.Item) bool { return !sameWord(i.Mark, code) })
	if len(meant) == 0 {
		serial = true
		meant = slices.DeleteFunc(items, func(i store.Item) bool { return !namedIn(code, i.Serial) })
	}
	switch len(meant) {
	case 0:
		t.refuse(codeUnknown, clip(code, 40))
		return nil
	case 1:
	default:
		marks := make([]string, len(meant))
		for n, item := range meant {
			marks[n] = item.Mark
		}
		t.refuse(codeSeveral, clip(code, 40), strings.Join(marks, ", "), marks[0])
		return nil
	}
	given := map[string]string{"mark": meant[0].Mark, "what": t.whatItIs(meant[0])}
	if serial {
		given["serial"] = meant[0].Serial
	}
	return t.offer(openByCode, given)
}

// namedIn tells whether a serial number stands in a code by itself, not as a part of a longer one.
func namedIn(code, serial string) bool {
	return serial != "" && slices.ContainsFunc(append(strings.FieldsFunc(code, func(r rune) bool { return strings.ContainsRune(" ;,|()[]", r) }), code), func(word string) bool {
		return sameWord(word, serial)
	})
}

// openByCode is the offer to inspect what a picture names.
const openByCode = "open by its code"

func (t *turn) codeFields(f *form) ([]field, error) {
	ask := format(codeMark, f.Given["what"])
	if f.Given["serial"] != "" {
		ask = format(codeSerial, f.Given["serial"], f.Given["what"])
	}
	return []field{yesOrNo("go", ask)}, nil
}

func (t *turn) finishCode(f *form) error {
	if f.Given["go"] != "yes" {
		t.say(codeNo)
		return nil
	}
	return t.inspect(f.Given["mark"])
}
