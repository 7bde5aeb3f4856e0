package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// cut makes shorter items of one that is cut to length: "cut R-12 at 34 m". What was known of the whole, and what holds
// it, goes with each piece.
func (t *turn) cut(args string) error {
	item, rest, found, err := t.namedItem(args, "cut R-12 at 34 m")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actTakeIn, item.Flow); err != nil || !ok {
		return err
	}
	if why, err := t.uncuttable(item); err != nil || why != "" {
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	at, is := afterWords(rest, "at")
	length, err := readMetres(at)
	if !is || err != nil {
		t.refuse(cutHow, item.Mark)
		return nil
	}
	return t.startForm("cut", map[string]string{"mark": item.Mark, "at": length}, "")
}

// uncuttable says why an item can't be cut now; empty: it can.
func (t *turn) uncuttable(item store.Item) (string, error) {
	f, ok := t.bot.library[item.Flow]
	if !ok {
		return format(noScript, item.Mark, item.Flow), nil
	}
	if _, may := f.Cut(); !may {
		return format(cutNotKind, item.Mark, strings.ToLower(f.Title), item.Mark), nil
	}
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	if why, err := t.noInspection(item, s); err != nil || why != "" {
		return why, err
	}
	if item.Holder != "" {
		return format(cutOut, item.Mark, item.Holder), nil
	}
	in, is, err := t.tx.PartOf(t.m.Room, item.Mark)
	if err != nil || !is {
		return "", err
	}
	return format(cutPart, item.Mark, in.Mark), nil
}

// readMetres reads one length above nothing, in metres.
func readMetres(text string) (string, error) {
	values, err := flows.ParseReadings(text, "m")
	if err != nil {
		return "", err
	}
	if len(values) != 1 || values[0].Sign() <= 0 {
		return "", complaint(cutGoods)
	}
	return values[0].String(), nil
}

func (t *turn) cutFields(f *form) ([]field, error) {
	item, _, err := t.tx.Item(t.m.Room, f.Given["mark"])
	if err != nil {
		return nil, err
	}
	whole, err := t.lengthOf(item)
	if err != nil {
		return nil, err
	}
	fields := []field{{id: "other", ask: askOtherPiece, kind: flows.KindNote, read: func(text string) (string, error) {
		if sameWord(strings.Trim(text, "."), scrapWord) {
			return scrapWord, nil
		}
		other, err := readMetres(text)
		if err != nil {
			return "", err
		}
		at, rest := flows.MustNumber(f.Given["at"]), flows.MustNumber(other)
		if !whole.IsZero() && whole.Percent(flows.MustNumber(tapeSlack)).Less(at.Add(rest)) {
			return "", complaint(format(cutTooLong, at, rest, item.Mark, whole))
		}
		return other, nil
	}}}
	fields = append(fields, t.pieceMark("first", f.Given["at"], item.Mark, f))
	if other := f.Given["other"]; other != scrapWord {
		fields = append(fields, t.pieceMark("second", other, item.Mark, f))
	}
	return append(fields, confirmField(format(cutConfirm, item.Mark, t.describe(item), orUnknown(item.Serial), pieceWords(piecesOf(f))))), nil
}

// tapeSlack is how much more than its record says, in percent, the pieces of a rope may measure: a tape along a rope that
// lies by hand is off by more than it says. Common practice, no source.
const tapeSlack = "105"

// pieceMark asks for the new mark of a piece.
func (t *turn) pieceMark(id, length, was string, f *form) field {
	return field{id: id, ask: format(askPieceMark, length, was), kind: flows.KindNote, read: func(text string) (string, error) {
		if c := t.markFree(text); c != "" {
			return "", complaint(c)
		}
		if id == "second" && flows.SameMark(text, f.Given["first"]) {
			return "", complaint(cutSameMark)
		}
		return strings.ToUpper(text), nil
	}}
}

// piecesOf are the pieces as far as a form knows them.
func piecesOf(f *form) []store.Piece {
	var pieces []store.Piece
	for _, p := range [][2]string{{"first", "at"}, {"second", "other"}} {
		length, err := flows.ParseNumber(f.Given[p[1]]) // scrap is no piece
		if err == nil && f.Given[p[0]] != "" {
			pieces = append(pieces, store.Piece{Mark: f.Given[p[0]], Length: length})
		}
	}
	return pieces
}

