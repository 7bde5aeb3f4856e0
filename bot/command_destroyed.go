package bot

import (
	"encoding/json"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// destroyed records that a retired item was made useless: "destroyed D-02 witness @ben", with a photo.
func (t *turn) destroyed(args string) error {
	const example = "destroyed D-02 witness @ben"
	var mark string
	_, rest := firstWord(args)
	if u, found, err := t.openUnmarkedCalled(args); err != nil {
		return err
	} else if found {
		if ok, err := t.may(actRetire, ""); err != nil || !ok {
			return err
		}
		mark = u.Mark
	} else if mark, err = t.retiredMark(args, example); err != nil || mark == "" {
		return err
	}
	given := map[string]string{"mark": mark, "day": t.day().String()}
	witness, is := afterWords(rest, "witness")
	if !is {
		if witness, is = afterWords(rest, "before"); !is {
			t.refuse(destroyedHow, mark)
			return nil
		}
	}
	witness, noPhoto, without := cutFold(witness, "no photo")
	if without {
		given["photo"] = noPhotoWord + " " + strings.TrimLeft(noPhoto, ":,- ")
	}
	name, day, dated := cutFold(witness, " on ")
	if dated {
		d, err := due.ParseSpoken(strings.Trim(day, " ."))
		if err != nil {
			t.refuse("%s", sentence(err.Error()))
			return nil
		}
		if d.After(t.day()) {
			t.refuse(destroyedAhead, d.Words())
			return nil
		}
		given["day"] = d.String()
	}
	given["witness"] = strings.Trim(name, " .,")
	if wrong, err := t.noWitness(given["witness"]); err != nil || wrong != "" {
		if wrong != "" {
			t.refuse("%s", wrong)
		}
		return err
	}
	if len(t.m.Files) > 0 {
		kept, err := filesValue(t.m.Files)
		if err != nil {
			return err
		}
		given["photo"] = kept
	}
	if given["photo"] == noPhotoWord+" " {
		delete(given, "photo") // without a word why, it is asked
	}
	return t.startForm("destroyed", given, "")
}

// cutFold cuts a text at the first place of words, letters' case aside.
func cutFold(text, words string) (before, after string, found bool) {
	n := strings.Index(strings.ToLower(text), words)
	if n < 0 || len(strings.ToLower(text)) != len(text) {
		return text, "", false
	}
	return text[:n], text[n+len(words):], true
}

// retiredMark is the mark of a retired item that nobody has destroyed yet; empty: it has said why not.
func (t *turn) retiredMark(args, example string) (string, error) {
	item, _, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return "", err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	if s.retired == nil {
		t.refuse(notRetiredYet, item.Mark, item.Mark)
		return "", nil
	}
	d, done, err := t.tx.Destruction(t.m.Room, item.Mark)
	if err != nil {
		return "", err
	}
	if done {
		t.refuse(destroyedAlready, item.Mark, d.Day.Words(), d.Witness)
		return "", nil
	}
	return item.Mark, nil
}

// noWitness says why somebody can't be the witness; empty: they can. A witness is a second person, of the team or not.
func (t *turn) noWitness(name string) (string, error) {
	switch {
	case len(name) < 2:
		return witnessHow, nil
	case sameWord(name, t.m.From), sameWord(name, t.person.Name), sameWord(name, "me"), sameWord(name, strings.TrimPrefix(t.m.From, "@")):
		return witnessSelf, nil
	case strings.HasPrefix(name, "@"):
		_, listed, err := t.tx.Person(t.m.Room, name)
		if err != nil || listed {
			return "", err
		}
		return format(witnessUnknown, name), nil
	}
	return "", nil
}

func (t *turn) destroyedFields(f *form) ([]field, error) {
	return []field{{id: "photo", ask: format(destroyedPhoto, f.Given["mark"]), kind: flows.KindPhoto, read: func(text string) (string, error) {
		if why, is := afterWords(text, noPhotoWord); is && strings.Trim(why, ":,- ") == "" {
			return "", complaint(noPhotoWhy)
		} else if !is {
			return "", complaint(noPhotoWhy)
		}
		return text, nil
	}}}, nil
}

func (t *turn) finishDestroyed(f *form) error {
	mark := f.Given["mark"]
	day, err := due.Parse(f.Given["day"])
	if err != nil {
		return err
	}
	ev := store.Destroyed{Mark: mark, Day: day, Witness: f.Given["witness"]}
	if why, is := afterWords(f.Given["photo"], noPhotoWord); is {
		ev.NoPhoto = strings.TrimLeft(why, ":,- ")
	} else {
		var photos []File
		if err := json.Unmarshal([]byte(f.Given["photo"]), &photos); err != nil {
			return err
		}
		for _, p := range photos {
			if _, err := t.write(store.Photographed{Mark: mark, Hash: p.Hash, Name: p.Name, Type: p.Type, Size: p.Size}); err != nil {
				return err
			}
		}
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	if u, found, err := t.tx.Unmarked(t.m.Room, mark); err != nil {
		return err
	} else if found && !u.Settled {
		if _, err := t.write(store.UnmarkedSettled{Mark: mark, Why: unmarkedDestroyed}); err != nil {
			return err
		}
	}
	t.say(destroyedNow, mark, day.Words(), ev.Witness, t.m.From)
	return nil
}
