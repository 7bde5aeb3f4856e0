package bot

import (
	"math"
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/flows/wear"
	"becket/store"
)

// course is one reading of an item over time, with what it is held against now.
type course struct {
	wear.Course
	begins  int    // the reading from which it counts: those before are of a part that was replaced
	name    string // of the reading, for people
	id      string
	unit    flows.Unit
	values  []flows.Number  // as they were read, one for each of Readings
	doubt   flows.Number    // the largest
	mixed   bool            // whether others were smaller
	limit   flows.WearLimit // the first that takes the item out of use
	cited   string          // on whose word
	limited bool
	limits  []flows.WearLimit // all of them
}

// coursesOf is what an item's signed inspections measured, oldest first, each reading by itself. They are held against the
// model's sheet as it is now.
func (t *turn) coursesOf(item store.Item, sheet store.Sheet) ([]*course, error) {
	return t.coursesUntil(item, sheet, math.MaxInt64)
}

// coursesUntil leaves out what was begun after an entry of the record.
func (t *turn) coursesUntil(item store.Item, sheet store.Sheet, last int64) ([]*course, error) {
	return t.coursesWith(item, sheet, last, nil)
}

// coursesWith takes up what an inspection that isn't signed yet measured, too; nil: there is none.
func (t *turn) coursesWith(item store.Item, sheet store.Sheet, last int64, unsigned *inspection) ([]*course, error) {
	signed, err := t.tx.MeasuredOf(t.m.Room, item.Mark)
	if err != nil {
		return nil, err
	}
	signed = slices.DeleteFunc(signed, func(m store.Measured) bool { return m.Seq > last })
	all := courses{}
	if len(signed) > 0 || unsigned != nil {
		if err := t.asNew(&all, item); err != nil {
			return nil, err
		}
	}
	for _, m := range signed {
		i, err := t.bot.asMeasured(t.tx, m)
		if err != nil {
			return nil, err
		}
		all.add(i, sheet)
	}
	if unsigned != nil {
		all.add(unsigned, sheet)
	}
	for _, c := range all.list {
		c.begins = c.Begins(all.worked)
	}
	return all.list, nil
}

// asMeasured is a signed inspection with nothing in it but what it measured: an item's whole wear is read at a glance, where folding
// every answer of every inspection would keep others waiting.
func (b *Bot) asMeasured(tx *store.Tx, m store.Measured) (*inspection, error) {
	f, err := b.kept(tx, m.Started.Flow)
	if err != nil {
		return nil, err
	}
	i := &inspection{started: m.Started, flow: f, state: f.Start(m.Started.Start)}
	for _, a := range m.Answers {
		i.state = i.state.Recorded(a, "")
	}
	i.state.Day = m.Day
	return i, nil
}

// courses are an item's, in the order in which they were first measured.
type courses struct {
	list []*course
	taken
	worked []due.Date // when somebody worked on the item
}

// taken is what was measured when an item was taken in. It counts once an inspection says what the reading is.
type taken struct {
	on       due.Date
	readings map[string][]flows.Number
}

// asNew takes up what was measured when an item was taken in, and when it was worked on.
func (t *turn) asNew(all *courses, item store.Item) error {
	entries, err := t.tx.EntriesIn(t.m.Room, store.ItemSubject(item.Mark))
	for _, e := range entries {
		switch day := due.On(e.At.In(t.zone)); {
		case e.Kind == (store.Maintained{}).Kind():
			all.worked = append(all.worked, day)
		case e.Kind == (store.ItemTaken{}).Kind() && len(item.FirstReadings) > 0 && all.taken.on.IsZero():
			all.taken = taken{day, item.FirstReadings}
		}
	}
	return err
}

// add takes up what one inspection measured.
func (c *courses) add(i *inspection, sheet store.Sheet) {
	now := i.state
	if sheet.Counts() {
		now.Sheet = figuresFor(i.flow, sheet)
	}
	for _, step := range i.flow.Steps() {
		w, measured := flows.WearOf(i.flow, now, step.Name)
		if a, _ := now.Given(step.Name); !measured || a.Unknown { // what couldn't be told is no reading of the place
			continue
		}
		one := c.of(step.Reading, w)
		one.take(i.state.Day, w.Worst, w.Doubt)
		one.holdAgainst(w.Limits)
		one.cited = one.limit.Basis
		switch {
		case one.cited == modelSheet && sheet.Counts():
			one.cited = format(sheetRef, sheet.Document, sheet.Edition, sheet.Page)
		case one.cited == modelSheet:
			one.cited = i.cited(modelSheet)
		}
	}
}

// of finds a reading's course, or begins it with what was measured when the item was taken in.
func (c *courses) of(r *flows.Reading, w flows.Wear) *course {
	for _, one := range c.list {
		if one.id == r.ID {
			return one
		}
	}
	one := &course{id: r.ID, name: strings.ReplaceAll(r.ID, "_", " "), unit: w.Unit}
	one.Down = r.Harm == flows.HarmDown
	if first := c.taken.readings[r.ID]; len(first) > 0 {
		worst := slices.MaxFunc(first, flows.Number.Cmp)
		if one.Down {
			worst = slices.MinFunc(first, flows.Number.Cmp)
		}
		one.take(c.taken.on, worst, w.Doubt)
	}
	c.list = append(c.list, one)
	return one
}

func (c *course) take(on due.Date, worst, doubt flows.Number) {
	c.mixed = c.mixed || len(c.Readings) > 0 && !c.doubt.Equal(doubt)
	c.Readings = append(c.Readings, wear.Reading{On: on, Value: worst.Float(), Doubt: doubt.Float()})
	c.values = append(c.values, worst)
	if c.doubt.Less(doubt) {
		c.doubt = doubt
	}
}

// holdAgainst takes the limit that wear comes to first, of those that take the item out of use.
func (c *course) holdAgainst(limits []flows.WearLimit) {
	c.limited, c.limits = false, limits
	for _, l := range limits {
		sooner := l.At.Less(c.limit.At) != c.Down
		if l.Verdict.Holds() && (!c.limited || sooner) {
			c.limit, c.limited = l, true
		}
	}
	c.Limit = c.limit.At.Float()
}

// forecast looks ahead, where there is a limit to look to.
func (c *course) forecast() wear.Forecast {
	if !c.limited {
		return wear.Forecast{}
	}
	return c.counts().Forecast()
}

// counts is the course without what was read of a part that was replaced.
func (c *course) counts() wear.Course {
	now := c.Course
	now.Readings = now.Readings[c.begins:]
	return now
}

// worn tells whether the readings that count show wear: a slope that isn't within what they differ by anyway, or a limit reached, be it only one
// from which it is watched.
func (c *course) worn() bool {
	return c.counts().Wears() || slices.ContainsFunc(c.values[c.begins:], func(v flows.Number) bool {
		return slices.ContainsFunc(c.limits, func(l flows.WearLimit) bool {
			if c.Down {
				return !l.At.Less(v)
			}
			return !v.Less(l.At)
		})
	})
}

// places is how many digits the readings have behind the point, at most.
func (c *course) places() int {
	most := 0
	for _, v := range c.values {
		_, fraction, _ := strings.Cut(v.String(), ".")
		most = max(most, len(fraction))
	}
	return most
}
