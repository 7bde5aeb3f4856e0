package bot

import (
	"strings"

	"becket/store"
)

// paper keeps a document with an item under a name, so that a later statement can name it.
func (t *turn) paper(args string) error {
	const example = "paper D-02 maker's letter of 3 December"
	item, title, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return err
	}
	title = strings.Trim(title, ":,- .")
	if len(t.m.Files) == 0 || len(title) < inWriting {
		t.refuse(paperHow, example)
		return nil
	}
	if err := t.keepPapers(item.Mark, title); err != nil {
		return err
	}
	t.say(paperKept, item.Mark, title)
	return nil
}

// photo keeps pictures with an item, or with something that was reported without a mark.
func (t *turn) photo(args string) error {
	word, _ := firstWord(args)
	mark := bareMark(word)
	u, unmarked, err := t.tx.Unmarked(t.m.Room, mark)
	if err != nil {
		return err
	}
	item, found, err := t.tx.Item(t.m.Room, mark)
	switch {
	case err != nil:
		return err
	case !unmarked && !found || len(t.m.Files) == 0:
		t.refuse(photoHow)
		return nil
	case found:
		mark = item.Mark
	default:
		mark = u.Mark
	}
	t.say(photoFor, mark)
	return t.photosOf(mark)
}

// keepPapers keeps the files of this message with an item.
func (t *turn) keepPapers(mark, title string) error {
	for _, f := range t.m.Files {
		if _, err := t.write(store.PaperKept{Mark: mark, Title: title, Hash: f.Hash, Name: f.Name, Type: f.Type, Size: f.Size}); err != nil {
			return err
		}
	}
	return nil
}
