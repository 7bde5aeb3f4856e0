package bot

import (
	"slices"
	"strings"

	"becket/bot/report"
	"becket/store"
)

// reportRound issues the reports of a round: the one of this conversation, else the room's last.
func (t *turn) reportRound() error {
	r, found, err := t.tx.RoundOf(t.m.Room, t.m.Thread)
	if err == nil && (!found || t.m.Thread == "") {
		r, found, err = t.tx.LastRound(t.m.Room)
	}
	if err != nil || !found {
		t.refuse(reportNoRound)
		return err
	}
	rows, err := t.tx.InRound(r.ID)
	if err != nil {
		return err
	}
	var items []store.Item
	for _, row := range rows {
		if row.State != store.SignedOff {
			continue
		}
		item, found, err := t.tx.Item(t.m.Room, row.Mark)
		if err != nil || !found {
			return err
		}
		items = append(items, item)
	}
	if len(items) == 0 {
		t.refuse(reportNoRound)
		return nil
	}
	slices.SortFunc(items, func(a, b store.Item) int { return strings.Compare(a.Mark, b.Mark) })
	return t.reportAll(items)
}

// reportAll issues the reports of several items in one document. What has no thorough examination is named and left out; where one
// report lacks something none is issued, so that nobody takes the document for whole.
func (t *turn) reportAll(items []store.Item) error {
	var all []toReport
	var not, alone, lacking []string
	short := gaps{}
	for _, item := range items {
		r, why, err := t.lastExamined(item)
		if err != nil {
			return err
		}
		if why != "" {
			not = append(not, "  "+why)
			continue
		}
		if r.stands() {
			all = append(all, r)
			continue
		}
		if ok, err := t.may(actMakeReport, item.Flow); err != nil || !ok {
			return err
		}
		lacks, ask := r.lacksTogether()
		if short.add(lacks, item.Mark, r.i.signedBy); len(lacks) > 0 {
			lacking = append(lacking, item.Mark)
		}
		if len(ask) > 0 {
			alone = append(alone, item.Mark)
		}
		all = append(all, r)
	}
	var said []string
	if len(lacking) > 0 {
		said = append(said, reportsLack, short.lines())
	}
	if len(alone) > 0 {
		said = append(said, format(reportsAlone, alone[0], strings.Join(alone, ", ")))
	}
	switch {
	case len(said) > 0:
		t.refuse("%s", joined(said...))
		return nil
	case len(all) == 0:
		t.refuse("%s", joined(append([]string{reportsEmpty}, not...)...))
		return nil
	}
	return t.issueTogether(all, not)
}

// lacksTogether is lacks where many are reported: one line tells of all of them when each was last examined.
func (r toReport) lacksTogether() (lacks []report.Missing, ask []string) {
	lacks, ask = r.lacks()
	if slices.Contains(ask, "before") {
		ask = slices.DeleteFunc(ask, func(id string) bool { return id == "before" })
		lacks = append(lacks, report.Missing{Item: "4 or 6(a)", What: report.NoLast})
	}
	return lacks, ask
}

// issueTogether writes the document and down which reports are in it, and lists them.
func (t *turn) issueTogether(all []toReport, not []string) error {
	var data []report.Data
	for _, r := range all {
		data = append(data, r.data)
	}
	hash, size, err := t.document(data...)
	if err != nil {
		return err
	}
	lines := []string{format(reportsMade, len(all))}
	for _, r := range all {
		if !r.stands() {
			if err := t.wasIssued(&r, hash, size, true); err != nil {
				return err
			}
		}
		next := reportsNoNext
		if !r.data.Next.IsZero() {
			next = format(reportsNext, r.data.Next.Words())
		}
		lines = append(lines, format(reportsLine, r.item.Mark, r.data.Record, strings.ToUpper(r.data.Verdict.String()), r.data.Day.Words(), next))
	}
	if len(not) > 0 {
		lines = append(append(lines, reportsNot), not...)
	}
	reply := t.reply(joined(append(lines, format(reportsEach, all[0].item.Mark))...))
	reply.Files = []File{documentOf(format(reportsFile, t.day().Words()), hash, size)}
	return nil
}
