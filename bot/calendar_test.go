package bot

import (
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// TestCalendarFindsWhatTheStatusSays goes through random years of a store, and then asks for each day whether the
// index names exactly the items that the status, worked out from the record, says need something by then.
func TestCalendarFindsWhatTheStatusSays(t *testing.T) {
	t.Parallel()
	now := time.Date(2020, 1, 6, 9, 0, 0, 0, time.UTC)
	db, err := store.Open(context.Background(), filepath.Join(t.TempDir(), "becket.db"), func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	runs := 0
	rapid.Check(t, func(t *rapid.T) {
		runs++
		room := fmt.Sprint("!yard-", runs)
		now = time.Date(2020, 1, 6, 9, 0, 0, 0, time.UTC)
		err := db.Do(context.Background(), func(tx *store.Tx) error { return randomYears(t, tx, room) })
		if err != nil {
			t.Fatal(err)
		}
		began := now
		now = now.AddDate(rapid.IntRange(0, 4).Draw(t, "years on"), rapid.IntRange(0, 11).Draw(t, "months on"), rapid.IntRange(0, 30).Draw(t, "days on"))
		err = db.View(context.Background(), func(tx *store.Tx) error {
			days, err := dueIn(tx, room)
			if err == nil && len(days) > 0 && rapid.Bool().Draw(t, "about a due day") {
				day := rapid.SampledFrom(days).Draw(t, "of them").AddDays(rapid.IntRange(0, 1).Draw(t, "past it"))
				now = began.AddDate(0, 0, due.On(began).DaysUntil(day))
			}
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		err = db.View(context.Background(), func(tx *store.Tx) error { return agreeOn(t, tx, room) })
		if err != nil {
			t.Fatal(err)
		}
	})
}

// dueIn are the days on which a room's items are due.
func dueIn(tx *store.Tx, room string) (days []due.Date, err error) {
	items, err := tx.Items(room)
	for _, item := range items {
		s, err := (&turn{tx: tx, m: Message{Room: room}, zone: time.UTC}).statusOf(item)
		if err != nil {
			return nil, err
		}
		if !s.due.IsZero() {
			days = append(days, s.due)
		}
	}
	return days, err
}

// randomYears writes entries of every kind that moves a due day.
func randomYears(t *rapid.T, tx *store.Tx, room string) error {
	var held []store.HoldPlaced
	var numbers []int64
	var examined due.Date // the last day on which anything was
	write := func(ev store.Event) (store.Entry, error) { return tx.Append(room, "@ana", "$", ev) }
	years := rapid.SampledFrom([]int{0, 0, 3, 6, 9})
	for n := range 2 {
		item := store.Item{Flow: "pulley", Maker: "Northlight", Model: "Razorbill", Item: flows.Item{Mark: fmt.Sprint("P-", n), Use: flows.People}}
		item.Made = rapid.SampledFrom([]due.Date{{Year: 2015}, {Year: 2019, Month: 5}, {}}).Draw(t, "made")
		item.LifeMadeYears, item.IntervalMonths = years.Draw(t, "life"), years.Draw(t, "interval")
		if rapid.Bool().Draw(t, "borrowed") {
			from := due.Date{Year: 2019, Month: time.July, Day: 1}
			item.Loan = &store.Loan{Owner: "Tom Hale", Until: from.AddDays(rapid.IntRange(0, 800).Draw(t, "until"))}
			if rapid.Bool().Draw(t, "shown") {
				item.Loan.Evidence, item.Loan.Examined = "his book", from.AddDays(rapid.IntRange(0, 200).Draw(t, "examined"))
			}
		}
		if _, err := write(store.ItemTaken{Item: item}); err != nil {
			return err
		}
	}
	for n := range rapid.IntRange(0, 25).Draw(t, "events") {
		mark := fmt.Sprint("P-", rapid.IntRange(0, 1).Draw(t, "which"))
		var err error
		switch rapid.IntRange(0, 12).Draw(t, "event") {
		case 0:
			figures := map[string]flows.Number{
				store.FigureInterval: numberOf(years.Draw(t, "sheet's interval")), store.FigureLifeUse: numberOf(years.Draw(t, "sheet's life"))}
			_, err = write(store.SheetKeyed{Sheet: store.Sheet{Maker: "northlight", Model: "Razorbill", Figures: figures}})
		case 1:
			h := store.HoldPlaced{Mark: mark, Verdict: rapid.SampledFrom([]flows.Verdict{flows.Quarantine, flows.Retire}).Draw(t, "hold")}
			var e store.Entry
			e, err = write(h)
			held, numbers = append(held, h), append(numbers, e.Seq)
		case 2:
			_, err = write(store.GoodsOnly{Mark: mark})
		case 3:
			if last := len(held) - 1; last >= 0 && held[last].Verdict == flows.Retire {
				_, err = write(store.RetirementStruck{Mark: held[last].Mark, Hold: numbers[last]})
			} else if last >= 0 {
				_, err = write(store.HoldMoved{Mark: held[last].Mark, Hold: numbers[last]})
			}
		case 4:
			_, err = write(store.NotSeen{Mark: mark, Day: due.On(tx.Now())})
		case 5:
			_, err = write(store.Found{Mark: mark, Place: "rack 2", Day: due.On(tx.Now())})
		case 6:
			if rapid.IntRange(0, 5).Draw(t, "goes back") == 0 {
				_, err = write(store.WentBack{Mark: mark, Day: due.On(tx.Now())})
			}
		case 7, 8:
			f := store.Foretold{Mark: mark, Place: "groove"}
			if days := rapid.IntRange(-20, 200).Draw(t, "foretold"); !examined.IsZero() && days != 0 {
				f.Day = examined.AddDays(days)
			}
			_, err = write(f)
		default:
			id := fmt.Sprint(room, "-", n)
			if _, err = write(store.Started{Inspection: id, Mark: mark}); err == nil {
				day := due.Date{Year: 2020, Month: time.January, Day: 6}.AddDays(rapid.IntRange(0, 1500).Draw(t, "day"))
				v := rapid.SampledFrom([]flows.Verdict{flows.Fit, flows.Watch, flows.Quarantine}).Draw(t, "verdict")
				_, err = write(store.Signed{Inspection: id, Mark: mark, Day: day, Verdict: v})
				examined = day
			}
		}
		if err != nil {
			return err
		}
	}
	return nil
}

func numberOf(n int) flows.Number {
	number, err := flows.ParseNumber(fmt.Sprint(n))
	if err != nil {
		return flows.Number{}
	}
	return number
}

func agreeOn(t *rapid.T, tx *store.Tx, room string) error {
	on := &turn{tx: tx, m: Message{Room: room}, zone: time.UTC}
	marks, err := tx.DueBy(room, on.day())
	if err != nil {
		return err
	}
	ahead, err := tx.DueBy(room, on.day().AddDays(-1))
	if err != nil {
		return err
	}
	items, err := tx.Items(room)
	if err != nil {
		return err
	}
	for _, item := range items {
		s, err := on.statusOf(item)
		if err != nil {
			return err
		}
		// The day itself is still good, so what is over today was to be done by yesterday.
		over := s.retired == nil && s.custody.Gone.IsZero() && (len(s.notForUse(on.day())) > 0 || s.signed && !s.last.Verdict.Usable())
		if named := slices.Contains(ahead, item.Mark); named != over {
			t.Errorf("%s on %s: the calendar names it: %v; the status says %q, retired %v", item.Mark, on.day(), named, s.notForUse(on.day()), s.retired != nil)
		}
		today := over || s.retired == nil && s.custody.Gone.IsZero() && s.due == on.day()
		if named := slices.Contains(marks, item.Mark); named != today {
			t.Errorf("%s by %s: the calendar names it: %v; it is due %s", item.Mark, on.day(), named, s.due)
		}
	}
	return nil
}
