package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// handing is what an issue says: what, to whom, and what it is for.
type handing struct {
	what    string // marks as typed
	to      string // a listed person, who answers for it
	visitor string // who uses it, where that is nobody of the team
	use     flows.Use
	agreed  string // from whom it was agreed that it goes; empty: from nobody
}

// issue hands items out: "issue D-07, K-12 to @isla for goods". All of them or none.
func (t *turn) issue(args string) error {
	h, ok, err := t.handingIn(args)
	if err != nil || !ok {
		return err
	}
	return t.handOut(h)
}

// handingIn reads an issue. Where it can't be meant, it has said what to type.
func (t *turn) handingIn(args string) (h handing, ok bool, err error) {
	h.use = flows.People
	args = strings.TrimRight(args, ". ")
	for _, u := range []flows.Use{flows.Goods, flows.People} {
		if what, is := cutEnd(args, " for "+string(u)); is {
			args, h.use = what, u
		}
	}
	var to string
	if h.what, to, ok = cutLast(args, " to "); !ok || h.what == "" {
		t.refuse(issueHow)
		return h, false, nil
	}
	if name, is := afterWords(to, "visitor"); is {
		if h.visitor, to, ok = cutLast(name, " with "); !ok {
			t.refuse(issueVisitor)
			return h, false, nil
		}
		h.visitor = clip(h.visitor, 60)
	}
	person, listed, err := t.someone(to)
	if err != nil {
		return h, false, err
	}
	if !listed {
		people, err := t.tx.People(t.m.Room)
		t.refuse(issueNobody, clip(to, 40), strings.Join(idsOf(people), ", "))
		return h, false, err
	}
	h.to = person.ID
	return h, true, nil
}

// cutLast cuts a text before and after the last time that words stand in it, letters' case aside.
func cutLast(text, words string) (before, after string, found bool) {
	i := strings.LastIndex(strings.ToLower(text), words)
	if i < 0 || len(strings.ToLower(text)) != len(text) {
		return text, "", false
	}
	return strings.TrimSpace(text[:i]), strings.TrimSpace(text[i+len(words):]), true
}

// cutEnd cuts words off a text's end.
func cutEnd(text, words string) (before string, found bool) {
	before, after, found := cutLast(text, words)
	if !found || after != "" {
		return text, false
	}
	return before, true
}

func idsOf(people []store.Person) []string {
	var ids []string
	for _, p := range people {
		ids = append(ids, p.ID)
	}
	return ids
}

// handOut issues everything or nothing. Where somebody else has one, it asks first.
func (t *turn) handOut(h handing) error {
	all, found, err := t.things(h.what, "issue D-07 to @isla")
	if err != nil || !found {
		return err
	}
	var why, others, rest []string
	from := map[string]bool{}
	for _, one := range all {
		reason, err := t.cantIssue(one, h)
		if err != nil {
			return err
		}
		switch {
		case reason != "":
			why = append(why, format(issueLine, one.item.Mark, reason))
			continue
		case one.item.Holder != "" && one.item.Holder != h.agreed:
			since, err := t.hasSince(one.item)
			if err != nil {
				return err
			}
			others = append(others, format(issueLine, one.item.Mark, format(issueOther, one.item.Holder, since)))
			from[one.item.Holder] = true
		}
		rest = append(rest, one.item.Mark)
	}
	switch {
	case len(why) > 0:
		without := ""
		if len(rest) > 0 && len(rest) < len(all) && all[0].bundle.Mark == "" {
			without = format(issueWithout, strings.Join(rest, ", "), h.to)
		}
		t.refuse("%s", joined(issueRefused, strings.Join(why, "\n"), without))
		return nil
	case len(others) > 0 && len(from) == 1:
		return t.askHandOver(h, all, others)
	case len(others) > 0:
		t.refuse("%s", joined(issueRefused, strings.Join(others, "\n"), issueOneHolder))
		return nil
	}
	return t.issueAll(h, all)
}