func pieceWords(pieces []store.Piece) string {
	var words []string
	for _, p := range pieces {
		words = append(words, format(pieceIs, p.Mark, p.Length))
	}
	return together(words)
}

// lengthOf is how long an item was when somebody last said so, in metres; zero: nobody has.
func (t *turn) lengthOf(item store.Item) (flows.Number, error) {
	last, signed, err := t.tx.LastSigned(t.m.Room, item.Mark)
	if err != nil || !signed {
		return item.Length, err
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil {
		return item.Length, err
	}
	step, _ := i.flow.Cut()
	if a, given := i.state.Given(step); given {
		if said, err := flows.ParseNumber(a.Text); err == nil {
			return said, nil
		}
	}
	return item.Length, nil
}

func (t *turn) finishCut(f *form) error {
	item, _, err := t.tx.Item(t.m.Room, f.Given["mark"])
	if err != nil {
		return err
	}
	if why, err := t.uncuttable(item); err != nil || why != "" { // somebody else was quicker
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	holds, err := t.tx.Standing(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	pieces := piecesOf(f)
	for _, p := range pieces {
		if c := t.markFree(p.Mark); c != "" {
			t.refuse("%s", c)
			return nil
		}
	}
	if err := t.cutUp(item, pieces, holds); err != nil {
		return err
	}
	// Notices that were acted on hold the whole, and so its pieces, or somebody released it from them.
	spoken, err := t.spokenOf(asItems(item, pieces), func(k store.KeptNotice) bool { return !k.Held })
	if err != nil {
		return err
	}
	said := []string{format(cutNow, item.Mark, pieceWords(pieces)), format(cutKeeps, item.Mark), cutMark}
	if f.Given["other"] == scrapWord {
		said = append(said, cutScrapped)
	}
	if len(holds) > 0 {
		said = append(said, format(cutStillHeld, item.Mark, reasonsOf(holds)))
	}
	var inspect []string
	for _, p := range pieces {
		inspect = append(inspect, "inspect "+p.Mark)
	}
	t.reply(joined(append(said, format(cutInspect, strings.Join(inspect, ", ")), spoken)...))
	return t.tellOldConversation(item.Mark)
}

// cutUp ends an item and enters its pieces, each held by whatever held the whole: a new mark frees nothing.
func (t *turn) cutUp(item store.Item, pieces []store.Piece, holds []store.Hold) error {
	if _, err := t.write(store.Cut{Mark: item.Mark, Pieces: pieces}); err != nil {
		return err
	}
	why := format(whyCut, pieceWords(pieces))
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Retire, Why: why, Source: store.CutUp}); err != nil {
		return err
	}
	for _, piece := range asItems(item, pieces) {
		if _, err := t.write(store.ItemTaken{Item: piece}); err != nil {
			return err
		}
		for _, h := range holds {
			if _, err := t.write(store.HoldPlaced{
				Mark: piece.Mark, Verdict: h.Verdict, Why: h.Why, Rule: h.Rule, Inspection: h.Inspection, Source: h.Source, About: h.About, Reporter: h.By, Place: h.Place,
			}); err != nil {
				return err
			}
		}
	}
	return t.inHandToCut(item, pieces)
}

// asItems are the pieces as items of the register, with all that was known of the whole.
func asItems(item store.Item, pieces []store.Piece) []store.Item {
	items := make([]store.Item, len(pieces))
	for n, p := range pieces {
		items[n] = item
		items[n].Mark, items[n].Length, items[n].CutFrom = p.Mark, p.Length, item.Mark
	}
	return items
}

// inHandToCut answers the notices that ask where the whole is: whoever cut it had it in the hand.
func (t *turn) inHandToCut(item store.Item, pieces []store.Piece) error {
	open, err := t.tx.UnansweredNotices(t.m.Room)
	if err != nil {
		return err
	}
	open = slices.DeleteFunc(open, func(i store.NoticeItem) bool { return i.Mark != item.Mark })
	for _, i := range open {
		if _, err := t.write(store.HolderAnswered{Notice: i.Notice, Mark: i.Mark, Has: true, Text: format(whyCut, pieceWords(pieces))}); err != nil {
			return err
		}
	}
	return nil
}
