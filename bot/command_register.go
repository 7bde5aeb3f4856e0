package bot

import (
	"bytes"
	"errors"
	"regexp"
	"strings"

	"becket/bot/table"
	"becket/flows"
)

// importing is the form in which a spreadsheet is taken in: what isn't plain is asked, what would come of it is shown, and
// nothing is taken before a yes.
const importing = "import"

// inRoom is how much of a spreadsheet is read within a conversation: what takes longer would keep others waiting.
func inRoom() table.Limits { return table.Limits{Rows: 2000, Bytes: 32 << 20} }

// What a form keeps of a spreadsheet beside its answers.
const (
	importFile   = "file"   // by its hash
	importCalled = "called" // its name
	importWhich  = "which"  // the sheets it could be, a line each
	importUnsure = "unsure" // the first row with a day that can be read two ways
	importSays   = "says"   // what would come of it, as it is shown
	importStop   = "stop"   // why it can't be taken
	importRows   = "rows"   // what would come of each row, where it isn't all shown
)

// sentSheet is the spreadsheet that came with a message.
func (t *turn) sentSheet() (File, bool) {
	for _, f := range t.m.Files {
		if f.isSheet() {
			return f, true
		}
	}
	return File{}, false
}

// importHow says how a spreadsheet is handed over.
func (t *turn) importHow(string) error {
	t.refuse(importHow)
	return nil
}

// importSheet begins with a spreadsheet that was sent.
func (t *turn) importSheet(file File) error {
	if ok, err := t.may(actImport, ""); err != nil || !ok {
		return err
	}
	if word := strings.Trim(t.m.Text, " ."); word != "" && !sameWord(word, importing) && !sameWord(word, file.Name) || len(t.m.Files) > 1 {
		t.refuse(importWords)
		return nil
	}
	if err := t.tx.Unwanted(file.Hash); err != nil { // what is taken of it stands in the record, and the file goes with the form
		return err
	}
	given := map[string]string{importFile: file.Hash, importCalled: file.Name}
	if _, err := t.tryImport(given); err != nil {
		return err
	}
	if err := t.listRows(given); err != nil {
		return err
	}
	return t.startForm(importing, given, "")
}

// importTook looks at the spreadsheet again once more is known of it.
func (t *turn) importTook(f *form, id string) error {
	if id == "go" {
		return nil
	}
	if _, err := t.tryImport(f.Given); err != nil {
		return err
	}
	return t.listRows(f.Given)
}

// importFields is the one question that is open: what isn't plain, or in the end the yes.
func (t *turn) importFields(f *form) ([]field, error) {
	which, row, says := f.Given[importWhich], f.Given[importUnsure], f.Given[importSays]
	switch {
	case which != "" && f.Given["sheet"] == "":
		var sheets [][2]string
		for _, name := range strings.Split(which, "\n") {
			sheets = append(sheets, [2]string{name, name})
		}
		choices, read := chooseFrom(sheets...)
		return []field{{id: "sheet", ask: format(importSheets, f.Given[importCalled]), kind: flows.KindChoice, choices: choices, read: read}}, nil
	case row != "" && f.Given["dates"] == "":
		choices, read := chooseFrom([2]string{string(table.DayFirst), importDay}, [2]string{string(table.MonthFirst), importMonth})
		return []field{{id: "dates", ask: format(importDates, f.Given[importCalled], row), kind: flows.KindChoice, choices: choices, read: read}}, nil
	case says != "":
		return []field{yesOrNo("go", says+"\n"+importAsk)}, nil
	}
	return nil, nil
}

// finishImport takes the spreadsheet, if what comes of it is still what was shown.
func (t *turn) finishImport(f *form) error {
	switch {
	case f.Given[importStop] != "":
		t.refuse("%s", f.Given[importStop])
		return nil
	case f.Given["go"] != "yes":
		t.say(importNo)
		return nil
	}
	shown := f.Given[importSays]
	from, err := t.tryImport(f.Given)
	if err != nil {
		return err
	}
	if f.Given[importSays] != shown {
		delete(f.Given, "go")
		return t.startForm(importing, f.Given, importMoved)
	}
	r := t.registerReader(from, f.Given)
	said, err := r.all()
	if err != nil || refusedIn(said) > 0 {
		return errors.Join(err, errNotWanted)
	}
	notices, err := t.cameIn(r.taken)
	if err != nil {
		return err
	}
	t.reply(joined(format(importTaken, changesIn(said), len(said)), notices))
	return nil
}

func (t *turn) registerReader(from table.Table, given map[string]string) *registerReader {
	return &registerReader{bot: t.bot, tx: t.tx, room: t.m.Room, from: from, order: table.Order(given["dates"]), by: t.m.From, cause: t.m.ID, families: importFamilies}
}

