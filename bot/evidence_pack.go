package bot

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"becket/bot/evidence"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// evidencePage is how many rows are read at a time.
const evidencePage = 1000

// evidenceOf gathers a team's evidence pack. Its sections are read in their order: the last ones speak of the scripts and the people
// that the records name.
type evidenceOf struct {
	*turn
	told      func(done, all int)
	done, all int
	scripts   map[string]*usedScript // by the hash of their text
	people    map[string]bool
}

// usedScript is an edition of a script that records were made by.
type usedScript struct {
	flow        *flows.Flow
	records     int
	first, last due.Date
}

func (e *evidenceOf) step() {
	if e.done++; e.told != nil {
		e.told(e.done, e.all)
	}
}

func (e *evidenceOf) pack() (evidence.Pack, error) {
	items, err := e.tx.CountItems(e.m.Room)
	if err != nil {
		return evidence.Pack{}, err
	}
	records, err := e.tx.CountClosed(e.m.Room)
	if err != nil {
		return evidence.Pack{}, err
	}
	e.all = items + records
	head, err := headOf(e.tx)
	if err != nil {
		return evidence.Pack{}, err
	}
	_, sum, err := e.tx.Head()
	if err != nil {
		return evidence.Pack{}, err
	}
	firm, err := e.tx.Particulars(e.m.Room, store.OfTeam)
	if err != nil {
		return evidence.Pack{}, err
	}
	return evidence.Pack{
		Title: format(packTitle, cmp.Or(firm.Name, e.team.Name, e.m.Room), e.day().Words()), About: packAbout, Made: e.tx.Now(),
		Facts: []evidence.Fact{
			{Name: packMade, Says: e.moment(e.tx.Now())},
			{Name: packCounts, Says: format(packCounted, items, records)},
			{Name: packHead, Says: format(packHeadSays, head, head)},
			{Name: packSum, Says: fmt.Sprintf("%x", sum)},
		},
		Sections: []evidence.Section{
			{ID: "not-for-use", Title: packNotForUse, Says: packNotForUseSays, None: packNotForUseNone, Heads: []string{columnMark, columnWhat, columnWhy}, Rows: e.notForUse},
			{ID: "register", Title: packRegister, None: packRegisterNone, Heads: []string{columnMark, columnWhat, columnSerial, columnMade, columnFor, columnWhere, columnLife, columnStatus}, Rows: e.register},
			{ID: "quarantine", Title: packHolds, Says: packHoldsSays, None: packHoldsNone, Heads: []string{columnMark, columnSince, columnHeld, columnWhy, columnBy, columnKept, columnEnded}, Rows: e.holds},
			{ID: "no-mark", Title: packUnmarked, Says: packUnmarkedSays, None: packUnmarkedNone, Heads: []string{columnMark, columnSince, columnText, columnBy, columnKept, columnEnded}, Rows: e.unmarked},
			{ID: "notices", Title: packNotices, Says: packNoticesSays, None: packNoticesNone, Heads: []string{columnNumber, columnDay, columnText, columnFound, columnAnswers}, Rows: e.notices},
			{ID: "records", Title: packRecordsHead, Says: packRecordsSays, None: packRecordsNone, Records: e.records},
			{ID: "scripts", Title: packScripts, Says: packScriptsSays, None: packRecordsNone, Heads: []string{columnScript, columnEdition, columnUsed, columnRecords, columnDigits}, Rows: e.editions},
			{ID: "people", Title: packPeople, Says: packPeopleSays, None: packPeopleNone, Heads: []string{columnPerson, columnName, columnRoles, columnQualified, columnFamilies}, Rows: e.listed},
			{ID: "competence", Title: packCompetence, Says: packCompetenceSays, None: packPeopleNone, Heads: []string{columnPerson, columnDay, columnChange, columnBy}, Rows: e.competenceLog},
			{ID: "instruments", Title: packInstruments, None: packInstrumentsNone, Heads: []string{columnMark, columnKind, columnDoubt, columnCheckBy, columnOut}, Rows: e.instruments},
			{ID: "instrument-log", Title: packInstrumentLog, None: packInstrumentsNone, Heads: []string{columnMark, columnDay, columnChange, columnBy}, Rows: e.instrumentLog},
			{ID: "figures", Title: packSheets, Says: packSheetsSays, None: packSheetsNone, Heads: []string{columnModel, columnDocument, columnFigures, columnTyped}, Rows: e.sheets},
		},
	}, nil
}

// row takes a table's row.
type row = func(cells ...string) error

