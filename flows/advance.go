package flows

import (
	"fmt"
	"slices"
	"strings"
)

// Effect is something that an answer brought about beyond being written down.
type Effect struct {
	// Held lists the rules that now take the item out of use and didn't before.
	Held []Rule
	// Again says why the answer was set aside and is asked for once more. Empty: it was taken.
	Again Again
}

// Again is why readings or a value are taken once more before they count.
type Again string

const (
	AgainSpread Again = "spread" // the repeats are too far apart
	AgainSame   Again = "same"   // all repeats are those of last time
	AgainGrown  Again = "grown"  // better than it can be
	AgainDiffer Again = "differ" // not what the register or the sheet has
)

// Refusal says why an answer couldn't be taken. Nothing was changed.
type Refusal struct {
	Why  Why
	Step string
	Got  string // the part of the answer that was wrong
	Want string // what would have been right
}

// Why is the kind of a Refusal.
type Why string

const (
	NoSuchStep    Why = "no such step"
	NotAsked      Why = "not asked"
	LeftOut       Why = "left out while held"
	WrongForm     Why = "wrong form"
	NoSuchFinding Why = "no such finding"
	TooFew        Why = "too few readings"
	TooMany       Why = "too many readings"
	OutOfRange    Why = "out of range"
	NeedsNumber   Why = "needs a number"
	NeedsYear     Why = "needs a year"
	Nothing       Why = "nothing to take"
)

func (r Refusal) Error() string {
	return strings.TrimRight(fmt.Sprintf("%s: %s %s (%s)", r.Step, r.Why, r.Got, r.Want), " ()")
}

// Advance takes one answer. It is pure: the same flow, state and answer always give the same result. A Refusal
// leaves the state as it was; an answer set aside (Effect.Again) changes it, so that the next one counts.
func Advance(f *Flow, s State, a Answer) (State, Effect, error) {
	before := Judge(f, s)
	next, again, err := take(f, s, a)
	if err != nil || again != "" {
		return next, Effect{Again: again}, err
	}
	return next, Effect{Held: newlyHolding(before, Judge(f, next))}, nil
}

// Retake takes an answer again as Advance did, and says whether it is set aside. It is what a verification folds
// with: it trusts nothing but the answer.
func Retake(f *Flow, s State, a Answer) (State, Again, error) { return take(f, s, a) }

// HoldingAtOnce lists the rules that take an item out of use as soon as they are answered. What couldn't be told
// may still be told in the same inspection, and what was so before the first answer was known already: those
// hold by the verdict alone.
func HoldingAtOnce(o Outcome) []Rule {
	var held []Rule
	known := []string{lifeUnknown, lifeOver, sheetUnconfirmed}
	for _, r := range o.Rules {
		if r.Verdict.Holds() && !strings.HasSuffix(r.ID, unknownRule) && !slices.Contains(known, r.ID) {
			held = append(held, r)
		}
	}
	return held
}

// newlyHolding lists the rules that after holds by and before didn't.
func newlyHolding(before, after Outcome) []Rule {
	return slices.DeleteFunc(HoldingAtOnce(after), func(r Rule) bool {
		return slices.ContainsFunc(before.Rules, func(b Rule) bool { return b.ID == r.ID && b.Verdict >= r.Verdict })
	})
}

func take(f *Flow, s State, a Answer) (State, Again, error) {
	refuse := func(why Why, got, want string) (State, Again, error) {
		return s, "", Refusal{Why: why, Step: a.Step, Got: got, Want: want}
	}
	if a.saysTwoThings() {
		return refuse(WrongForm, "", "")
	}
	if id, ok := strings.CutPrefix(a.Step, factSection+"."); ok {
		return takeFact(f, s, a, id)
	}
	step, ok := f.facing(s.Past).Step(a.Step)
	if !ok {
		if isClosing(a.Step) {
			return takeClosing(s, a)
		}
		return refuse(NoSuchStep, a.Step, "")
	}
	if a.Reopen {
		return s.with(a), "", nil
	}
	if !isOpen(f, s, step) {
		return refuse(NotAsked, "", "")
	}
	if step.Section.OnRope && a.Clear && Judge(f, s).Held() {
		return refuse(LeftOut, "", "")
	}
	if a.Unknown {
		return s.with(a), "", nil
	}
	switch {
	case step.Check != nil:
		return step.Check.take(s, a)
	case step.Reading != nil:
		return step.Reading.take(s, a)
	}
	return step.Value.take(s, a)
}

// saysTwoThings holds for an answer that can't be told, or is taken back, and says something all the same: a
// finding beside it would be lost. Readings may stand beside an unknown, since that is what became of them.
func (a Answer) saysTwoThings() bool {
	if a.Unknown && a.Reopen || a.Reopen && len(a.Readings) > 0 {
		return true
	}
	return (a.Unknown || a.Reopen) && (a.Clear || a.Text != "" || len(a.Findings) > 0)
}

// isOpen tells whether a step is asked as things stand.
func isOpen(f *Flow, s State, step Step) bool {
	when := step.when()
	if len(when.Found) == 0 && len(when.Facts) == 0 {
		return true
	}
	j := newJudging(f, s)
	for _, st := range j.steps {
		j.step(st)
	}
	return s.opens(step, j.facts, j.found)
}

