package bot

import (
	"slices"
	"strings"

	"github.com/agnivade/levenshtein"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// status is whether an item may be used today. It is worked out whenever it is asked and never stored.
type status struct {
	item    store.Item
	sheet   store.Sheet
	holds   []store.Hold // those that stand
	retired *store.Hold
	moved   *store.Hold      // the last one that was put on it by mistake
	last    store.Inspection // the latest signed one
	signed  bool
	lastSeq int64    // the entry with which that inspection began
	due     due.Date // zero: never inspected, or not fit when last inspected
	plain   due.Date // what due would be without what is foretold of its wear: never earlier
	wears   string   // the place whose wear brings due nearer; empty: none does, or nobody is to be told
	lifeEnd due.End
	why     string // which interval binds, with its source
	custody store.Custody
	owners  bool             // its owner's inspection stands for ours, as something shows
	waits   bool             // a second opinion on it isn't in yet
	misread string           // the instrument that last measured it, where that was found out since
	called  []store.Called   // why it is to be inspected whatever its date, answered ones included
	could   []store.Unmarked // reports without a mark that may be of it
}

func (t *turn) statusOf(item store.Item) (status, error) {
	s := status{}
	var err error
	if s.sheet, _, err = t.tx.Sheet(t.m.Room, item.Maker, item.Model); err != nil {
		return s, err
	}
	s.item, s.why = item.Within(s.sheet)
	holds, err := t.tx.Holds(t.m.Room, item.Mark)
	if err != nil {
		return s, err
	}
	s.retired, s.moved = store.Retired(holds), store.MovedLast(holds)
	for _, h := range holds {
		if !h.Released {
			s.holds = append(s.holds, h)
		}
	}
	s.lifeEnd = s.item.Life().Ends()
	if s.custody, err = t.tx.Custody(t.m.Room, item.Mark); err != nil {
		return s, err
	}
	waiting, err := t.tx.UnansweredOf(t.m.Room, item.Mark)
	if err != nil {
		return s, err
	}
	s.waits = len(waiting) > 0
	if s.called, err = t.tx.Called(t.m.Room, item.Mark); err != nil {
		return s, err
	}
	if s.could, err = t.couldBe(item.Mark); err != nil {
		return s, err
	}
	if s.last, s.signed, err = t.tx.LastSigned(t.m.Room, item.Mark); err != nil {
		return s, err
	}
	if !s.signed {
		if owners, shown := item.Evidenced(); shown {
			s.owners, s.due = true, s.item.DueAfter(owners)
		}
		return s, nil
	}
	if err := t.fallsDue(&s); err != nil {
		return s, err
	}
	s.lastSeq = s.last.Seq
	if with, _, found, err := t.tx.Misread(t.m.Room, item.Mark, s.last); err != nil {
		return s, err
	} else if found {
		s.misread = with
	}
	return s, nil
}

// fallsDue works out when an item is due again after its last inspection. Which place wore isn't told while somebody is to measure it.
func (t *turn) fallsDue(s *status) error {
	ahead, err := t.tx.Foretold(t.m.Room, s.item.Mark)
	s.plain = s.item.DueAfter(s.last)
	s.due = due.Nearer(s.plain, ahead.Day, s.last.Day)
	if err != nil || s.due == s.plain {
		return err
	}
	hidden, err := t.hidden(s.item.Mark)
	if !hidden {
		s.wears = ahead.Place
	}
	return err
}

// hidden tells whether somebody measures an item now, or is to look at it a second time, blind: how it wore would steer them.
func (t *turn) hidden(mark string) (bool, error) {
	if i, err := t.sealed(mark); err != nil || i != nil {
		return i != nil, err
	}
	return t.askedToRepeat(mark)
}

// dueWords is the day it is due, and why where wear brings it nearer.
func (s status) dueWords() string { return soonerWords(s.due, s.plain, s.wears) }

// soonerBy is a sentence on the day it is due, where wear brings it nearer and that is to be told; else nothing.
func (s status) soonerBy() string {
	if s.wears == "" {
		return ""
	}
	return format(dueSoonerIs, s.dueWords())
}

// couldBe lists the open reports without a mark that may be of this item.
func (t *turn) couldBe(mark string) ([]store.Unmarked, error) {
	open, err := t.tx.OpenUnmarked(t.m.Room)
	return slices.DeleteFunc(open, func(u store.Unmarked) bool { return !slices.Contains(u.Could, mark) }), err
}

// calledIn are the calls that no inspection has answered: one begun after the call, and where work goes on, one of
// today or of its last day.
func (s status) calledIn(today due.Date) (open []store.Called) {
	for _, c := range s.called {
		answered := s.signed && s.lastSeq > c.N
		if answered && !c.Until.IsZero() {
			last := c.Until
			if today.Before(last) {
				last = today
			}
			answered = !s.last.Day.Before(last)
		}
		if !answered {
			open = append(open, c)
		}
	}
	return open
}

// generalFigures are what any sheet may have beside its flow's figures.
func generalFigures() []flows.Figure {
	return []flows.Figure{
		{ID: store.FigureInterval, Unit: "months", Ask: "The maker's longest interval between inspections"},
		{ID: store.FigureLifeMade, Unit: "years", Ask: "Its longest life from manufacture"},
		{ID: store.FigureLifeUse, Unit: "years", Ask: "Its longest life from first use"},
	}
}

// notForUse lists why the item isn't for use until inspected. It is empty for an item that may be used, and
// for one that is held or retired no inspection alone would help.
func (s status) notForUse(today due.Date) []string {
	var reasons []string
	if unseen := s.custody.Unseen; !unseen.IsZero() {
		reasons = append(reasons, format(notSeenReason, unseen.Words()))
	}
	switch loan := s.item.Loan; {
	case s.signed || s.owners:
	case loan != nil:
		reasons = append(reasons, format(loanUnshown, loan.Owner))
	default:
		reasons = append(reasons, neverInspected)
	}
	if s.signed && s.due.IsZero() && len(s.holds) == 0 {
		reasons = append(reasons, format(notFitLast, s.last.Day.Words()))
	}
	if end := s.lifeEnd; !end.Date.IsZero() && today.After(end.Date) {
		reasons = append(reasons, format(lifeOver, end.Date.Words(), boundWords(end.Bound)))
	} else if loan := s.item.Loan; loan != nil && today.After(loan.Until) {
		reasons = append(reasons, format(loanOver, loan.Owner, loan.Until.Words()))
	} else if !s.due.IsZero() && due.Overdue(today, s.due) {
		reasons = append(reasons, format(overdueSince, s.dueWords()))
	}
	if s.moved != nil && (!s.signed || s.moved.N > s.lastSeq) {
		reasons = append(reasons, movedLook)
	}
	if look := s.custody.Look; look.After(s.last) {
		reasons = append(reasons, lookReason(look))
	}
	if s.waits {
		reasons = append(reasons, opinionOpen)
	}
	if s.misread != "" {
		reasons = append(reasons, format(misreadBy, s.misread))
	}
	for _, c := range s.calledIn(today) {
		if !slices.Contains(reasons, c.Why) { // the same day's salt, told twice
			reasons = append(reasons, c.Why)
		}
	}
	if s.lifeEnd.Unknown {
		reasons = append(reasons, lifeUnknown)
	}
	return reasons
}

// lookReason says why an item's history isn't known.
func lookReason(l *store.Look) string {
	if l.Kind == store.LookSeal {
		return format(sealReason, l.Day.Words())
	}
	return format(foundReason, l.From.Words(), l.Day.Words())
}

// usable tells whether the item may be used on a day.
func (s status) usable(today due.Date) bool {
	return s.retired == nil && s.custody.Gone.IsZero() && len(s.holds) == 0 && len(s.notForUse(today)) == 0
}

// sentence says the status in full.
func (s status) sentence(today due.Date) string {
	switch {
	case s.retired != nil && s.retired.Source == store.CutUp:
		return format(isCut, s.item.Mark, strings.TrimRight(s.retired.Why, "."), s.retired.At.Format("2 January 2006"))
	case s.retired != nil:
		return format(isRetired, s.item.Mark, s.retired.At.Format("2 January 2006"), strings.TrimRight(s.retired.Why, "."))
	case !s.custody.Gone.IsZero():
		return format(isWentBack, s.item.Mark, s.custody.Gone.Words())
	case len(s.holds) > 0:
		return format(isHeld, s.item.Mark, reasonsOf(s.holds))
	}
	if reasons := s.notForUse(today); len(reasons) > 0 {
		return format(isNotForUse, s.item.Mark, strings.Join(reasons, "; ")) + s.mayBe()
	}
	word := isFit
	switch {
	case s.last.Verdict == flows.Watch:
		word = isWatched
	case s.owners:
		return format(isBorrowed, s.item.Mark, s.item.Loan.Owner, s.item.Loan.Examined.Words(), s.item.Loan.Evidence, s.due.Words()) + forGoodsWords(s.item)
	}
	said := format(word, s.item.Mark, s.last.Day.Words(), s.dueWords())
	return said + forGoodsWords(s.item) + s.mayBe()
}

func forGoodsWords(item store.Item) string {
	if item.Use == flows.Goods {
		return goodsOnlyWords
	}
	return ""
}

// mayBe names the reports without a mark that may be of this item. It is a guess, so nothing follows from it.
func (s status) mayBe() (said string) {
	for _, u := range s.could {
		said += format(mayBeReported, u.Mark, u.At.Format("2 January 2006"), clip(u.Text, 60))
	}
	return said
}

// short says the status in few words, for lists.
func (s status) short(today due.Date) string {
	switch {
	case s.retired != nil:
		return isGoneShort
	case !s.custody.Gone.IsZero():
		return format(wentBackShort, s.custody.Gone.Words())
	case len(s.holds) > 0:
		return isHeldShort
	}
	if reasons := s.notForUse(today); len(reasons) > 0 {
		return format(isNotShort, strings.Join(reasons, "; "))
	}
	if s.owners {
		return format(isBorrowedShort, s.item.Loan.Owner, s.item.Loan.Examined.Words(), s.due.Words()) + forGoodsWords(s.item)
	}
	word := isFitShort
	if s.last.Verdict == flows.Watch {
		word = isWatchShort
	}
	said := format(word, s.last.Day.Words(), s.dueWords())
	return said + forGoodsWords(s.item)
}

// shortWhy says why an item may not be used, without its mark.
func (s status) shortWhy(today due.Date) string {
	if s.retired == nil && len(s.holds) > 0 {
		return isHeldShort + ": " + reasonsOf(s.holds)
	}
	return s.short(today)
}

func reasonsOf(holds []store.Hold) string {
	var reasons []string
	for _, h := range holds {
		reason := format(holdReason, strings.TrimRight(h.Why, "."), h.By, h.At.Format("2 January 2006"))
		if h.Place != "" {
			reason += format(keptIn, h.Place)
		}
		reasons = append(reasons, reason)
	}
	return strings.Join(reasons, "; ")
}

// namedItem finds the item that a command names first. If it isn't there it has said so, with the nearest.
func (t *turn) namedItem(args, example string) (item store.Item, rest string, found bool, err error) {
	mark, rest := firstWord(args)
	mark = bareMark(mark)
	if mark == "" {
		t.refuse(whichMark, example)
		return item, "", false, nil
	}
	item, found, err = t.tx.Item(t.m.Room, mark)
	if err != nil || found {
		return item, rest, found, err
	}
	if b, is, err := t.tx.Bundle(t.m.Room, mark); err != nil || is {
		parts, err := t.tx.Parts(t.m.Room, b.Mark)
		t.refuse(bundleNotOne, b.Mark, kindWord(b), orNothing(parts))
		return item, "", false, err
	}
	near, err := t.nearest(mark)
	if err != nil {
		return item, "", false, err
	}
	t.refuse(noSuchMark, clip(mark, 30), near)
	return item, "", false, nil
}

// nearest names the marks most like a mistyped one, for a person to choose from: none acts by itself.
func (t *turn) nearest(mark string) (string, error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return "", err
	}
	if len(items) == 0 {
		return registerEmpty, nil
	}
	slices.SortStableFunc(items, func(a, b store.Item) int { return distance(mark, a.Mark) - distance(mark, b.Mark) })
	var near []string
	for _, i := range items[:min(3, len(items))] {
		if distance(mark, i.Mark) <= max(2, len(mark)/2) {
			near = append(near, format(nearOne, i.Mark, t.describe(i)))
		}
	}
	if len(near) == 0 {
		return noneNear, nil
	}
	return format(nearAre, strings.Join(near, ", ")), nil
}

// distance is how many letters differ between two marks.
func distance(a, b string) int {
	a, b = strings.ToUpper(a), strings.ToUpper(b)
	if a != b && inOrder(a) == inOrder(b) {
		return 1 // the same letters and digits, changed about: the commonest slip
	}
	return levenshtein.ComputeDistance(a, b)
}

func inOrder(s string) string {
	letters := []rune(s)
	slices.Sort(letters)
	return string(letters)
}

// describe is an item's family and model in a few words.
func (t *turn) describe(i store.Item) string {
	title := t.bot.title(i.Flow)
	if i.ModelName() == "" {
		return title
	}
	return title + ", " + i.ModelName()
}
