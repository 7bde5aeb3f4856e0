package bot

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"becket/bot/table"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// Register is a room's register as a table, a row an item, with what holds for each today.
func (b *Bot) Register(ctx context.Context, db *store.DB, room string) (rows []table.Row, err error) {
	err = db.View(ctx, func(tx *store.Tx) error {
		t, err := b.onBehalf(tx, room)
		if err == nil {
			rows, err = t.registerRows()
		}
		return err
	})
	return rows, err
}

func (t *turn) registerRows() ([]table.Row, error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, err
	}
	var rows []table.Row
	for _, item := range items {
		s, err := t.statusOf(item)
		if err != nil {
			return nil, err
		}
		cells := cellsOf(item)
		cells[table.Status] = s.short(t.day())
		if cells[table.LifeMade], cells[table.LifeUse], err = t.lifeCells(item); err != nil {
			return nil, err
		}
		rows = append(rows, table.Row{Cells: cells})
	}
	return rows, nil
}

// cellsOf is an item as a row, without its status. A life without a limit is empty, as one is that nobody knows.
func cellsOf(item store.Item) map[table.Column]string {
	return map[table.Column]string{
		table.Mark: item.Mark, table.Family: item.Flow, table.Maker: item.Maker, table.Model: item.Model, table.Serial: item.Serial,
		table.Batch: item.Batch, table.Made: dayOrNone(item.Made), table.FirstUse: dayOrNone(item.FirstUse), table.Use: string(item.Use),
		table.Interval: count(item.IntervalMonths), table.LifeMade: count(item.LifeMadeYears), table.LifeUse: count(item.LifeUseYears),
		table.Holder: item.Holder, table.Place: item.Place, table.Bought: dayOrNone(item.Bought), table.Examined: item.Examined,
	}
}

