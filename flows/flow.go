// Package flows holds what is asked in an inspection and what the answers mean.
//
// It is pure: no clock, no network, no database. A Flow is the script for one family of devices, read from
// YAML by Load and proved before anybody relies on it. An inspection is a State, folded from its answers by
// Advance; the only place where a verdict arises is Judge.
package flows

// Flow is the script for one device family. It is read-only once loaded and may be shared.
type Flow struct {
	ID       string
	Revision int // the edition, as a person would say it
	Title    string
	BasedOn  string // the library's flow that this one was proved to be no milder than; empty: none
	// Text is all that was read, blocks included, so that a record keeps its own script; Hash is its sha256 in hex.
	Text     []byte
	Hash     string
	Figures  []Figure
	Facts    []Fact
	Sections []Section
	Together []Together
	// BeforeUse are the ids of the checks that anybody makes before each use, in the order of asking; empty: the script
	// has no such list.
	BeforeUse []string
	steps     []Step       // in the order of asking; listed once, when the flow is whole
	at        places       // where each thing of it was written
	taken     []takenBlock // in the order of first use
}

// Figure is a number that a maker publishes for a model and this flow wants to know.
type Figure struct {
	ID   string
	Unit Unit
	Ask  string // how a person is asked for it; empty: the id in words
}

// Fact is neither good nor bad ("has a lock button"). Only facts may close a check.
type Fact struct {
	ID, Ask string
	Choices []Choice
}

// Choice is one answer to a fact.
type Choice struct{ ID, Label string }

// Section is one place or one manner of looking. Its parts are asked in this order: critical checks, values
// that must match the register, other checks, readings, other values.
type Section struct {
	ID, Title string
	OnRope    bool // left out once the item is held
	Values    []Value
	Checks    []Check
	Readings  []Reading
}

// Check is one thing to look at, with what may be found there.
type Check struct {
	ID, Ask  string
	Part     string // where to look, for a heading; empty: none
	Critical bool   // the check that kills: asked alone
	Required bool
	Clear    string // the clear state in words; a critical check always has one
	When     When
	Findings []Finding
	Origin   Origin
}

// Origin is the block that a step was taken from, the step's name there, and the part that the block was taken for. It is
// empty where the flow wrote the step itself. No verdict depends on it.
type Origin struct{ Block, Step, Part string }

// Finding is what is wrong at a check. A cosmetic finding has the verdict Fit and no reason.
type Finding struct {
	ID, Label      string
	Verdict        Verdict
	Because, Basis string
}

// Reading is a measured value. The worst of its repeats is judged, moved by the doubt against the item.
type Reading struct {
	ID, Ask  string
	Unit     Unit
	Harm     Harm
	Repeat   int
	Doubt    Number // the least doubt this reading can have, whatever the instrument; same unit
	Required bool   // false: asked where the sheet has something to hold it against
	// Published says that a published limit counts as one where the sheet gives none, as it does for connectors.
	Published bool
	When      When
	// New says what the value was before wear: a sheet figure, or a fixed value such as 0 for a groove.
	New *Point
	// Low and High bound what a person can have meant. Both zero: no bounds declared.
	Low, High Number
	Limits    []Limit
	Origin    Origin
	Basis     string // of the rules that follow from New: loss without a limit, nothing to compare with
}

// Harm is the direction in which a reading gets worse.
type Harm string

// A groove harms as it grows; a wear pin as it shrinks.
const (
	HarmUp   Harm = "up"
	HarmDown Harm = "down"
)

// Limit is a point at which a reading has a verdict. Equal counts as beyond.
type Limit struct {
	At             Point
	Verdict        Verdict
	Because, Basis string
}

// Point is a fixed value, or a share of a sheet figure.
type Point struct {
	Figure  string // empty: Value holds
	Percent Number // of the figure; 100 when the whole figure is meant
	Value   Number
}