// notForUse lists what is over its date or has to be looked at before it is used.
func (e *evidenceOf) notForUse(row row) error {
	s, err := e.survey(0)
	if err != nil {
		return err
	}
	for _, i := range s.items {
		reasons := i.notForUse(s.today)
		if i.retired != nil || !i.custody.Gone.IsZero() || len(reasons) == 0 {
			continue
		}
		if err := row(i.item.Mark, e.describe(i.item), strings.Join(reasons, "; ")); err != nil {
			return err
		}
	}
	return nil
}

func (e *evidenceOf) register(row row) error {
	items, err := e.tx.Items(e.m.Room)
	if err != nil {
		return err
	}
	today := e.day()
	for _, item := range items {
		e.step()
		s, err := e.statusOf(item)
		if err != nil {
			return err
		}
		use, life := packPeopleUse, packNoLife
		if item.Use == flows.Goods {
			use = packGoodsUse
		}
		switch end := s.lifeEnd; {
		case end.Unknown:
			life = packUntold
		case !end.Date.IsZero():
			life = end.Date.Words()
		}
		serial := orNone(item.Serial)
		if item.Batch != "" {
			serial = format(packBatch, serial, item.Batch)
		}
		err = row(item.Mark, e.describe(item), serial, format(packMadeUsed, item.Made.Words(), item.FirstUse.Words()), use, whereIs(item), life, s.short(today))
		if err != nil {
			return err
		}
	}
	return nil
}

// holds is the quarantine log, what ended included.
func (e *evidenceOf) holds(row row) error {
	for last := int64(0); ; {
		holds, err := e.tx.HoldsAfter(e.m.Room, last, evidencePage)
		if err != nil || len(holds) == 0 {
			return err
		}
		for _, h := range holds {
			last = h.N
			ended, err := e.ended(h)
			if err != nil {
				return err
			}
			held := format(packHeldFor, h.Verdict, h.Source)
			if err := row(h.Mark, e.on(h.At), held, h.Why, h.By, orNone(h.Place), ended); err != nil {
				return err
			}
		}
	}
}

// ended says how a hold ended, or that it stands.
func (e *evidenceOf) ended(h store.Hold) (string, error) {
	if !h.Released {
		if h.Verdict != flows.Retire {
			return packStands, nil
		}
		d, found, err := e.tx.Destruction(e.m.Room, h.Mark)
		if err != nil || !found {
			return packRetired, err
		}
		return format(packDestroyed, d.Day.Words(), d.Witness), nil
	}
	entry, found, err := e.tx.Entry(h.Ended)
	if err != nil || !found {
		return packStands, err
	}
	ev, err := entry.Event()
	if err != nil {
		return "", err
	}
	switch ev := ev.(type) {
	case *store.HoldReleased:
		said := format(packReleased, e.on(entry.At), entry.By, ev.Statement)
		if ev.Document != "" {
			said += format(packByDocument, ev.Document)
		}
		if ev.Outside != "" {
			said += format(packOutside, ev.Outside)
		}
		return said, nil
	case *store.HoldMoved:
		return format(packMoved, e.on(entry.At), entry.By, ev.To), nil
	case *store.RetirementStruck:
		return format(packStruck, e.on(entry.At), ev.First, entry.By, ev.Why), nil
	}
	return format(packEnded, e.on(entry.At), entry.By), nil
}

// unmarked is what was reported and nobody could name.
func (e *evidenceOf) unmarked(row row) error {
	all, err := e.tx.AllUnmarked(e.m.Room)
	for _, u := range all {
		ended := packStands
		switch {
		case u.Became != "":
			ended = format(packBecame, u.Became)
		case u.Settled:
			ended = packUnnamed
		}
		if err := row(u.Mark, e.on(u.At), u.Text, u.By, orNone(u.Place), ended); err != nil {
			return err
		}
	}
	return err
}

// notices are the makers' notices, those that matched nothing too.
func (e *evidenceOf) notices(row row) error {
	all, err := e.tx.Notices(e.m.Room)
	if err != nil {
		return err
	}
	for _, n := range all {
		entry, _, err := e.tx.Entry(n.N)
		if err != nil {
			return err
		}
		found := format(packNil, n.Seen)
		if len(n.Matched) > 0 {
			var marks []string
			for _, m := range n.Matched {
				mark := m.Mark
				if m.Doubt != "" {
					mark = format(packDoubted, m.Mark, m.Doubt)
				}
				marks = append(marks, mark)
			}
			word := packMatchedOnly
			if n.Held {
				word = packMatchedHeld
			}
			found = format(word, strings.Join(marks, ", "), n.Seen)
		}
		items, err := e.tx.NoticeItems(n.N)
		if err != nil {
			return err
		}
		answers := packNobodyAsked
		if len(items) > 0 {
			var said []string
			for _, i := range items {
				said = append(said, e.noticeAnswer(i))
			}
			answers = strings.Join(said, "; ")
		}
		if err := row(fmt.Sprint(n.Number), e.on(entry.At), n.Text, found, answers); err != nil {
			return err
		}
	}
	return nil
}