// count is a number as a cell has it; empty for none.
func count(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func dayOrNone(d due.Date) string {
	if d.IsZero() {
		return ""
	}
	return d.String()
}

// RowSaid is what a row of a table comes to.
type RowSaid struct {
	What    string // in a sentence, with the row
	Changes bool   // something is taken from it
	Held    bool   // what is taken in is held
	Refused bool
	TwoWays bool // refused, for a date that can be read two ways
}

// errNotWanted rolls back what was only tried, or what has a row that is refused.
var errNotWanted = errors.New("not wanted")

// TakeRegister takes the items of a table into a room's register, all or none: none where a row is refused, or where it is only
// tried. It changes no item that is there, lifts no hold and moves no date; what the old record says is out of use is held.
func (b *Bot) TakeRegister(ctx context.Context, db *store.DB, room string, from table.Table, order table.Order, try bool) (said []RowSaid, err error) {
	err = db.Do(ctx, func(tx *store.Tx) error {
		if _, found, err := tx.Team(room); err != nil || !found {
			return errors.Join(err, fmt.Errorf("there is no team in the room %s here; enter its team file first", room))
		}
		r := registerReader{bot: b, tx: tx, room: room, from: from, order: order, by: importer, cause: importer + ":spreadsheet", families: `"becket flows list" names them`}
		if said, err = r.all(); err != nil {
			return err
		}
		if try || refusedIn(said) > 0 {
			return errNotWanted
		}
		return b.cameInByFile(tx, room, r.taken)
	})
	if errors.Is(err, errNotWanted) {
		err = nil
	}
	return said, err
}

// refusedIn counts the rows that can't be taken.
func refusedIn(said []RowSaid) (n int) {
	for _, row := range said {
		if row.Refused {
			n++
		}
	}
	return n
}

// refusal is why a row isn't taken, with its place.
type refusal struct{ error }

func (r refusal) Unwrap() error { return r.error }

// registerReader takes a table into the register, row by row.
type registerReader struct {
	bot   *Bot
	tx    *store.Tx
	room  string
	from  table.Table
	order table.Order
	by    string // whose doing it is
	cause string
	// families says where they are named.
	families string
	known    map[string]string // families by what they are called in the table
	taken    []store.Item
	lines    map[string]int // by mark, large letters
}

// all takes every row, or says why it can't be. Whoever calls it goes on with nothing of it where one is refused.
func (r *registerReader) all() (said []RowSaid, err error) {
	r.lines, r.known = map[string]int{}, map[string]string{}
	for _, row := range r.from.Rows {
		one, err := r.take(row)
		var no refusal
		switch {
		case errors.As(err, &no):
			one = RowSaid{What: no.Error(), Refused: true, TwoWays: errors.Is(err, table.ErrTwoWays)}
		case err != nil:
			return nil, err
		}
		said = append(said, one)
	}
	return said, nil
}

func (r *registerReader) take(row table.Row) (RowSaid, error) {
	item, err := r.item(row)
	if err != nil {
		return RowSaid{}, err
	}
	held, err := r.outOfUse(row)
	if err != nil {
		return RowSaid{}, err
	}
	at := fmt.Sprintf("row %d: %s", row.Line, item.Mark)
	key := strings.ToUpper(item.Mark)
	if first := r.lines[key]; first > 0 {
		return RowSaid{}, refusal{fmt.Errorf("%s: %s stands in row %d already", r.from.At(row, table.Mark), item.Mark, first)}
	}
	r.lines[key] = row.Line
	was, found, err := r.tx.Item(r.room, item.Mark)
	switch {
	case err != nil:
		return RowSaid{}, err
	case found:
		return r.there(row, was, item, held)
	}
	if err := r.isNew(row, item); err != nil {
		return RowSaid{}, err
	}
	if err = r.bot.checkItem(item, r.tx); err == nil {
		err = onlyOne(item, r.room, r.tx)
	}
	if err != nil {
		return RowSaid{}, refusal{fmt.Errorf("%s: %s", r.from.Line(row.Line), strings.TrimSuffix(err.Error(), ". Nothing was taken"))}
	}
	if err := r.write(store.ItemTaken{Item: item}); err != nil {
		return RowSaid{}, err
	}
	r.taken = append(r.taken, item)
	untold, err := lifeUntoldOf(r.tx, r.room, item, lifeUnsaid(row, table.LifeMade), lifeUnsaid(row, table.LifeUse))
	if err == nil && held != flows.Fit {
		err = r.hold(item.Mark, held, row)
	}
	if err == nil && untold {
		err = r.write(lifeHold(item.Mark))
	}
	return RowSaid{What: at + ", to be taken in" + entersAs(held, untold), Changes: true, Held: held != flows.Fit || untold}, err
}

// entersAs is how an item may be used that comes in.
func entersAs(held flows.Verdict, untold bool) string {
	const unsaid = `how long its maker lets it live isn't said (years, or "no limit")`
	old := ", and " + heldAs(held) + " as the old record says"
	switch {
	case held != flows.Fit && untold:
		return old + "; held too, since " + unsaid
	case held != flows.Fit:
		return old
	case untold:
		return ", and held, since " + unsaid
	}
	return "; not for use until inspected"
}

// lifeUnsaid tells whether a row leaves open how long the maker lets its item live.
func lifeUnsaid(row table.Row, life table.Column) bool {
	text := row.Cells[life]
	return text == "" || text == notKnown
}

// isNew refuses what could be an item that is there, under a mark or a serial that only looks like another.
func (r *registerReader) isNew(row table.Row, item store.Item) error {
	for _, c := range []table.Column{table.Mark, table.Serial} {
		if strings.ContainsFunc(row.Cells[c], mistakable) {
			return refusal{fmt.Errorf("%s: %+q has a letter that can't be seen, or a dash that isn't -; type it again", r.from.At(row, c), clip(row.Cells[c], mostQuoted))}
		}
	}
	alike, err := r.tx.ItemsAlike(r.room, item.Mark)
	switch {
	case err != nil:
		return err
	case len(alike) > 0:
		return refusal{fmt.Errorf("%s: %s is easily taken for %s; mark one of them otherwise, on the item too", r.from.At(row, table.Mark), item.Mark, alike[0].Mark)}
	}
	twin, err := r.twin(item)
	if err == nil && twin != "" {
		err = refusal{fmt.Errorf("%s: %s has the serial of %s, of the same family; give its maker and model, or take the row out", r.from.At(row, table.Serial), item.Mark, twin)}
	}
	return err
}

// twin is the mark of an item that a row without maker or model could be, under another mark.
func (r *registerReader) twin(item store.Item) (string, error) {
	if item.Serial == "" || item.Maker != "" && item.Model != "" {
		return "", nil
	}
	all, err := r.tx.ItemsOfSerial(r.room, item.Serial)
	for _, was := range all {
		if was.Flow == item.Flow {
			return was.Mark, nil
		}
	}
	return "", err
}

func heldAs(v flows.Verdict) string {
	if v == flows.Retire {
		return "retired"
	}
	return "held"
}

func (r *registerReader) write(ev store.Event) error {
	_, err := r.tx.Append(r.room, r.by, r.cause, ev)
	return err
}

func (r *registerReader) hold(mark string, verdict flows.Verdict, row table.Row) error {
	return r.write(store.HoldPlaced{Mark: mark, Verdict: verdict, Why: "from the old record: " + row.Cells[table.Status], Source: store.Reported})
}

// there compares a row with the item of that mark. It changes nothing but to hold what the file says is out of use.
func (r *registerReader) there(row table.Row, was, item store.Item, held flows.Verdict) (RowSaid, error) {
	ours, theirs := cellsOf(was), cellsOf(item)
	moved, err := r.tx.Moved(r.room, was.Mark)
	if err != nil {
		return RowSaid{}, err
	}
	if moved { // issued or taken back since: no difference
		ours[table.Holder], ours[table.Place] = theirs[table.Holder], theirs[table.Place]
	}
	for _, c := range table.Columns() {
		if _, given := row.Cells[c]; given && c != table.Status && ours[c] != theirs[c] && !strings.EqualFold(ours[c], theirs[c]) {
			return RowSaid{}, refusal{fmt.Errorf("%s: %s is in the register with %q, and the file says %q; an import changes no item",
				r.from.At(row, c), was.Mark, clip(ours[c], mostQuoted), clip(theirs[c], mostQuoted))}
		}
	}
	at := fmt.Sprintf("row %d: %s is in the register already", row.Line, was.Mark)
	standing, err := r.tx.Standing(r.room, was.Mark)
	if err != nil {
		return RowSaid{}, err
	}
	worst := flows.Fit
	for _, h := range standing {
		worst = max(worst, h.Verdict)
	}
	switch {
	case held > worst:
		return RowSaid{What: at + ", to be " + heldAs(held) + " as the file says", Changes: true}, r.hold(was.Mark, held, row)
	case held < worst:
		return RowSaid{What: at + "; it stays " + heldAs(worst) + ", whatever the file says"}, nil
	}
	return RowSaid{What: at + "; nothing changes"}, nil
}

// mostQuoted is how much of a cell is said again.
const mostQuoted = 60

// mistakable tells whether a letter makes a mark another than it looks.
func mistakable(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || unicode.Is(unicode.Pd, r) && r != '-' || r == '−'
}

// item reads a row.
func (r *registerReader) item(row table.Row) (item store.Item, err error) {
	item.Mark, item.Maker, item.Model = row.Cells[table.Mark], row.Cells[table.Maker], row.Cells[table.Model]
	item.Serial, item.Batch = row.Cells[table.Serial], row.Cells[table.Batch]
	item.Holder, item.Place = row.Cells[table.Holder], row.Cells[table.Place]
	if item.Mark == "" {
		return item, refusal{fmt.Errorf("%s: there is no mark", r.from.At(row, table.Mark))}
	}
	if strings.ContainsFunc(item.Mark, unicode.IsSpace) {
		return item, refusal{fmt.Errorf("%s: a mark has no space in it, unlike %q", r.from.At(row, table.Mark), clip(item.Mark, mostQuoted))}
	}
	if item.Flow, err = r.family(row); err != nil {
		return item, err
	}
	item.Use = flows.People
	switch use := strings.ToLower(row.Cells[table.Use]); use {
	case "", string(flows.People):
	case string(flows.Goods):
		item.Use = flows.Goods
	default:
		return item, refusal{fmt.Errorf("%s: use is people or goods, not %q", r.from.At(row, table.Use), clip(use, mostQuoted))}
	}
	for _, day := range []struct {
		c  table.Column
		to *due.Date
	}{{table.Made, &item.Made}, {table.FirstUse, &item.FirstUse}, {table.Bought, &item.Bought}} {
		if *day.to, err = r.date(row, day.c); err != nil {
			return item, err
		}
	}
	for _, number := range []struct {
		c    table.Column
		to   *int
		life bool
	}{{table.Interval, &item.IntervalMonths, false}, {table.LifeMade, &item.LifeMadeYears, true}, {table.LifeUse, &item.LifeUseYears, true}} {
		text := row.Cells[number.c]
		if text == "" || number.life && (text == notKnown || saysNoLimit(text)) {
			continue
		}
		*number.to, err = strconv.Atoi(text)
		switch {
		case number.life && (err != nil || *number.to < 1):
			return item, refusal{fmt.Errorf("%s: %q isn't a number of years; put one, or \"no limit\"", r.from.At(row, number.c), clip(text, mostQuoted))}
		case err != nil || *number.to < 0:
			return item, refusal{fmt.Errorf("%s: %q isn't a whole number", r.from.At(row, number.c), clip(text, mostQuoted))}
		}
	}
	item.Examined = strings.ToLower(row.Cells[table.Examined])
	if item.Examined == neverWord || item.Examined == "" {
		return item, nil
	}
	d, err := r.date(row, table.Examined)
	if err == nil && d.After(due.On(r.tx.Now())) {
		err = refusal{fmt.Errorf("%s: %s is still to come", r.from.At(row, table.Examined), d.Words())}
	}
	item.Examined = d.String()
	return item, err
}

func (r *registerReader) date(row table.Row, c table.Column) (due.Date, error) {
	text := row.Cells[c]
	if text == "" {
		return due.Date{}, nil
	}
	d, err := table.Date(text, r.order)
	if err != nil {
		err = refusal{fmt.Errorf("%s: %w", r.from.At(row, c), err)}
	}
	return d, err
}

// mostNear is how many families are named that could be meant.
const mostNear = 4

// family is the script that a row names, by its id or its title, one or many of it.
func (r *registerReader) family(row table.Row) (string, error) {
	text := row.Cells[table.Family]
	if id, known := r.known[text]; known {
		return id, nil
	}
	if id, known := r.bot.familyNamed(text); known {
		r.known[text] = id
		return id, nil
	}
	could := r.families
	if near := r.bot.familiesIn(text); len(near) > 0 && len(near) <= mostNear {
		could = "it could be " + list(near)
	}
	return "", refusal{fmt.Errorf("%s: there is no family %q here; %s", r.from.At(row, table.Family), clip(text, mostQuoted), could)}
}

// outOfUse is what the old record's status comes to: a hold, a retirement, or, for what it says is fit, nothing at all, since
// fit is only what was inspected here.
func (r *registerReader) outOfUse(row table.Row) (flows.Verdict, error) {
	text := strings.ToLower(strings.TrimRight(row.Cells[table.Status], ". "))
	begins := func(words ...string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return strings.HasPrefix(text, w) })
	}
	switch {
	case slices.Contains([]string{"", "fit", "watch", "pass", "passed", "good", "ok", "in use", "in service", "serviceable", "clear", "overdue", "due"}, text),
		begins("fit when ", "watch", "not for use: ", "went back "), strings.Contains(text, "'s, inspected there on "): // as Becket writes it
		return flows.Fit, nil
	case begins("retire", "scrap", "destroy", "condemn", "dispose", "written off"):
		return flows.Retire, nil
	case begins("quarantine", "in quarantine", "held", "on hold", "fail", "out of ", "do not use", "don't use", "reject", "defect", "damage", "lost", "missing", "repair", "withdrawn", "removed", "unfit", "unsafe", "unserviceable", "not fit"):
		return flows.Quarantine, nil
	}
	return 0, refusal{fmt.Errorf("%s: what %q means for use isn't plain; put fit, quarantine or retired", r.from.At(row, table.Status), clip(row.Cells[table.Status], mostQuoted))}
}
