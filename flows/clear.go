package flows

import (
	"fmt"

	"becket/flows/due"
)

// Clear is a document of this flow that comes out fit: something as new, everything looked at, the first
// choice of each fact. An error says that the flow can't come out fit.
func (f *Flow) Clear() (Document, error) {
	facts := map[string]string{}
	for _, fact := range f.Facts {
		if len(fact.Choices) > 0 {
			facts[fact.ID] = fact.Choices[0].ID
		}
	}
	return f.ClearWith(facts)
}

// ClearWith is Clear for chosen facts.
func (f *Flow) ClearWith(facts map[string]string) (Document, error) {
	c := clearing{flow: f, sheet: map[string]Number{}, facts: facts}
	d := Document{
		Item:  DocumentItem{Item: Item{Mark: "X-01", Serial: "26-0417", Use: People, IntervalMonths: 6}},
		Facts: facts, Sheet: c.sheet, Instrument: Instrument{Doubt: MustNumber("0.03")}, Answers: map[string]Given{},
	}
	for _, step := range f.Steps() {
		if step.Reading != nil {
			c.figures(step.Reading)
		}
	}
	for _, g := range f.Figures {
		if _, set := c.sheet[g.ID]; !set {
			c.sheet[g.ID] = MustNumber("4")
		}
	}
	for _, step := range f.Steps() {
		if step.when().open(facts, nil) && !(step.Value != nil && step.Value.Match == matchMade) { // the item has no date of make
			d.Answers[step.Name] = c.answer(step, d.Item.Serial)
		}
	}
	o, err := f.Examine(d, due.Date{Year: 2026, Month: 1, Day: 1}) // any day: the item has no dates
	if err != nil {
		return d, err
	}
	if o.Verdict != Fit {
		return d, fmt.Errorf("an item as new with everything clear comes out %s: %s", o.Verdict, o.reason())
	}
	return d, nil
}

func (o Outcome) reason() string {
	if len(o.Missing) > 0 {
		return o.Missing[0] + " can't be answered"
	}
	if len(o.Rules) > 0 {
		return o.Rules[0].ID
	}
	return "no rule says why"
}

type clearing struct {
	flow  *Flow
	sheet map[string]Number
	facts map[string]string
}

// bounds are the range in which a reading's figures are invented.
func (r *Reading) bounds() (low, high Number) {
	if r.Low.Cmp(r.High) != 0 {
		return r.Low, r.High
	}
	return MustNumber("0"), MustNumber("20")
}

// figures invents the sheet figures that a reading names: a new value, and limits half-way from it to the far
// end of the range.
func (c clearing) figures(r *Reading) {
	low, high := r.bounds()
	far, near := high, low
	if r.Harm == HarmDown {
		far, near = low, high
	}
	if r.New != nil && r.New.Figure != "" {
		if _, set := c.sheet[r.New.Figure]; !set {
			c.sheet[r.New.Figure] = near.Add(far.Sub(near).Half().Half())
		}
	}
	asNew := c.asNew(r)
	for _, l := range r.Limits {
		if _, set := c.sheet[l.At.Figure]; l.At.Figure != "" && !set {
			c.sheet[l.At.Figure] = asNew.Add(far.Sub(asNew).Half())
		}
	}
}

// asNew is a reading of something new: on the good side of every limit.
func (c clearing) asNew(r *Reading) Number {
	if n, known := r.asNew(c.sheet); known {
		return n
	}
	low, high := r.bounds()
	if r.Harm == HarmDown {
		return high
	}
	return low
}

func (c clearing) answer(step Step, serial string) Given {
	switch {
	case step.Check != nil:
		return Given{IsList: true}
	case step.Reading != nil:
		n := c.asNew(step.Reading).String()
		list := make([]string, step.Reading.Repeat)
		for i := range list {
			list[i] = n
		}
		return Given{IsList: true, List: list}
	}
	v := step.Value
	if want, known := v.expected(State{Start: Start{Item: Item{Serial: serial}, Sheet: c.sheet}}); known {
		return Given{Text: want}
	}
	switch {
	case v.Kind == ValuePhoto:
		return Given{Text: "no photo"}
	case v.Unit != "" && v.Low.Cmp(v.High) != 0:
		return Given{Text: v.Low.Add(v.High.Sub(v.Low).Half()).String()}
	case v.Unit != "":
		return Given{Text: "1"}
	}
	return Given{Text: "R-12"}
}
