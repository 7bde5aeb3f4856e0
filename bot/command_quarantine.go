package bot

import (
	"slices"
	"strings"
	"unicode"

	"becket/flows"
	"becket/store"
)

// quarantine takes an item out of use in one line, from anybody in the room.
func (t *turn) quarantine(args string) error {
	if t.here != nil {
		if done, err := t.strictlySigned(args); err != nil || done {
			return err
		}
	}
	args, err := t.spelledOut(args)
	if err != nil {
		return err
	}
	if unmarked, err := t.describesUnmarked(args); err != nil {
		return err
	} else if unmarked {
		return t.quarantineUnmarked(args)
	}
	item, why, found, err := t.namedItem(args, "quarantine D-02 rope creeps when I stop")
	if err != nil {
		return err
	}
	if !found {
		return t.notHeldYet(args)
	}
	more, why, err := t.moreItems(why)
	if err != nil {
		return err
	}
	if why = strings.TrimLeft(why, ":,- "); why == "" {
		why = noReasonGiven
	}
	for _, each := range append([]store.Item{item}, more...) {
		if err := t.quarantineItem(each, store.HoldPlaced{Verdict: flows.Quarantine, Why: why}); err != nil {
			return err
		}
	}
	return nil
}

// notHeldYet says, below the refusal of a mark that isn't there, that the report holds nothing, and gives it again with the
// mark that differs in nothing but dashes: a person sends it, nothing acts by itself.
func (t *turn) notHeldYet(args string) error {
	word, why := firstWord(args)
	if word == "" {
		return nil
	}
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	said := faultNotHeld
	if t.saysThis(word) {
		said = format(faultLikeHow, t.here.Mark, strings.TrimSpace(t.here.Mark+" "+why))
	}
	for _, item := range items {
		if plainMark(item.Mark) == plainMark(word) {
			said = format(faultLikeHow, item.Mark, strings.TrimSpace(item.Mark+" "+why))
		}
	}
	r := &t.replies[len(t.replies)-1]
	r.Text = joined(r.Text, said)
	return nil
}

// saysThis tells whether a word points at what the speaker is inspecting.
func (t *turn) saysThis(word string) bool {
	return t.here != nil && (sameWord(word, "this") || sameWord(word, "it"))
}

// plainMark is a mark's letters and digits alone.
func plainMark(mark string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToUpper(r)
		}
		return -1
	}, mark)
}

// faultOf says how a fault is reported, where a line that wasn't understood names an item other than the one in hand:
// people tell of a fault in the middle of something else, without the word for it.
func (t *turn) faultOf(inHand string) string {
	for _, word := range strings.Fields(t.m.Text) {
		mark := strings.Trim(word, ".,:;()?")
		if !strings.ContainsAny(mark, digits) || !strings.ContainsFunc(mark, unicode.IsLetter) {
			continue // a reading or a letter among the answers, though a team may mark its kit so
		}
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err == nil && found && item.Mark != inHand {
			return format(faultOfHow, item.Mark, item.Mark)
		}
	}
	return ""
}

// toldOfOther is the mark of another item than the one in hand with which a message begins, and goes on in words: it may be said
// of that item. Empty: there is none.
func (t *turn) toldOfOther(inHand string) string {
	word, rest := firstWord(t.m.Text)
	mark := strings.Trim(word, ".,:;()?")
	if rest == "" || !strings.ContainsAny(mark, digits) || !strings.ContainsFunc(mark, unicode.IsLetter) {
		return ""
	}
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil || !found || sameWord(item.Mark, inHand) {
		return ""
	}
	return item.Mark
}

// moreItems are further marks that a line names before its reason: "K-01, K-02 and K-03 dropped".
func (t *turn) moreItems(text string) (more []store.Item, rest string, err error) {
	for {
		word, after := firstWord(text)
		mark := strings.Trim(word, ".,:;&+")
		if mark == "" && word != "" || strings.EqualFold(mark, "and") {
			word, after = firstWord(after)
			mark = strings.Trim(word, ".,:;&+")
		}
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found || mark == "" {
			return more, text, err
		}
		more, text = append(more, item), after
	}
}