func (e *evidenceOf) noticeAnswer(i store.NoticeItem) string {
	switch {
	case i.Answered.IsZero():
		return format(packUnanswered, i.Mark, e.on(i.Asked))
	case i.Has:
		return format(packHasIt, i.Mark, i.By, e.on(i.Answered))
	}
	return format(packHasnt, i.Mark, i.By, e.on(i.Answered), orNone(i.Answer))
}

// editions are the scripts by which the records were made.
func (e *evidenceOf) editions(row row) error {
	for _, hash := range e.scriptHashes() {
		u := e.scripts[hash]
		used := format(packUsed, u.first.Words(), u.last.Words())
		if err := row(capital(u.flow.Title), fmt.Sprint(u.flow.Revision), used, fmt.Sprint(u.records), hash); err != nil {
			return err
		}
	}
	return nil
}

// scriptHashes are in the order of scripts and editions.
func (e *evidenceOf) scriptHashes() []string {
	return slices.SortedFunc(maps.Keys(e.scripts), func(a, b string) int {
		f, g := e.scripts[a].flow, e.scripts[b].flow
		return cmp.Or(cmp.Compare(f.ID, g.ID), cmp.Compare(f.Revision, g.Revision), cmp.Compare(a, b))
	})
}

// scriptFiles are their texts.
func (e *evidenceOf) scriptFiles() ([]evidence.File, error) {
	var all []evidence.File
	for _, hash := range e.scriptHashes() {
		text, err := e.tx.FlowText(hash)
		if err != nil {
			return nil, err
		}
		f := e.scripts[hash].flow
		all = append(all, evidence.File{Name: fmt.Sprintf("scripts/%s-%d-%.8s.yaml", f.ID, f.Revision, hash), Text: text})
	}
	return all, nil
}

// instruments are as they are listed now.
func (e *evidenceOf) instruments(row row) error {
	all, err := e.tx.Instruments(e.m.Room)
	for _, in := range all {
		until := packNeverChecked
		if !in.CheckBy.IsZero() {
			until = in.CheckBy.Words()
		}
		if err := row(in.Mark, in.Kind, in.Doubt.String(), until, orNone(in.Out)); err != nil {
			return err
		}
	}
	return err
}

// instrumentLog is every listing, check and fault of an instrument.
func (e *evidenceOf) instrumentLog(row row) error {
	all, err := e.tx.Instruments(e.m.Room)
	if err != nil {
		return err
	}
	for _, in := range all {
		err := e.eachEntry("instrument:"+in.Mark, func(entry store.Entry, ev store.Event) error {
			said := ""
			switch ev := ev.(type) {
			case *store.InstrumentListed:
				said = format(packListedTool, ev.Instrument.Kind, ev.Doubt)
			case *store.InstrumentChecked:
				said = format(packChecked, ev.Against, ev.With, ev.Reads, ev.CheckBy.Words())
			case *store.InstrumentOut:
				said = format(packFoundOut, ev.By)
			default:
				return nil
			}
			return row(in.Mark, e.on(entry.At), said, entry.By)
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// eachEntry goes through all that is written about a subject.
func (e *evidenceOf) eachEntry(subject string, fn func(store.Entry, store.Event) error) error {
	entries, err := e.tx.EntriesIn(e.m.Room, subject)
	if err != nil {
		return err
	}
	for _, entry := range entries {
		ev, err := entry.Event()
		if err != nil {
			return err
		}
		if err := fn(entry, ev); err != nil {
			return err
		}
	}
	return nil
}

// sheets are the makers' figures.
func (e *evidenceOf) sheets(row row) error {
	all, err := e.tx.Sheets(e.m.Room)
	for _, s := range all {
		var figures []string
		for _, name := range slices.Sorted(maps.Keys(s.Figures)) {
			figures = append(figures, strings.ReplaceAll(name, "_", " ")+" "+s.Figures[name].String())
		}
		typed := format(packTypedBy, strings.Join(s.ConfirmedBy, ", "))
		if !s.Counts() {
			typed = format(packTypedOnce, orNone(strings.Join(s.ConfirmedBy, ", ")))
		}
		err := row(s.Name(), format(sheetRef, s.Document, s.Edition, s.Page), orNone(strings.Join(figures, "; ")), typed)
		if err != nil {
			return err
		}
	}
	return err
}

// orNone says that there is nothing, where a cell would be empty.
func orNone(text string) string { return cmp.Or(strings.TrimSpace(text), packNone) }
