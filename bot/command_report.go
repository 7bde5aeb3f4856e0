package bot

import (
	"slices"
	"strings"

	"becket/bot/report"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// report issues the report of an item's last thorough examination, or says what keeps it from being issued.
func (t *turn) report(args string) error {
	if _, is := afterWords(args, "details"); is {
		return t.reportDetails()
	}
	item, _, found, err := t.namedItem(args, "report D-07")
	if err != nil || !found {
		return err
	}
	if kept, err := t.keptFrom(item.Mark); err != nil || kept {
		return err
	}
	if i, err := t.sealed(item.Mark); err != nil || i != nil {
		if i != nil {
			t.say(sealedHistory, item.Mark, i.Inspector)
		}
		return err
	}
	row, found, err := t.tx.LastSigned(t.m.Room, item.Mark)
	if err != nil || !found {
		t.refuse(reportNever, item.Mark)
		return err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	last, _, issued, err := t.tx.LastReport(t.m.Room, item.Mark, i.ID)
	if err != nil {
		return err
	}
	d, err := t.examination(item, i, last.ReportSays)
	if err != nil {
		return err
	}
	if issued {
		return t.issueAgain(item, i, d, last)
	}
	return t.askForReport(item, i, d)
}

// askForReport asks what only the report's maker can say, once nothing else is missing.
func (t *turn) askForReport(item store.Item, i *inspection, d report.Data) error {
	var lacks []report.Missing
	given := map[string]string{"mark": item.Mark, "inspection": i.ID, "day": d.Day.String()}
	for _, m := range d.Missing() {
		if id := asked(m.What); id == "" {
			lacks = append(lacks, m)
		} else {
			given["ask"] += id + " "
		}
	}
	if len(lacks) > 0 {
		t.refuse("%s", joined(format(reportLacks, item.Mark), lackLines(lacks, item.Mark, i.signedBy), format(reportAgain, item.Mark)))
		return nil
	}
	if ok, err := t.may(actMakeReport, item.Flow); err != nil || !ok {
		return err
	}
	if given["ask"] == "" {
		return t.issueReport(item, i, d, store.ReportSays{}, "")
	}
	if !may(t.person, t.listed, actSign, item.Flow, t.day()) {
		people, err := t.tx.People(t.m.Room)
		t.refuse(reportWho, item.Mark, list(whoMay(people, actSign, item.Flow, t.day())))
		return err
	}
	return t.startForm("report", given, format(reportBegin, item.Mark, d.Record, strings.ToUpper(d.Verdict.String())))
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

// lackWords say what is missing, and whose word fills it in; empty: the record itself lacks it.
func lackWords(what report.Lack, mark, signer string) (lack, fix string) {
	team, own := fixTeam, format(fixSigner, signer)
	said := map[report.Lack][2]string{
		report.NoEmployer: {lackEmployer, team}, report.NoPremises: {lackPremises, team}, report.NoIdentity: {lackIdentity},
		report.NoLast: {lackLast}, report.NoSafeLoad: {lackSafeLoad, format(fixLoad, mark)}, report.NoBasis: {lackBasis},
		report.NoVerdict: {lackVerdict}, report.NoDefects: {lackDefects}, report.NoRepair: {lackRepair}, report.NoRemedy: {lackRemedy},
		report.NoNext: {lackNext}, report.NoTests: {lackTests}, report.NoDay: {lackDay}, report.NoAuthor: {lackAuthor, own},
		report.NoQualifications: {lackQualifications, own}, report.NoAuthors: {lackAuthors, own}, report.NoSignature: {lackSignature, own},
		report.NoDate: {lackDate}, report.NoDanger: {lackDanger},
	}[what]
	return said[0], said[1]
}

// lackLines say what is missing, with its numbers in the law's list, a line for everything that is said in one go.
func lackLines(lacks []report.Missing, mark, signer string) string {
	var lines []string
	for len(lacks) > 0 {
		_, fix := lackWords(lacks[0].What, mark, signer)
		var items, what []string
		lacks = slices.DeleteFunc(lacks, func(m report.Missing) bool {
			lack, by := lackWords(m.What, mark, signer)
			if by == fix {
				what = append(what, lack)
				if !slices.Contains(items, m.Item) {
					items = append(items, m.Item)
				}
			}
			return by == fix
		})
		lines = append(lines, strings.TrimSpace(format(reportLack, strings.Join(items, ", "), sentence(strings.Join(what, "; ")), fix)))
	}
	return "  " + strings.Join(lines, "\n  ")
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

// finishReport issues what was asked for, of the same examination still.
func (t *turn) finishReport(f *form) error {
	says := store.ReportSays{Danger: f.Given["danger"], Before: f.Given["before"], Repair: f.Given["repair"], Remedy: f.Given["remedy"]}
	item, found, err := t.tx.Item(t.m.Room, f.Given["mark"])
	if err != nil || !found {
		return err
	}
	row, found, err := t.tx.Inspection(f.Given["inspection"])
	if err != nil || !found {
		return err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	d, err := t.examination(item, i, says)
	if err != nil {
		return err
	}
	if lacks := d.Missing(); len(lacks) > 0 {
		t.refuse("%s", joined(format(reportLacks, item.Mark), lackLines(lacks, item.Mark, i.signedBy), format(reportAgain, item.Mark)))
		return nil
	}
	return t.issueReport(item, i, d, says, "")
}

// issueAgain shows the report as it was issued, or a new one where anything in it has changed since.
func (t *turn) issueAgain(item store.Item, i *inspection, d report.Data, last store.ReportIssued) error {
	d.Made = last.Day
	if d.Fingerprint() == last.Text {
		return t.showReport(item, d, last, format(reportSame, last.Day.Words()))
	}
	if d.Made = t.day(); len(d.Missing()) > 0 {
		return t.askForReport(item, i, d)
	}
	if ok, err := t.may(actMakeReport, item.Flow); err != nil || !ok {
		return err
	}
	return t.issueReport(item, i, d, last.ReportSays, format(reportNewer, last.Day.Words()))
}

// issueReport writes down that a report was issued, and shows it.
func (t *turn) issueReport(item store.Item, i *inspection, d report.Data, says store.ReportSays, said string) error {
	pdf, err := report.PDF(d)
	if err != nil {
		return err
	}
	ev := store.ReportIssued{Mark: item.Mark, Inspection: i.ID, Number: d.Record, Day: d.Made, ReportSays: says, Text: d.Fingerprint()}
	if ev.Hash, ev.Size, err = t.tx.KeepFile(pdf); err != nil {
		return err
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	said = joined(said, format(reportIssued, t.m.From, d.Made.Words()))
	if says.Danger == "yes" {
		said = joined(said, reportSoon)
	}
	return t.showReport(item, d, ev, said)
}

// showReport says the report in full, with its file, and how the item stands now.
func (t *turn) showReport(item store.Item, d report.Data, issued store.ReportIssued, said string) error {
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	r := t.reply(joined(d.Text(), said, format(reportNow, strings.TrimRight(s.sentence(t.day()), "."))))
	r.Files = []File{{Name: format(reportFile, item.Mark, d.Record), Hash: issued.Hash, Type: "application/pdf", Size: issued.Size}}
	return nil
}
