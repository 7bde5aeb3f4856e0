package bot

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// inspect opens an inspection in a conversation of its own and asks the first question.
func (t *turn) inspect(args string) error {
	if code := t.codeOf(); code != "" && strings.TrimSpace(args) == "" {
		return t.byCode(code)
	}
	item, _, found, err := t.namedItem(args, "inspect D-07")
	if err != nil || !found {
		return err
	}
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	if why, err := t.noInspection(item, s); err != nil || why != "" {
		if why != "" {
			t.refuse("%s", why)
		}
		return err
	}
	i, err := t.begin(item, t.bot.library[item.Flow], s, nil)
	if err != nil {
		return err
	}
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	return t.ask(i, joined(t.opening(i, s), unsaid))
}

// outOfReach says why nobody can have an item in the hand to inspect it, as far as the record knows; empty: they can.
func (t *turn) outOfReach(s status) (string, error) {
	switch {
	case !s.custody.Gone.IsZero():
		return s.sentence(t.day()) + ".", nil
	case !s.custody.Unseen.IsZero():
		return format(inspectUnseen, s.item.Mark, s.custody.Unseen.Words(), s.item.Mark), nil
	}
	in, is, err := t.tx.PartOf(t.m.Room, s.item.Mark)
	if err != nil || !is || in.Kind != store.Bag {
		return "", err
	}
	return format(inspectSealed, s.item.Mark, in.Mark), nil
}

// noInspection says why an item can't be inspected now; empty: it can.
func (t *turn) noInspection(item store.Item, s status) (string, error) {
	if _, ok := t.bot.library[item.Flow]; !ok {
		return format(noScript, item.Mark, item.Flow), nil
	}
	if s.retired != nil {
		return s.sentence(t.day()), nil
	}
	if why, err := t.outOfReach(s); err != nil || why != "" {
		return why, err
	}
	return t.beingInspected(item.Mark)
}

// beingInspected says of an item's unfinished inspection whose it is, and what to do; empty: there is none.
func (t *turn) beingInspected(mark string) (string, error) {
	row, found, err := t.tx.Unfinished(t.m.Room, mark)
	switch {
	case err != nil || !found:
		return "", err
	case row.State == store.Complete && row.Inspector == t.m.From:
		return format(waitsForYou, row.Mark), nil
	case row.Inspector == t.m.From:
		return format(alreadyYours, row.Mark), nil
	}
	return format(alreadyTheirs, row.Mark, row.Inspector), nil
}

// underInspection refuses where an item has an inspection that isn't finished.
func (t *turn) underInspection(mark string) (bool, error) {
	why, err := t.beingInspected(mark)
	if why != "" {
		t.refuse("%s", why)
	}
	return why != "", err
}

// begin writes an inspection's first entry, with everything that will be judged besides the answers. One of a round
// has the round's conversation, its bench, and a chance of its own.
func (t *turn) begin(item store.Item, f *flows.Flow, s status, r *store.Round) (*inspection, error) {
	seed, err := t.seedFor()
	if err != nil {
		return nil, err
	}
	ev := store.Started{Inspection: t.m.ID, Thread: t.m.ID, Mark: item.Mark, Flow: f.Hash, Zone: t.zoneName(), Sent: t.m.At, Interval: s.why}
	var bench *store.Setup
	if r != nil {
		seed, bench = seedIn(r.Seed, item.Mark), &r.Bench
		ev.Inspection, ev.Thread, ev.Round = r.ID+"/"+item.Mark, r.Thread, r.ID
	}
	careful, err := t.askedWithCare()
	if err != nil {
		return nil, err
	}
	grouped := !careful && may(t.person, t.listed, actSign, f.ID, t.day())
	start := flows.Start{
		Item: s.item.Item, Day: t.day(), Facts: factsOf(item, s.sheet, f), Seed: seed,
		OneByOne: !grouped, Beside: grouped,
	}
	ev.SheetRef = sheetFor(f, s.sheet, &start)
	if err := t.instrumentFor(&ev, &start, bench); err != nil {
		return nil, err
	}
	if err := t.before(item, s, &start); err != nil {
		return nil, err
	}
	ev.Start = start
	if err := t.tx.KeepFlow(f.Hash, f.Text); err != nil {
		return nil, err
	}
	if _, err := t.write(ev); err != nil {
		return nil, err
	}
	row, _, err := t.tx.Inspection(ev.Inspection)
	if err != nil {
		return nil, err
	}
	t.thread = row.Thread
	return t.bot.load(t.tx, row)
}

