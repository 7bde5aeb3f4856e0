package bot

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/wear"
	"becket/store"
)

// Verify goes through the whole record: the store checks hashes and tables, and every inspection is folded and
// judged again from its answers alone. It names each entry that differs.
func (b *Bot) Verify(ctx context.Context, db *store.DB) ([]store.Fault, error) {
	a := b.audit(ctx, db)
	faults, err := db.Verify(ctx, store.Projected(), a.check)
	return append(faults, a.end()...), err
}

func (b *Bot) audit(ctx context.Context, db *store.DB) audit {
	return audit{bot: b, ctx: ctx, db: db, open: map[string]*retold{}, asked: map[string]store.Opinion{}, people: people{}, courses: map[string][]*course{}}
}

// end names a hold that is missing at the end of the record.
func (a *audit) end() []store.Fault {
	if a.unheld == nil {
		return nil
	}
	return []store.Fault{{Seq: a.unheldAt, What: format(auditUnheld, a.unheld.Mark)}}
}

// audit follows the record from entry to entry. It keeps only inspections that aren't finished yet.
type audit struct {
	bot  *Bot
	ctx  context.Context
	db   *store.DB
	open map[string]*retold
	// asked are opinions that nobody has given yet.
	asked map[string]store.Opinion
	// people are those listed in each room, as of the entry under way.
	people people
	// courses are those of items of which something was foretold, by room and mark.
	courses map[string][]*course
	// unheld was judged again just now, at the entry unheldAt, and its hold has to follow.
	unheld   *store.JudgedAgain
	unheldAt int64
}

// retold is an inspection folded a second time.
type retold struct {
	inspection
	state flows.State
	held  map[string]bool // rules for which a hold was placed
}

func (a *audit) check(e store.Entry, ev store.Event) []string {
	a.people.follow(e, ev)
	return append(a.follows(ev), a.entry(e, ev)...)
}

// follows tells whether what was judged again just before is held now.
func (a *audit) follows(ev store.Event) []string {
	judged := a.unheld
	a.unheld = nil
	if judged == nil {
		return nil
	}
	if h, is := ev.(*store.HoldPlaced); is && h.Mark == judged.Mark && h.Inspection == judged.Inspection {
		return nil
	}
	return []string{"comes where a hold has to: " + format(auditUnheld, judged.Mark)}
}

func (a *audit) entry(e store.Entry, ev store.Event) []string {
	switch ev := ev.(type) {
	case *store.Started:
		return a.start(e, ev)
	case *store.Answered:
		return a.answer(e, ev)
	case *store.HoldPlaced:
		if r, ok := a.open[ev.Inspection]; ok {
			r.held[ev.Rule] = true
		}
	case *store.JudgedAgain:
		a.unheld, a.unheldAt = ev, e.Seq
		return a.again(ev)
	case *store.LeftOff:
		if !ev.ToSign {
			defer delete(a.open, ev.Inspection)
			return a.holds(ev.Inspection)
		}
	case *store.ItemCorrected:
		return a.corrected(e, ev)
	case *store.HeadPosted:
		return a.posted(ev)
	case *store.Foretold:
		return a.foretold(e, ev)
	case *store.OpinionAsked:
		a.asked[ev.ID] = ev.Opinion
	case *store.OpinionGiven:
		return a.opinion(e, ev.Opinion)
	case *store.Signed:
		defer delete(a.open, ev.Inspection)
		return slices.Concat(a.sign(ev), a.permitted(e, ev, actSign), a.holds(ev.Inspection))
	case *store.Supervised:
		defer delete(a.open, ev.Inspection)
		return slices.Concat(a.sign(&ev.Signed), a.permitted(e, &ev.Signed, actSupervise), a.holds(ev.Inspection))
	}
	return nil
}

func (a *audit) start(e store.Entry, ev *store.Started) []string {
	r := &retold{held: map[string]bool{}}
	err := a.db.View(a.ctx, func(tx *store.Tx) error { return r.take(a.bot, tx, e, ev) })
	if err != nil {
		return []string{err.Error()}
	}
	r.state = r.flow.Start(ev.Start)
	a.open[ev.Inspection] = r
	return nil
}

func (a *audit) answer(e store.Entry, ev *store.Answered) []string {
	r, ok := a.open[ev.Inspection]
	if !ok {
		return []string{"answers an inspection that isn't open"}
	}
	ev.By = e.By
	r.answers = append(r.answers, givenAnswer{Answered: *ev, entry: e})
	next, aside, err := flows.Retake(r.flow, r.state, ev.Answer)
	if err != nil {
		return []string{"holds an answer that its script doesn't take: " + err.Error()}
	}
	r.state = next
	if aside != ev.SetAside {
		return []string{fmt.Sprintf("was set aside as %q, and by its script as %q", ev.SetAside, aside)}
	}
	return nil
}

