package bot

import (
	"cmp"
	"strings"

	"becket/bot/report"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// toReport is an item with its last thorough examination and what a report says of it.
type toReport struct {
	item   store.Item
	i      *inspection
	data   report.Data
	last   store.ReportIssued // the report that was issued of it before
	issued bool
}

// report issues the report of an item's last thorough examination, or says what keeps it from being issued; one document for
// several items or for a round.
func (t *turn) report(args string) error {
	if _, is := afterWords(args, "details"); is {
		return t.reportDetails()
	}
	if rest, is := afterWords(args, "round"); is && strings.Trim(rest, " .") == "" {
		return t.reportRound()
	}
	item, rest, found, err := t.namedItem(args, "report D-07")
	if err != nil || !found {
		return err
	}
	more, _, err := t.moreItems(rest)
	if err != nil {
		return err
	}
	if all := unique(append([]store.Item{item}, more...)); len(all) > 1 {
		return t.reportAll(all)
	}
	r, why, err := t.lastExamined(item)
	switch {
	case err != nil:
		return err
	case why != "":
		t.refuse("%s", why)
		return nil
	case r.stands():
		if r.last.Together { // it stands in a document with others
			if r.last.Hash, r.last.Size, err = t.document(r.data); err != nil {
				return err
			}
		}
		return t.showReport(r, format(reportSame, r.last.Day.Words()))
	}
	return t.askForReport(r)
}

// lastExamined gathers the report of an item; why says in a sentence that there can be none now.
func (t *turn) lastExamined(item store.Item) (r toReport, why string, err error) {
	if asked, err := t.askedToRepeat(item.Mark); err != nil || asked {
		return r, format(repeatKept, item.Mark), err
	}
	if i, err := t.sealed(item.Mark); err != nil || i != nil {
		if i != nil {
			why = format(sealedHistory, item.Mark, i.Inspector)
		}
		return r, why, err
	}
	row, found, err := t.tx.LastSigned(t.m.Room, item.Mark)
	if err != nil || !found {
		return r, format(reportNever, item.Mark), err
	}
	r.item = item
	if r.i, err = t.bot.load(t.tx, row); err != nil {
		return r, "", err
	}
	if r.last, r.issued, err = t.tx.LastReport(t.m.Room, item.Mark, row.ID); err != nil {
		return r, "", err
	}
	r.data, err = t.examination(item, r.i, r.last.ReportSays)
	return r, "", err
}

// stands tells whether a report was issued that says what one of today would say. The data then has its date.
func (r *toReport) stands() bool {
	if !r.issued {
		return false
	}
	today := r.data.Made
	if r.data.Made = r.last.Day; r.data.Fingerprint() == r.last.Text {
		return true
	}
	r.data.Made = today
	return false
}

// askForReport asks what only the report's maker can say, once nothing else is missing, and issues it where nothing is to be asked.
func (t *turn) askForReport(r toReport) error {
	lacks, ask := r.lacks()
	if len(lacks) > 0 {
		t.refuse("%s", joined(format(reportLacks, r.item.Mark), gapsOf(lacks, r.item.Mark, r.i.signedBy).lines(), format(reportAgain, r.item.Mark)))
		return nil
	}
	if ok, err := t.may(actMakeReport, r.item.Flow); err != nil || !ok {
		return err
	}
	if len(ask) == 0 {
		return t.issueReport(r)
	}
	if !may(t.person, t.listed, actSign, r.item.Flow, t.day()) {
		people, err := t.tx.People(t.m.Room)
		t.refuse(reportWho, list(whoMay(people, actSign, r.item.Flow, t.day())))
		return err
	}
	given := map[string]string{"mark": r.item.Mark, "inspection": r.i.ID, "day": r.data.Day.String(), "ask": strings.Join(ask, " ")}
	return t.startForm("report", given, format(reportBegin, r.item.Mark, r.data.Record, strings.ToUpper(r.data.Verdict.String())))
}

// lacks is what is missing, and the questions that would fill in the rest.
func (r toReport) lacks() (lacks []report.Missing, ask []string) {
	for _, m := range r.data.Missing() {
		if id := asked(m.What); id != "" {
			ask = append(ask, id)
		} else {
			lacks = append(lacks, m)
		}
	}
	return lacks, ask
}

// asked is the question that fills in what is missing; empty: none does.
func asked(what report.Lack) string {
	switch what {
	case report.NoLast:
		return "before"
	case report.NoRepair:
		return "repair"
	case report.NoRemedy:
		return "remedy"
	case report.NoDanger:
		return "danger"
	}
	return ""
}

func (t *turn) reportFields(f *form) ([]field, error) {
	var fields []field
	for _, id := range strings.Fields(f.Given["ask"]) {
		switch id {
		case "before":
			fields = append(fields, field{id: id, ask: askBefore, kind: flows.KindNote, read: f.readBefore})
		case "repair":
			fields = append(fields, field{id: id, ask: askRepair, kind: flows.KindNote, read: someWords})
		case "remedy":
			fields = append(fields, field{id: id, ask: askRemedy, kind: flows.KindNote, read: someWords})
		case "danger":
			fields = append(fields, yesOrNo(id, askDanger))
		}
	}
	return fields, nil
}

// readBefore reads the day of an examination outside this record, or that there was none.
func (f *form) readBefore(text string) (string, error) {
	if sameWord(strings.Trim(text, `".`), neverWord) {
		return neverWord, nil
	}
	d, err := due.ParseSpoken(strings.Trim(text, " ."))
	switch {
	case err != nil:
		return "", complaint(beforeHow)
	case d.String() >= f.Given["day"]:
		return "", complaint(beforeAhead)
	}
	return d.String(), nil
}

// someWords reads words that are printed as they are typed, in one line.
func someWords(text string) (string, error) {
	if letters(text) < 3 || isNod(text) {
		return "", complaint(inWords)
	}
	return strings.Join(strings.Fields(text), " "), nil
}

// finishReport issues what was asked for, unless the item was examined again meanwhile.
func (t *turn) finishReport(f *form) error {
	item, found, err := t.tx.Item(t.m.Room, f.Given["mark"])
	if err != nil || !found {
		return err
	}
	r, why, err := t.lastExamined(item)
	if err != nil {
		return err
	}
	if why == "" && r.i.ID != f.Given["inspection"] {
		why = format(reportOvertaken, item.Mark)
	}
	if why != "" {
		t.refuse("%s", why)
		return nil
	}
	says := &r.last.ReportSays
	says.Danger, says.Repair = cmp.Or(f.Given["danger"], says.Danger), cmp.Or(f.Given["repair"], says.Repair)
	says.Remedy, says.Before = cmp.Or(f.Given["remedy"], says.Remedy), cmp.Or(f.Given["before"], says.Before)
	if r.data, err = t.examination(item, r.i, *says); err != nil {
		return err
	}
	if lacks := r.data.Missing(); len(lacks) > 0 {
		t.refuse("%s", joined(format(reportLacks, item.Mark), gapsOf(lacks, item.Mark, r.i.signedBy).lines(), format(reportAgain, item.Mark)))
		return nil
	}
	return t.issueReport(r)
}

// issueReport writes down that a report was issued, and shows it.
func (t *turn) issueReport(r toReport) error {
	said := ""
	if r.issued {
		said = format(reportNewer, r.last.Day.Words())
	}
	hash, size, err := t.document(r.data)
	if err != nil {
		return err
	}
	if err := t.wasIssued(&r, hash, size, false); err != nil {
		return err
	}
	said = joined(said, format(reportIssued, t.m.From, r.data.Made.Words()))
	if r.data.Danger == "yes" {
		said = joined(said, reportSoon)
	}
	return t.showReport(r, said)
}

// document makes the document of some reports and keeps it.
func (t *turn) document(all ...report.Data) (hash string, size int64, err error) {
	pdf, err := report.PDF(all...)
	if err != nil {
		return "", 0, err
	}
	return t.tx.KeepFile(pdf)
}

// wasIssued writes down that a report was issued in a document, alone or together with others.
func (t *turn) wasIssued(r *toReport, hash string, size int64, together bool) error {
	r.last = store.ReportIssued{
		Mark: r.item.Mark, Inspection: r.i.ID, Number: r.data.Record, Day: r.data.Made,
		ReportSays: r.last.ReportSays, Text: r.data.Fingerprint(), Hash: hash, Size: size, Together: together,
	}
	_, err := t.write(r.last)
	return err
}

// showReport says the report in full, with its file, and how the item stands now.
func (t *turn) showReport(r toReport, said string) error {
	s, err := t.statusOf(r.item)
	if err != nil {
		return err
	}
	reply := t.reply(joined(r.data.Text(), said, format(reportNow, strings.TrimRight(s.sentence(t.day()), "."))))
	reply.Files = []File{documentOf(format(reportFile, r.item.Mark, r.data.Record), r.last.Hash, r.last.Size)}
	return nil
}

func documentOf(name, hash string, size int64) File {
	return File{Name: name, Hash: hash, Type: "application/pdf", Size: size}
}