// zoneName is the team's zone, or the clock's offset where the team has none.
func (t *turn) zoneName() string {
	if t.team.Zone != "" {
		return t.team.Zone
	}
	return t.tx.Now().In(t.zone).Format("-07:00")
}

// sheetFor takes a sheet's figures where two people have typed them, and says how it is cited.
func sheetFor(f *flows.Flow, sheet store.Sheet, start *flows.Start) (ref string) {
	switch {
	case sheet.Document == "":
		return ""
	case !sheet.Counts():
		start.Unconfirmed = sheet.Name()
		return ""
	}
	start.Sheet = figuresFor(f, sheet)
	return format(sheetRef, sheet.Document, sheet.Edition, sheet.Page)
}

// figuresFor are the sheet's figures that a flow knows.
func figuresFor(f *flows.Flow, sheet store.Sheet) map[string]flows.Number {
	figures := map[string]flows.Number{}
	for id, n := range sheet.Figures {
		if _, known := f.Figure(id); known {
			figures[id] = n
		}
	}
	return figures
}

// instrumentFor takes the first instrument whose own check still holds; on a round's bench, the one that lies there.
func (t *turn) instrumentFor(ev *store.Started, start *flows.Start, bench *store.Setup) error {
	instruments, err := t.tx.Instruments(t.m.Room)
	if err != nil {
		return err
	}
	for _, in := range instruments {
		if in.InDate(t.day()) && (bench == nil || bench.Instrument == in.Mark) {
			ev.Instrument, start.Doubt, ev.Errors = in.Mark, in.Doubt, in.Errors
			return nil
		}
	}
	return nil
}

// pastHold names the question about a hold, by the hold's number.
const pastHold = "hold-"

// before gathers what earlier inspections left to answer: readings, watches, and the reasons of holds.
func (t *turn) before(item store.Item, s status, start *flows.Start) error {
	for _, h := range s.holds {
		if !h.Source.Findable() {
			continue // a stopped fall doesn't go away: the maker's word or a person's decides
		}
		start.Past = append(start.Past, flows.Past{ID: fmt.Sprintf("%s%d", pastHold, h.N), Text: withoutNumbers(strings.TrimRight(h.Why, ".")), Verdict: flows.Quarantine})
	}
	if err := t.measureAgain(s, start); err != nil {
		return err
	}
	if !s.signed {
		start.Last = item.FirstReadings
		return nil
	}
	last, err := t.bot.load(t.tx, s.last)
	if err != nil {
		return err
	}
	start.Last = map[string][]flows.Number{}
	for _, step := range last.flow.Steps() {
		if a, given := last.state.Given(step.Name); given && step.Reading != nil && len(a.Readings) > 0 {
			start.Last[step.Reading.ID] = a.Readings
		}
	}
	return t.watchedBefore(s, last, start)
}