// sign judges again and compares with what was signed.
func (a *audit) sign(ev *store.Signed) []string {
	r, ok := a.open[ev.Inspection]
	if !ok {
		return []string{"signs an inspection that isn't open"}
	}
	if err := r.inspection.examined(a.bot); err != nil {
		return []string{err.Error()}
	}
	r.state.Day = r.inspection.state.Day
	o := judged(r.flow, r.state, ev.Newer, ev.Inspection)
	var differ []string
	if got, want := inJSON(o), inJSON(ev.Outcome); got != want {
		differ = append(differ, fmt.Sprintf("signs %s as %s by the rules, and judged again it is %s", ev.Number, ev.Outcome.Verdict, o.Verdict))
	}
	if ev.Verdict < o.Verdict || o.Verdict == flows.Incomplete {
		differ = append(differ, fmt.Sprintf("signs %s milder than the rules", ev.Number))
	}
	return differ
}

// again judges a signed inspection by a later sheet once more.
func (a *audit) again(ev *store.JudgedAgain) []string {
	var o flows.Outcome
	err := a.db.View(a.ctx, func(tx *store.Tx) error {
		row, found, err := tx.Inspection(ev.Inspection)
		if err != nil || !found {
			return fmt.Errorf("judges the inspection %q again, which isn't there", ev.Inspection)
		}
		i, err := a.bot.load(tx, row)
		if err != nil {
			return err
		}
		f := i.flow
		if ev.Flow != "" {
			if f, err = a.bot.kept(tx, ev.Flow); err != nil {
				return err
			}
		}
		o = i.rejudged(ev.Sheet, f)
		return nil
	})
	switch {
	case err != nil:
		return []string{err.Error()}
	case inJSON(o) != inJSON(ev.Outcome):
		return []string{fmt.Sprintf("judges %s again as %s, and by the rules it is %s", ev.Mark, ev.Outcome.Verdict, o.Verdict)}
	}
	return nil
}

// foretold tells whether a day follows from its course, and whether the course is of readings that were signed.
func (a *audit) foretold(e store.Entry, ev *store.Foretold) []string {
	if ev.Course == nil {
		if !ev.Day.IsZero() {
			return []string{format(auditForetold, ev.Day.Words(), ev.Mark)}
		}
		return nil
	}
	if look, told := ev.Course.Forecast().Look(); !told || look != ev.Day {
		return []string{format(auditForetold, ev.Day.Words(), ev.Mark)}
	}
	all, err := a.coursesOf(e.Room, ev.Mark)
	n := slices.IndexFunc(all, func(c *course) bool { return c.id == ev.Place })
	switch {
	case err != nil:
		return []string{err.Error()}
	case n < 0 || slices.ContainsFunc(ev.Course.Readings, func(r wear.Reading) bool { return !slices.Contains(all[n].Readings, r) }):
		return []string{format(auditUnread, ev.Mark)}
	}
	return nil
}

// coursesOf is what was measured of an item, read once for all that was foretold of it.
func (a *audit) coursesOf(room, mark string) ([]*course, error) {
	item := room + " " + mark
	if all, known := a.courses[item]; known {
		return all, nil
	}
	err := a.db.View(a.ctx, func(tx *store.Tx) error {
		now, err := tx.RoomNow(room)
		if err != nil {
			return err
		}
		t, err := a.bot.onBehalf(tx, now)
		if err != nil {
			return err
		}
		found, _, err := tx.Item(now, mark)
		if err != nil {
			return err
		}
		sheet, _, err := tx.Sheet(now, found.Maker, found.Model)
		if err != nil {
			return err
		}
		a.courses[item], err = t.coursesOf(found, sheet)
		return err
	})
	return a.courses[item], err
}

// posted tells whether the record continues an end that it says was posted.
func (a *audit) posted(ev *store.HeadPosted) []string {
	faults, err := a.bot.Continues(a.ctx, a.db, []Head{{Entries: ev.Entries, Ends: ev.Ends}})
	switch {
	case err != nil:
		return []string{err.Error()}
	case len(faults) > 0:
		return []string{fmt.Sprintf("says that entry %d ended otherwise when it was posted", ev.Entries)}
	}
	return nil
}

// holds tells whether every finding that holds took the item out of use.
func (a *audit) holds(inspection string) []string {
	r, ok := a.open[inspection]
	if !ok {
		return nil
	}
	var missing []string
	for _, rule := range flows.HoldingAtOnce(flows.Judge(r.flow, r.state)) {
		if !r.held[rule.ID] && !strings.HasPrefix(rule.ID, pastHold) {
			missing = append(missing, "closes an inspection whose finding "+rule.ID+" placed no hold")
		}
	}
	return missing
}

func inJSON(v any) string {
	text, err := json.Marshal(v)
	if err != nil {
		return err.Error()
	}
	return string(text)
}