func takeFact(f *Flow, s State, a Answer, id string) (State, Again, error) {
	fact, ok := f.Fact(id)
	if !ok {
		return s, "", Refusal{Why: NoSuchStep, Step: a.Step, Got: id}
	}
	if a.Unknown || a.Reopen {
		return s.with(a), "", nil
	}
	if len(a.Findings) != 1 || !slices.ContainsFunc(fact.Choices, func(c Choice) bool { return c.ID == a.Findings[0] }) {
		return s, "", Refusal{Why: NoSuchFinding, Step: a.Step, Got: strings.Join(a.Findings, " ")}
	}
	return s.with(a), "", nil
}

func (c *Check) take(s State, a Answer) (State, Again, error) {
	if len(a.Readings) > 0 || a.Text != "" || a.Clear == (len(a.Findings) > 0) {
		return s, "", Refusal{Why: WrongForm, Step: a.Step}
	}
	for _, id := range a.Findings {
		if _, ok := c.Finding(id); !ok {
			return s, "", Refusal{Why: NoSuchFinding, Step: a.Step, Got: id}
		}
	}
	return s.with(a), "", nil
}

// spreadFactor times the doubt is how far apart repeats may lie before they are asked for again.
const spreadFactor = 4

// take sets readings aside once when they are too far apart, the same as last time, or better than they can
// be. The second set counts, save that what has grown twice is unknown.
func (r *Reading) take(s State, a Answer) (State, Again, error) {
	if err := r.plausible(s, a); err != nil {
		return s, "", err
	}
	why := r.doubtful(s, a.Readings)
	if why != "" && !slices.Contains(s.again, a.Step) {
		return s.askedAgain(a.Step), why, nil
	}
	if why == AgainGrown {
		a.Unknown = true
	}
	return s.with(a), "", nil
}

func (r *Reading) plausible(s State, a Answer) error {
	refuse := func(why Why, got, want string) error {
		return Refusal{Why: why, Step: a.Step, Got: got, Want: want}
	}
	if len(a.Findings) > 0 || a.Text != "" || a.Clear {
		return refuse(WrongForm, "", "")
	}
	if len(a.Readings) < r.Repeat {
		return refuse(TooFew, fmt.Sprint(len(a.Readings)), fmt.Sprint(r.Repeat))
	}
	if len(a.Readings) > 9 {
		return refuse(TooMany, fmt.Sprint(len(a.Readings)), fmt.Sprint(r.Repeat))
	}
	for _, v := range a.Readings {
		if !r.canBe(v, s) {
			return refuse(OutOfRange, v.String(), "")
		}
	}
	return nil
}

// canBe tells whether a person can have meant this value: within the declared range, and not twice or less
// than a quarter of what the piece was when new.
func (r *Reading) canBe(v Number, s State) bool {
	if v.Sign() < 0 {
		return false
	}
	if r.Low.Cmp(r.High) != 0 && (v.Less(r.Low) || r.High.Less(v)) {
		return false
	}
	asNew, known := r.asNew(s.Sheet)
	if !known || asNew.IsZero() || r.Harm == HarmUp {
		return true
	}
	return !asNew.Times(2).Less(v) && !v.Times(4).Less(asNew)
}

func (r *Reading) doubtful(s State, values []Number) Again {
	worst, doubt := r.worst(values), r.doubtIn(s)
	last := s.Last[r.ID]
	switch {
	case r.grown(worst, s), len(last) > 0 && r.worse(r.moved(r.worst(last), doubt.Neg()), worst):
		return AgainGrown
	case len(last) > 0 && sameValues(values, last):
		return AgainSame
	case doubt.Times(spreadFactor).Less(spread(values)):
		return AgainSpread
	}
	return ""
}

func spread(values []Number) Number {
	low, high := values[0], values[0]
	for _, v := range values {
		if v.Less(low) {
			low = v
		}
		if high.Less(v) {
			high = v
		}
	}
	return high.Sub(low)
}

func sameValues(a, b []Number) bool {
	return slices.EqualFunc(a, b, func(x, y Number) bool { return x.Cmp(y) == 0 })
}

func (v *Value) take(s State, a Answer) (State, Again, error) {
	refuse := func(why Why, got string) (State, Again, error) {
		return s, "", Refusal{Why: why, Step: a.Step, Got: got, Want: string(v.Unit)}
	}
	a.Text = strings.TrimSpace(a.Text)
	if len(a.Findings) > 0 || len(a.Readings) > 0 || a.Clear {
		return refuse(WrongForm, "")
	}
	if a.Text == "" {
		return refuse(Nothing, "")
	}
	if v.Unit != "" {
		n, err := ParseNumber(a.Text)
		if err != nil {
			return refuse(NeedsNumber, a.Text)
		}
		if v.Low.Cmp(v.High) != 0 && (n.Less(v.Low) || v.High.Less(n)) {
			return refuse(OutOfRange, a.Text)
		}
	}
	if v.Match == matchMade && len(yearsIn(a.Text)) == 0 {
		return refuse(NeedsYear, a.Text)
	}
	if v.differs(a.Text, s) && !slices.Contains(s.again, a.Step) {
		return s.askedAgain(a.Step), AgainDiffer, nil
	}
	return s.with(a), "", nil
}