// watchedBefore asks about what the last inspection watched; of one and its blind repeat, about what either did.
func (t *turn) watchedBefore(s status, last *inspection, start *flows.Start) error {
	looks := []*inspection{last}
	pairs, err := t.tx.RepeatPairs(t.m.Room, last.Mark)
	if err != nil {
		return err
	}
	for _, p := range pairs {
		other := p.First
		if other.ID == last.ID {
			other = p.Second
		} else if p.Second.ID != last.ID {
			continue
		}
		i, err := t.bot.load(t.tx, other)
		if err != nil {
			return err
		}
		looks = append(looks, i)
	}
	decided, err := t.decisionAsked(s)
	if err != nil {
		return err
	}
	start.Watched = map[string]int{}
	for _, i := range looks {
		for id, times := range flows.WatchedReadings(i.flow, i.state) {
			if !decided {
				start.Watched[id] = max(start.Watched[id], times)
			}
		}
		for _, w := range flows.Watches(i.flow, i.state) {
			w.Text = withoutNumbers(w.Text)
			if decided {
				w.Times = 0
			}
			if !slices.ContainsFunc(start.Past, func(p flows.Past) bool { return p.ID == w.ID }) {
				start.Past = append(start.Past, w)
			}
		}
	}
	return nil
}

// decisionAsked tells whether the last inspection asked for a decision on what was watched too long, or has grown. From
// there the counts begin anew: the release after another whole inspection is that decision.
func (t *turn) decisionAsked(s status) (bool, error) {
	holds, err := t.tx.Holds(t.m.Room, s.item.Mark)
	return slices.ContainsFunc(holds, func(h store.Hold) bool { return h.Source == store.Decision && h.N > s.lastSeq }), err
}

// measureAgain asks for every reading that the item's last inspections took, the one that holds it included: a
// groove doesn't grow back.
func (t *turn) measureAgain(s status, start *flows.Start) error {
	rows, err := t.tx.InspectionsOf(t.m.Room, s.item.Mark)
	if err != nil {
		return err
	}
	for _, row := range rows {
		holding := slices.ContainsFunc(s.holds, func(h store.Hold) bool { return h.Inspection == row.ID })
		if row.ID != s.last.ID && !holding {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return err
		}
		for _, step := range i.flow.Steps() {
			_, read := flows.WearOf(i.flow, i.state, step.Name)
			if read && len(step.Reading.When.Found) > 0 && !slices.Contains(start.Measure, step.Reading.ID) {
				start.Measure = append(start.Measure, step.Reading.ID)
			}
		}
	}
	return nil
}

// withoutNumbers takes measures out of an earlier finding's words: where to look may be said before a reading,
// what was read there may not.
func withoutNumbers(text string) string {
	bare := regexp.MustCompile(`(?i)[,;]?\s*\d+([.,]\d+)?\s*(mm|cm|m|%|n|kn)?\b`).ReplaceAllString(text, " …")
	return strings.TrimSpace(bare)
}

// opening says what is being inspected and what to have at hand. Nothing in it says how it was last time.
func (t *turn) opening(i *inspection, s status) string {
	lines := []string{format(openingItem, i.Mark, t.describe(s.item), s.item.Use)}
	if s.item.CutFrom != "" {
		lines = append(lines, format(openingCut, s.item.CutFrom))
	}
	if !s.lifeEnd.Date.IsZero() {
		lines = append(lines, format(openingLife, s.lifeEnd.Date.Words(), boundWords(s.lifeEnd.Bound)))
	}
	if len(s.holds) > 0 {
		lines = append(lines, openingHeld)
		for _, h := range s.holds {
			if !h.Source.Findable() {
				lines = append(lines, format(openingUnfindable, h.Source))
				break
			}
		}
	} else if !s.due.IsZero() {
		lines = append(lines, format(openingDue, s.due.Words()))
	}
	have := []string{haveLight}
	if i.started.Instrument != "" {
		have = append(have, format(haveInstrument, i.started.Instrument))
	} else {
		have = append(have, haveNoInstrument)
	}
	if i.started.SheetRef != "" {
		have = append(have, format(haveSheet, i.started.SheetRef))
	}
	lines = append(lines, format(haveReady, strings.Join(have, ", ")))
	if i.started.Start.Unconfirmed != "" {
		lines = append(lines, format(openingUnconfirmed, i.started.Start.Unconfirmed))
	}
	if i.started.Start.OneByOne && !may(t.person, t.listed, actSign, i.flow.ID, t.day()) {
		lines = append(lines, openingJunior)
	}
	return joined(append(lines, "")...)
}