// cantIssue says why an item can't be issued; empty: it can.
func (t *turn) cantIssue(one thing, h handing) (string, error) {
	item := one.item
	s, err := t.statusOf(item)
	if err != nil {
		return "", err
	}
	if !s.usable(t.day()) {
		return s.shortWhy(t.day()), nil
	}
	if unsaid, err := t.sayUnaccounted(copyIssue); err != nil || unsaid != "" {
		return unsaid, err
	}
	if row, busy, err := t.tx.Unfinished(t.m.Room, item.Mark); err != nil || busy {
		return format(issueBusy, row.Inspector), err
	}
	if in, isPart, err := t.tx.PartOf(t.m.Room, item.Mark); err != nil {
		return "", err
	} else if isPart && in.Mark != one.bundle.Mark {
		if in.Kind == store.Bag {
			return format(issueSealed, in.Mark), nil
		}
		return format(issuePart, in.Mark, item.Mark), nil
	}
	switch {
	case s.sheet.Document != "" && !s.sheet.Counts():
		return format(issueSheet, s.sheet.Name(), s.sheet.Maker, s.sheet.Model), nil
	case item.Use == flows.Goods && h.use != flows.Goods:
		return format(issueGoodsOnly, item.Mark, h.to), nil
	case item.Holder == h.to:
		return format(issueHasIt, h.to), nil
	}
	return "", nil
}

// hasSince is since when an item's holder has it, in words.
func (t *turn) hasSince(item store.Item) (string, error) {
	c, err := t.tx.Custody(t.m.Room, item.Mark)
	if err != nil || c.Since.IsZero() {
		return beforeRecord, err
	}
	return t.on(c.Since), nil
}

// issueAll writes each item's issue and says what the day asks of its user.
func (t *turn) issueAll(h handing, all []thing) error {
	var marks, lines []string
	for _, one := range all {
		ev := store.Issued{Mark: one.item.Mark, To: h.to, From: one.item.Holder, Visitor: h.visitor, For: h.use, Bundle: one.bundle.Mark}
		if _, err := t.write(ev); err != nil {
			return err
		}
		s, err := t.statusOf(one.item)
		if err != nil {
			return err
		}
		marks = append(marks, one.item.Mark)
		lines = append(lines, format(issuedLast, one.item.Mark, s.short(t.day())))
		if was := one.item.Holder; was != "" && was != t.m.From {
			t.tell(was, format(issueFrom, one.item.Mark, h.to, t.m.From))
		}
	}
	visitor := ""
	if h.visitor != "" {
		visitor = format(issuedVisitor, h.visitor, h.to)
	}
	if h.to != t.m.From {
		t.tell(h.to, joined(format(issuedTold, together(marks), t.m.From), visitor, cautionUse))
	}
	t.reply(joined(format(issuedOne, h.to, together(marksNamed(all)), h.use), visitor, strings.Join(lines, "\n"), cautionUse))
	return nil
}

// askHandOver asks before an item goes from one holder to another.
func (t *turn) askHandOver(h handing, all []thing, others []string) error {
	given := map[string]string{"what": h.what, "to": h.to, "visitor": h.visitor, "for": string(h.use), "others": strings.Join(others, "\n")}
	for _, one := range all {
		if one.item.Holder != "" {
			given["from"] = one.item.Holder
		}
	}
	return t.startForm(handOver, given, "")
}

// handOver is the form that asks whether something goes from hand to hand.
const handOver = "hand over"

func (t *turn) handOverFields(f *form) ([]field, error) {
	ask := format(issueOtherAsk, strings.TrimSpace(f.Given["others"]), f.Given["to"], f.Given["from"])
	return []field{confirmField(ask)}, nil
}

func (t *turn) finishHandOver(f *form) error {
	g := f.Given
	return t.handOut(handing{what: g["what"], to: g["to"], visitor: g["visitor"], use: flows.Use(g["for"]), agreed: g["from"]})
}
