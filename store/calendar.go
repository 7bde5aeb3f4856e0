package store

import (
	"slices"

	"becket/flows"
	"becket/flows/due"
)

// Figures that any sheet may have beside its flow's: the maker's interval in months and lives in years.
const (
	FigureInterval = "interval_months"
	FigureLifeMade = "life_made_years"
	FigureLifeUse  = "life_use_years"
)

// Within is the item with the strictest of its own and its maker's interval and life, and which interval binds, on
// whose word.
func (i Item) Within(sheet Sheet) (bounded Item, why string) {
	i.LifeMadeYears = due.Strictest(i.LifeMadeYears, sheet.whole(FigureLifeMade))
	i.LifeUseYears = due.Strictest(i.LifeUseYears, sheet.whole(FigureLifeUse))
	i.IntervalMonths, why = due.Interval(string(i.Use), i.IntervalMonths, sheet.whole(FigureInterval), false)
	return i, why
}

// DueAfter is when an item, bounded by Within, falls due again after a signed inspection: the interval, half of it
// where something is watched, or the end of its life or loan, or the day kept from before it was for goods, if that is sooner; zero after one that holds it. What is foretold of its wear may still
// bring that day nearer (due.Nearer).
func (i Item) DueAfter(last Inspection) due.Date {
	var next due.Date
	switch last.Verdict {
	case flows.Fit:
		next = due.Next(last.Day, i.Months())
	case flows.Watch:
		next = due.Half(last.Day, i.Months())
	default:
		return next
	}
	ends := []due.Date{i.Life().Ends().Date, i.loanEnds()}
	if i.KeptDue != nil && i.KeptDue.Last == last.Seq {
		ends = append(ends, i.KeptDue.Day)
	}
	for _, end := range ends {
		if !end.IsZero() && end.Before(next) {
			next = end
		}
	}
	return next
}

// Retired is the last retirement among an item's holds, if there is one.
func Retired(holds []Hold) *Hold {
	var last *Hold
	for n, h := range holds {
		if h.Verdict == flows.Retire && !h.Moved {
			last = &holds[n]
		}
	}
	return last
}

// MovedLast is the last of an item's holds that was put on it by mistake, if there is one.
func MovedLast(holds []Hold) *Hold {
	var last *Hold
	for n, h := range holds {
		if h.Moved && (last == nil || h.N > last.N) {
			last = &holds[n]
		}
	}
	return last
}

// DueBy lists the marks of a room's items that need something done by a day: inspected, or taken out at the end of
// their life. Those that need it whatever the day come first: never inspected, not fit when last inspected, a life whose end can't be
// told. Held items are among them; retired ones aren't. It is an index, and says where to look: whether an item may
// be used is worked out from the record itself.
func (tx *Tx) DueBy(room string, day due.Date) ([]string, error) {
	return tx.marks(`SELECT mark FROM calendar WHERE room = ? AND day <= ? ORDER BY day, mark`, room, day.Last().String())
}

// reckon enters in the calendar when an item next needs something done. Every event that moves that day calls it.
func (tx *Tx) reckon(room, mark string) error {
	item, found, err := tx.Item(room, mark)
	if err != nil || !found {
		return err
	}
	day, counts, err := tx.runsOut(room, item)
	switch {
	case err != nil:
		return err
	case !counts:
		return tx.put(`DELETE FROM calendar WHERE room = ? AND mark = ?`, room, item.Mark)
	}
	return tx.put(`INSERT INTO calendar(room, mark, day) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET day = excluded.day WHERE day <> excluded.day`, room, item.Mark, day.String())
}

// runsOut is the day on which an item's signature or life runs out, zero when nothing lets it be used as it is. A
// retired item doesn't count.
func (tx *Tx) runsOut(room string, item Item) (day due.Date, counts bool, err error) {
	holds, err := tx.Holds(room, item.Mark)
	if err != nil || Retired(holds) != nil {
		return day, false, err
	}
	c, err := tx.Custody(room, item.Mark)
	if err != nil || !c.Gone.IsZero() {
		return day, false, err
	}
	sheet, _, err := tx.Sheet(room, item.Maker, item.Model)
	if err != nil {
		return day, true, err
	}
	item, _ = item.Within(sheet)
	last, signed, err := tx.LastSigned(room, item.Mark)
	if err == nil && !signed {
		last, signed = item.Evidenced()
	}
	moved := MovedLast(holds)
	if err != nil || !signed || item.Life().Ends().Unknown || moved != nil && moved.N > last.Seq {
		return day, true, err
	}
	if !c.Unseen.IsZero() || c.Look.After(last) {
		return day, true, nil
	}
	if waiting, err := tx.UnansweredOf(room, item.Mark); err != nil || len(waiting) > 0 {
		return day, true, err
	}
	if _, _, misread, err := tx.Misread(room, item.Mark, last); err != nil || misread {
		return day, true, err
	}
	calls, err := tx.Called(room, item.Mark)
	if err != nil || slices.ContainsFunc(calls, func(c Called) bool { return c.N > last.Seq || last.Day.Before(c.Until) }) {
		return day, true, err
	}
	ahead, err := tx.Foretold(room, item.Mark)
	return due.Nearer(item.DueAfter(last), ahead.Day, last.Day), true, err
}

// reckonModel is reckon for every item of a model.
func (tx *Tx) reckonModel(room, maker, model string) error {
	items, err := tx.ItemsOf(room, maker, model)
	for _, item := range items {
		if err == nil {
			err = tx.reckon(room, item.Mark)
		}
	}
	return err
}