// Value is something to be read or counted off the item that can't be answered without it in the hand.
type Value struct {
	ID, Ask string
	Kind    ValueKind
	// Match names what the answer must agree with: "serial" (the register's serial, else batch, else mark), "made" (the
	// register's year of make) or "sheet FIGURE". Empty: recorded only.
	Match     string
	Unit      Unit // for numbers
	Low, High Number
	Cut       bool // a length in metres of what may be cut into shorter ones, each an item of its own
	Required  bool // false: a control question, asked when chance picks it
	Because   string
	Basis     string
	When      When
}

// ValueKind says what form a value's answer has.
type ValueKind string

const (
	ValueMatch ValueKind = "match" // must agree with the register or the sheet
	ValueNote  ValueKind = "note"  // words, or a number when it has a unit
	ValuePhoto ValueKind = "photo"
)

// When opens a step. The zero value is always open. Found opens on any of the findings named CHECK.FINDING;
// Facts opens while the fact is one of those named FACT.CHOICE or has no answer.
type When struct {
	Found []string
	Facts []string
	Text  string // for people
}

// Together is a rule over several findings or limits. There is no "not", so more findings never soften it.
type Together struct {
	ID             string
	Least          int      // how many of Of must be there; len(Of) for all, 1 for any
	How            string   // "all", "any" or "at_least", as written
	Of             []string // rule ids: CHECK.FINDING, READING.VERDICT.N
	Verdict        Verdict
	Because, Basis string
}

// Step says where an id stands: SECTION.ID. Exactly one of the three pointers is set.
type Step struct {
	Name    string
	Section *Section
	Value   *Value
	Check   *Check
	Reading *Reading
}

// Steps lists every step of the flow in the order of asking. The list is not to be changed.
func (f *Flow) Steps() []Step {
	if f.steps != nil {
		return f.steps
	}
	return f.listSteps()
}

func (f *Flow) listSteps() []Step {
	var steps []Step
	for i := range f.Sections {
		steps = append(steps, f.Sections[i].steps()...)
	}
	return steps
}

func (s *Section) steps() []Step {
	var steps []Step
	checks := func(critical bool) {
		for i := range s.Checks {
			if c := &s.Checks[i]; c.Critical == critical {
				steps = append(steps, Step{Name: s.ID + "." + c.ID, Section: s, Check: c})
			}
		}
	}
	values := func(match bool) {
		for i := range s.Values {
			if v := &s.Values[i]; (v.Kind == ValueMatch) == match {
				steps = append(steps, Step{Name: s.ID + "." + v.ID, Section: s, Value: v})
			}
		}
	}
	checks(true)
	values(true)
	checks(false)
	for i := range s.Readings {
		steps = append(steps, Step{Name: s.ID + "." + s.Readings[i].ID, Section: s, Reading: &s.Readings[i]})
	}
	values(false)
	return steps
}

// Step finds a step by its name SECTION.ID.
func (f *Flow) Step(name string) (Step, bool) {
	for _, s := range f.Steps() {
		if s.Name == name {
			return s, true
		}
	}
	return Step{}, false
}

// Finding finds a finding of this check by id.
func (c *Check) Finding(id string) (Finding, bool) {
	for _, f := range c.Findings {
		if f.ID == id {
			return f, true
		}
	}
	return Finding{}, false
}

// Cut is the step that says how long an item of this family is, in metres, where it may be cut into shorter ones; false
// where it may not.
func (f *Flow) Cut() (step string, may bool) {
	for _, s := range f.Steps() {
		if s.Value != nil && s.Value.Cut {
			return s.Name, true
		}
	}
	return "", false
}

// Figure finds a figure by id.
func (f *Flow) Figure(id string) (Figure, bool) {
	for _, g := range f.Figures {
		if g.ID == id {
			return g, true
		}
	}
	return Figure{}, false
}

// Fact finds a fact by id.
func (f *Flow) Fact(id string) (Fact, bool) {
	for _, g := range f.Facts {
		if g.ID == id {
			return g, true
		}
	}
	return Fact{}, false
}
