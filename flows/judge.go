package flows

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"becket/flows/due"
)

// Rule is one rule that applied: what it makes of the item, why, and on whose word.
type Rule struct {
	ID      string  `json:"id"` // CHECK.FINDING, READING.VERDICT.N, a together name, or one of the built-in ones
	Verdict Verdict `json:"verdict"`
	Because string  `json:"because"`
	Basis   string  `json:"basis"`
	// TakenBack marks what was found and then answered otherwise; it holds all the same.
	TakenBack bool `json:"taken_back,omitempty"`
}

// Outcome is what the rules make of a State. It can be derived again from the record at any time.
type Outcome struct {
	Inspection string    `json:"inspection,omitempty"`
	Item       string    `json:"item"`
	Verdict    Verdict   `json:"verdict"`
	NextDue    *due.Date `json:"next_due"`  // nil unless the item may be used
	LifeEnds   *due.Date `json:"life_ends"` // nil: no limited life, or not known
	Rules      []Rule    `json:"rules"`     // worst first, then in the flow's order; cosmetic findings are no rules
	Missing    []string  `json:"missing"`   // required steps without an answer
	Ignored    []string  `json:"ignored"`   // answers that could count for nothing: clear on rope while held, clear where nothing was asked
	// NotDone are the on-rope steps that a held item was spared. It can't be released until they are done.
	NotDone []string `json:"not_done,omitempty"`
	Flow    FlowRef  `json:"flow"`
}

// FlowRef names the edition of the flow that judged.
type FlowRef struct {
	ID       string `json:"id"`
	Revision int    `json:"revision"`
	Hash     string `json:"hash"`
}

// Held tells whether a rule takes the item out of use, complete or not.
func (o Outcome) Held() bool {
	return slices.ContainsFunc(o.Rules, func(r Rule) bool { return r.Verdict.Holds() })
}

// RetiredByLife tells whether nothing but the end of its life retires an item: nothing was found on it.
func RetiredByLife(o Outcome) bool {
	return slices.ContainsFunc(o.Rules, func(r Rule) bool { return r.ID == lifeOver }) &&
		!slices.ContainsFunc(o.Rules, func(r Rule) bool { return r.Verdict == Retire && r.ID != lifeOver })
}

// Worst is the strictest verdict of any rule; Fit where none applied.
func (o Outcome) Worst() Verdict {
	worst := Fit
	for _, r := range o.Rules {
		worst = max(worst, r.Verdict)
	}
	return worst
}

// Judge says what the rules make of an inspection. Worst wins: every rule only adds, so that more findings,
// worse readings and unknowns never soften the verdict.
func Judge(f *Flow, s State) Outcome { return judgeAll(f, s).outcome() }

func judgeAll(f *Flow, s State) *judging {
	j := newJudging(f, s)
	j.life()
	j.sheet()
	for _, step := range j.steps {
		j.step(step)
	}
	j.together()
	j.watchedThrice()
	j.readingsWatched()
	j.takenBack()
	j.places()
	j.account()
	return j
}

// judging is one run of Judge.
type judging struct {
	flow     *Flow
	state    State
	steps    []Step
	standing standing
	facts    map[string]string
	found    map[string]bool // ids of rules that the standing answers bring, and CHECK.FINDING of the cosmetic ones
	rules    []Rule
	short    []string // steps whose answer is there but not enough
	missing  []string
	ignored  []string
	notDone  []string
}

func newJudging(f *Flow, s State) *judging {
	standing := s.standing()
	j := &judging{
		flow: f, state: s, steps: f.facing(s.Past).Steps(), standing: standing, facts: s.facts(standing), found: map[string]bool{},
		missing: []string{}, ignored: []string{}, rules: []Rule{},
	}
	for _, step := range j.steps {
		if step.Check == nil {
			continue
		}
		a, _ := standing.of(step.Name)
		for _, id := range a.Findings {
			j.found[step.ID()+"."+id] = true
		}
	}
	return j
}

// unknownRule ends the id of the rule for a step that couldn't be told.
const unknownRule = ".unknown"

// Rules that were so before the first answer.
const (
	lifeUnknown      = "life.unknown"
	lifeOver         = "life.over"
	sheetUnconfirmed = "sheet.unconfirmed"
)

func (j *judging) life() {
	end := j.state.Item.Life().Ends()
	if end.Unknown {
		j.rule(lifeUnknown, Quarantine, becauseLifeUnknown, commonPractice)
	}
	if !end.Date.IsZero() && j.state.Day.After(end.Date) {
		j.rule(lifeOver, Retire, fmt.Sprintf(becauseLifeOver, end.Date.Words()), lifeBasis(end.Bound))
	}
}

// lifeBasis is on whose word a life ended.
func lifeBasis(bound string) string {
	switch bound {
	case due.BoundPrinted:
		return printedOnIt
	case due.BoundOwn:
		return ownRule
	}
	return modelSheet
}

