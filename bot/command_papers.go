package bot

import (
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// papers writes one page to travel with an item, as evidence of its last inspection (Work at Height Regulations 2005, reg 12(5):
// nothing leaves or enters an undertaking without it). What may not be used gets none.
func (t *turn) papers(args string) error {
	item, _, found, err := t.namedItem(args, "papers D-07")
	if err != nil || !found {
		return err
	}
	if kept, err := t.keptFrom(item.Mark); err != nil || kept {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	if row, busy, err := t.tx.Unfinished(t.m.Room, item.Mark); err != nil || busy {
		t.refuse(papersBusy, item.Mark, row.Inspector)
		return err
	}
	unsaid, err := t.sayUnaccounted(copyIssue)
	switch {
	case err != nil:
		return err
	case unsaid != "":
		t.refuse(papersNo, item.Mark, unsaid)
		return nil
	case !s.usable(t.day()):
		t.refuse(papersNo, item.Mark, s.shortWhy(t.day()))
		return nil
	}
	t.reply(t.page(s))
	return nil
}

// page is the text of an item's papers.
func (t *turn) page(s status) string {
	item := s.item
	lines := []string{
		format(papersHead, item.Mark, t.team.Name, t.day().Words()),
		format(papersWhat, t.describe(item)),
		format(papersSerial, orUnknown(item.Serial), orUnknown(item.Batch)),
		format(papersDates, dateWords(item.Made), dateWords(item.FirstUse), item.Use),
		t.lastWords(s),
		format(papersDue, s.dueWords()),
	}
	if end := s.lifeEnd.Date; !end.IsZero() {
		lines = append(lines, format(papersLife, end.Words(), boundWords(s.lifeEnd.Bound)))
	}
	if s.last.Verdict == flows.Watch {
		lines = append(lines, papersWatch)
	}
	lines = append(lines, format(papersWho, whereIs(item)))
	if item.Use == flows.Goods {
		lines = append(lines, goodsOnlyStop)
	}
	return joined(append(lines, cautionUse, format(papersAfter, s.due.Words()))...)
}

func dateWords(d due.Date) string {
	if d.IsZero() {
		return notKnownWord
	}
	return d.Words()
}

// lastWords says the examination that counts, ours or its owner's.
func (t *turn) lastWords(s status) string {
	if s.owners {
		return format(papersOwners, s.item.Loan.Examined.Words(), s.item.Loan.Owner, s.item.Loan.Evidence)
	}
	return format(papersLast, s.last.Day.Words(), s.last.Number, t.calledOf(s.last), strings.ToUpper(s.last.Verdict.String()))
}

// calledOf is who signed an inspection, by name where the list has one.
func (t *turn) calledOf(i store.Inspection) string {
	p, listed, err := t.tx.Person(t.m.Room, i.Signer)
	if err != nil || !listed || p.Name == "" {
		return i.Signer
	}
	return format(idAndName, i.Signer, p.Name)
}