// tryImport finds out what would come of a spreadsheet, and puts down what has to be asked, shown or said.
func (t *turn) tryImport(given map[string]string) (from table.Table, err error) {
	for _, old := range []string{importSays, importStop, importRows} {
		delete(given, old)
	}
	file, err := t.tx.File(given[importFile])
	if err != nil {
		return from, err
	}
	from, wrong := table.Read(file, given["sheet"], inRoom())
	var which table.WhichSheet
	switch {
	case errors.As(wrong, &which):
		given[importWhich] = strings.Join(which, "\n")
		return from, nil
	case wrong != nil:
		given[importStop] = format(importCant, given[importCalled], wrong)
		return from, nil
	}
	var said []RowSaid
	failed, lost := t.tx.Try(func() (err error) {
		if said, err = t.registerReader(from, given).all(); err == nil {
			err = errNotWanted
		}
		return err
	})
	if lost != nil || !errors.Is(failed, errNotWanted) {
		return from, errors.Join(failed, lost)
	}
	for _, row := range said {
		if row.TwoWays && given["dates"] == "" {
			given[importUnsure] = row.What
			return from, nil
		}
	}
	showImport(given, from, said)
	return from, nil
}

// mostRowsShown is how many rows are said in the conversation; the others stand in a file.
const mostRowsShown = 30

// showImport puts down what would come of each row, and whether it can be taken.
func showImport(given map[string]string, from table.Table, said []RowSaid) {
	name, refused, changes := given[importCalled], refusedIn(said), changesIn(said)
	var lines []string
	for _, row := range said {
		if refused == 0 || row.Refused {
			lines = append(lines, row.What)
		}
	}
	if len(lines) > mostRowsShown {
		given[importRows] = strings.Join(lines, "\n") + "\n"
		lines = rowsAlike(lines)
	}
	if len(lines) > mostRowsShown {
		lines = append(lines[:mostRowsShown], format(importMore, len(lines)-mostRowsShown))
	}
	text := strings.Join(append(from.Told(), lines...), "\n")
	switch {
	case refused > 0:
		given[importStop] = joined(format(importRefused, name, refused, len(said)), text)
	case changes == 0:
		given[importStop] = joined(format(importNothing, name), text)
	default:
		given[importSays] = joined(format(importSums, name, len(said), changes, len(said)-changes), heldWords(said), text)
	}
}

// rowsAlike puts the numbers of rows behind one another of which the same is said.
func rowsAlike(lines []string) []string {
	numbered := regexp.MustCompile(`^row (\d+)(.*)$`)
	rows := map[string][]string{}
	var order []string
	for _, l := range lines {
		number, says := "", l
		if m := numbered.FindStringSubmatch(l); m != nil {
			number, says = m[1], m[2]
		}
		if _, said := rows[says]; !said {
			order = append(order, says)
		}
		rows[says] = append(rows[says], number)
	}
	for n, says := range order {
		switch all := rows[says]; {
		case all[0] == "":
		case len(all) == 1:
			order[n] = "row " + all[0] + says
		default:
			order[n] = "rows " + cutList(all, mostNamed) + says
		}
	}
	return order
}

// heldWords says how many of the rows come in held, before a yes to them; nothing where none does.
func heldWords(said []RowSaid) string {
	n := 0
	for _, row := range said {
		if row.Held {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	return format(importHeld, n)
}

// listRows gives all rows as a file, where they are too many to be said.
func (t *turn) listRows(given map[string]string) error {
	all := given[importRows]
	if all == "" {
		return nil
	}
	kept, err := t.keep(importRowsName, "text/plain", []byte(all))
	if err != nil {
		return err
	}
	t.say(importRowsHere).Files = []File{kept}
	return nil
}

// changesIn counts the rows of which something is taken.
func changesIn(said []RowSaid) (n int) {
	for _, row := range said {
		if row.Changes {
			n++
		}
	}
	return n
}

// exportRegister gives the register as a workbook.
func (t *turn) exportRegister(string) error {
	if kept, err := t.keptBack(); err != nil || kept {
		return err
	}
	unsaid, err := t.sayUnaccounted(copyOpen)
	if err != nil {
		return err
	}
	rows, err := t.registerRows()
	if err != nil {
		return err
	}
	if len(rows) == 0 {
		t.refuse(registerNone)
		return nil
	}
	var file bytes.Buffer
	if err := table.WriteWorkbook(&file, rows); err != nil {
		return err
	}
	kept, err := t.keep(registerName, WorkbookType, file.Bytes())
	if err != nil {
		return err
	}
	t.reply(joined(format(registerHere, len(rows)), unsaid)).Files = []File{kept}
	return nil
}