func (j *judging) sheet() {
	if j.state.Unconfirmed != "" {
		j.rule(sheetUnconfirmed, Quarantine, fmt.Sprintf(becauseUnconfirmed, j.state.Unconfirmed), commonPractice)
	}
}

func (j *judging) rule(id string, v Verdict, because, basis string) {
	j.rules = append(j.rules, Rule{ID: id, Verdict: v, Because: because, Basis: basis})
}

// step judges one step's standing answer. What the answer leaves open is left to account.
func (j *judging) step(step Step) {
	a, given := j.standing.of(step.Name)
	if !given {
		return
	}
	rules, enough := j.answer(step, a)
	for _, r := range rules {
		j.found[r.ID] = true
	}
	j.rules = append(j.rules, rules...)
	if !enough {
		j.short = append(j.short, step.Name)
	}
}

// answer says which rules one answer brings, and whether it answers the step.
func (j *judging) answer(step Step, a Answer) (rules []Rule, enough bool) {
	if a.Unknown {
		return []Rule{{ID: step.ID() + unknownRule, Verdict: Quarantine, Because: becauseUntold, Basis: commonPractice}}, true
	}
	switch {
	case step.Check != nil:
		return step.Check.judge(a), true
	case step.Reading != nil:
		return step.Reading.judge(a.Readings, j.state)
	default:
		return step.Value.judge(a, j.state), true
	}
}

func (c *Check) judge(a Answer) []Rule {
	var rules []Rule
	for _, f := range c.Findings {
		if f.Verdict > Fit && slices.Contains(a.Findings, f.ID) {
			rules = append(rules, Rule{ID: c.ID + "." + f.ID, Verdict: f.Verdict, Because: f.Because, Basis: f.Basis})
		}
	}
	return rules
}

func (v *Value) judge(a Answer, s State) []Rule {
	if v.differs(a.Text, s) {
		return []Rule{{ID: v.ID + ".differs", Verdict: Quarantine, Because: v.Because, Basis: v.Basis}}
	}
	return nil
}

// expected is what a value has to agree with, where that is known.
func (v *Value) expected(s State) (string, bool) {
	if figure, ok := strings.CutPrefix(v.Match, "sheet "); ok {
		n, known := s.Sheet[figure]
		return n.String(), known
	}
	if v.Match == matchMade {
		return strconv.Itoa(s.Item.Made.Year), !s.Item.Made.IsZero()
	}
	if v.Match == matchSerial {
		own := cmp.Or(s.Item.Serial, s.Item.Batch, s.Item.Mark)
		return own, own != ""
	}
	return "", false
}

// The words of the register that a value can have to agree with.
const (
	matchSerial = "serial"
	matchMade   = "made"
)

// yearsIn are the years in full that stand in a text: "03/2022", "week 14 of 2022".
func yearsIn(text string) []string {
	return regexp.MustCompile(`(?:19|20)\d\d`).FindAllString(text, -1)
}

// differs tells whether what was read off an item isn't what it has to agree with: by its value for a figure, by its year for a
// date of make, by its letters and digits for a number that is stamped.
func (v *Value) differs(got string, s State) bool {
	want, known := v.expected(s)
	if !known {
		return false
	}
	if v.Match == matchMade {
		return !slices.Contains(yearsIn(got), want)
	}
	if v.Match != matchSerial {
		n, err := ParseNumber(got)
		return err != nil || !n.Equal(MustNumber(want))
	}
	return !SameMark(want, got)
}

// SameMark compares what was read off an item with the register: letters' case, spaces and dashes are how
// people write, not what is stamped.
func SameMark(want, got string) bool { return bareMark(want) == bareMark(got) }

func bareMark(text string) string {
	return strings.Map(func(r rune) rune {
		if strings.ContainsRune(" -–/.", r) {
			return -1
		}
		return unicode.ToLower(r)
	}, text)
}

// takenBack keeps what was found and then answered otherwise: it holds until somebody else releases the item.
// It opens no step, since nobody is asked about what isn't there any more.
func (j *judging) takenBack() {
	if len(j.state.answers) == len(j.standing.last) {
		return
	}
	stood, kept := map[string]bool{}, map[string]bool{}
	for n, a := range j.state.answers {
		replaces := stood[a.Step]
		stood[a.Step] = !a.Reopen
		if !replaces {
			continue
		}
		for _, r := range j.foundBefore(n) {
			if !r.Verdict.Holds() || j.found[r.ID] || kept[r.ID] || strings.HasSuffix(r.ID, unknownRule) {
				continue
			}
			kept[r.ID] = true
			r.Verdict, r.TakenBack = Quarantine, true
			r.Because += alsoTakenBack
			j.rules = append(j.rules, r)
		}
	}
}