// quarantineItem holds one item and says so to whom it concerns.
func (t *turn) quarantineItem(item store.Item, hold store.HoldPlaced) error {
	hold.Mark = item.Mark
	placed, err := t.write(hold)
	if err != nil {
		return err
	}
	if err := t.photosOf(item.Mark); err != nil {
		return err
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	who, err := t.releasers(people, item, store.Hold{N: placed.Seq, By: t.m.From, About: hold.About})
	if err != nil {
		return err
	}
	told := t.tellOf(item, hold.Why, people)
	kept, provisional := "", ""
	if len(t.m.Files) > 0 {
		kept = photoKept
	}
	if !t.listed {
		provisional = format(provisionalHold, t.m.From)
	}
	t.reply(joined(
		format(quarantined, item.Mark, t.m.From, t.moment(t.tx.Now())),
		t.whatItIs(item),
		format(quarantineTag, item.Mark),
		kept, provisional, told,
		format(quarantineWrong, item.Mark)+" "+releasedBy(who),
	))
	return t.tellOldConversation(item.Mark)
}

// releasedBy says who could release a hold.
func releasedBy(who []string) string {
	if len(who) == 0 {
		return quarantineOutside
	}
	return format(quarantineWho, list(who))
}

// whoReleases names who could release a hold; where nobody here could, how it goes all the same.
func whoReleases(who []string) string {
	if len(who) == 0 {
		return outsideReleases
	}
	return list(who)
}

// photosOf keeps the pictures of this message with an item.
func (t *turn) photosOf(mark string) error {
	for _, f := range t.m.Files {
		if _, err := t.write(store.Photographed{Mark: mark, Hash: f.Hash, Name: f.Name, Type: f.Type, Size: f.Size}); err != nil {
			return err
		}
	}
	return nil
}

// tellOf tells the keepers and whoever holds the item, each alone, and says whom.
func (t *turn) tellOf(item store.Item, why string, people []store.Person) string {
	tell := keepersOf(people)
	if item.Holder != "" && !slices.Contains(tell, item.Holder) {
		tell = append(tell, item.Holder)
	}
	tell = slices.DeleteFunc(tell, func(id string) bool { return id == t.m.From })
	for _, id := range tell {
		t.tell(id, format(toldHeld, item.Mark, t.describe(item), t.m.From, strings.TrimRight(why, ".")))
	}
	if len(tell) == 0 {
		return ""
	}
	return format(toldWhom, strings.Join(tell, ", "))
}

// tellOldConversation says, where an item was last signed usable, that this no longer holds. As what it was signed
// stays unsaid: somebody may be measuring it now.
func (t *turn) tellOldConversation(mark string) error {
	last, found, err := t.tx.LastSigned(t.m.Room, mark)
	if err != nil || !found || !last.Verdict.Usable() || last.Thread == "" || last.Thread == t.thread {
		return err
	}
	r := t.say(heldSince, mark, last.Day.Words(), t.moment(t.tx.Now()))
	r.Room, r.Thread, r.To = t.m.Room, last.Thread, ""
	return nil
}

// strictlySigned reads "quarantine because ..." as a signature where an inspection waits for one and no item
// is named.
func (t *turn) strictlySigned(args string) (bool, error) {
	if _, open := t.here.next(); open || t.namesItem(args) {
		return false, nil
	}
	return true, t.signAs(t.here, "quarantine "+args)
}

// isHeld tells whether any hold of an item stands.
func (t *turn) isHeld(mark string) (bool, error) {
	holds, err := t.tx.Standing(t.m.Room, mark)
	return len(holds) > 0, err
}

// whatItIs says an item back, so that a wrong mark is noticed.
func (t *turn) whatItIs(item store.Item) string {
	where := inTheStore
	if item.Holder != "" {
		where = format(heldBy, item.Holder)
	}
	if item.Place != "" {
		where += ", " + item.Place
	}
	return format(itemIs, item.Mark, t.describe(item), where)
}