// foundBefore are the rules of the answers that stood before the nth.
func (j *judging) foundBefore(n int) []Rule {
	then := newJudging(j.flow, j.state.upTo(n))
	for _, step := range then.steps {
		then.step(step)
	}
	then.together()
	return then.rules
}

func (j *judging) together() {
	for _, t := range j.flow.Together {
		there := 0
		for _, id := range t.Of {
			if j.found[id] {
				there++
			}
		}
		if there >= t.Least {
			j.rule(t.ID, t.Verdict, t.Because, t.Basis)
			j.found[t.ID] = true
		}
	}
}

// watchedThrice holds an item for what is found a third time running, whatever was said of the earlier ones: a
// watch without an end decides nothing.
func (j *judging) watchedThrice() {
	for _, p := range j.state.Past {
		if p.Verdict != Watch || p.Times < 2 {
			continue
		}
		for _, r := range j.rules {
			if r.Verdict == Watch && pastID(r.ID) == p.ID {
				j.rule(p.ID+againRule, Quarantine, becauseThreeTimes, commonPractice)
				break
			}
		}
	}
}

// readingsWatched holds an item for a reading that is watched a third time running, or that has grown so much since last
// time that it may be over before the next: somebody decides, and not the calendar. That wear goes on slowly is what a
// watch is for.
func (j *judging) readingsWatched() {
	for _, step := range j.steps {
		if step.Reading == nil || j.state.Watched[step.ID()] == 0 || !j.watches(step.Reading) {
			continue
		}
		a, _ := j.standing.of(step.Name)
		switch {
		case j.state.Watched[step.ID()] >= 2:
			j.rule(step.ID()+againRule, Quarantine, becauseThreeTimes, commonPractice)
		case step.Reading.outgrows(a.Readings, j.state):
			j.rule(step.ID()+grownRule, Quarantine, becauseOutgrown, commonPractice)
		}
	}
}

// Rules for what is watched too long, or has grown.
const (
	againRule = ".again"
	grownRule = ".grown"
)

// watches tells whether a limit of a reading watches the item now.
func (j *judging) watches(r *Reading) bool {
	return slices.ContainsFunc(j.rules, func(rule Rule) bool {
		return rule.Verdict == Watch && strings.HasPrefix(rule.ID, r.ID+".watch.")
	})
}

// places holds an item when something is to be watched and nobody could say where it is.
func (j *judging) places() {
	for _, a := range j.state.answers {
		if last, _ := j.standing.of(a.Step); strings.HasPrefix(a.Step, placePrefix) && last.Unknown {
			j.rule(strings.TrimPrefix(a.Step, closingSection+"."), Quarantine, becauseNoPlace, commonPractice)
			return
		}
	}
}

// account lists what is missing and what could count for nothing.
func (j *judging) account() {
	held := slices.ContainsFunc(j.rules, func(r Rule) bool { return r.Verdict.Holds() })
	for _, step := range j.steps {
		a, given := j.standing.of(step.Name)
		open := j.state.opens(step, j.facts, j.found)
		spared := step.Section.OnRope && held
		switch {
		case given && a.Clear && (spared || !open):
			j.ignored = append(j.ignored, step.Name)
			if spared && open {
				j.notDone = append(j.notDone, step.Name)
			}
		case !open, given && !slices.Contains(j.short, step.Name):
		case spared && step.required():
			j.notDone = append(j.notDone, step.Name)
		case !spared && (step.required() || given):
			j.missing = append(j.missing, step.Name)
		}
	}
}

func (j *judging) outcome() Outcome {
	o := Outcome{
		Item: j.state.Item.Mark, Rules: j.rules, Missing: j.missing, Ignored: j.ignored, NotDone: j.notDone,
		Flow: FlowRef{ID: j.flow.ID, Revision: j.flow.Revision, Hash: j.flow.Hash},
	}
	slices.SortStableFunc(o.Rules, func(a, b Rule) int { return cmp.Compare(b.Verdict, a.Verdict) })
	o.Verdict = o.Worst()
	if len(o.Missing) > 0 && o.Verdict != Retire {
		o.Verdict = Incomplete
	}
	if end := j.state.Item.Life().Ends(); !end.Date.IsZero() {
		o.LifeEnds = &end.Date
	}
	o.NextDue = nextDue(o.Verdict, j.state, o.LifeEnds)
	return o
}

// nextDue is the earlier of the interval's end and the life's; half the interval where something is watched.
func nextDue(v Verdict, s State, lifeEnds *due.Date) *due.Date {
	if !v.Usable() {
		return nil
	}
	next := due.Next(s.Day, s.Item.Months())
	if v == Watch {
		next = due.Half(s.Day, s.Item.Months())
	}
	if lifeEnds != nil && lifeEnds.Before(next) {
		next = *lifeEnds
	}
	return &next
}
