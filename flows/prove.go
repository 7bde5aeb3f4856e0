package flows

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"becket/flows/due"
)

// What is more than anybody inspects, or answers, in one piece.
const (
	maxSteps   = 300
	maxRules   = 300
	maxChoices = 100 // of all facts
)

// proof holds a flow against all that must be true before anybody relies on it.
type proof struct {
	*reporter
	flow     *Flow
	at       places
	steps    []Step
	checks   map[string]*Check
	verdicts map[string]Verdict // of every CHECK.FINDING and READING.VERDICT.N
}

// prove turns a flow's source into the flow and reports all that is wrong with it.
func prove(r *reporter, source *sourceFlow) *Flow {
	c := compiler{reporter: r, at: places{}}
	p := proof{reporter: r, flow: c.flow(source), at: c.at, checks: map[string]*Check{}, verdicts: map[string]Verdict{}}
	p.flow.steps = p.flow.listSteps()
	p.steps = p.flow.steps
	if p.tooLong() {
		return p.flow
	}
	p.collect()
	for _, f := range p.flow.Facts {
		p.fact(f)
	}
	for _, step := range p.steps {
		p.when(step)
		switch {
		case step.Check != nil:
			p.check(step.Check)
		case step.Reading != nil:
			p.reading(step.Reading)
		default:
			p.value(step.Value)
		}
	}
	p.openings()
	p.beforeUse()
	for _, t := range p.flow.Together {
		p.together(t)
	}
	if len(r.problems) == 0 {
		p.onlyThroughAll()
	}
	return p.flow
}

// tooLong keeps the proof of a text that nobody wrote by hand from taking for ever.
func (p *proof) tooLong() bool {
	choices := 0
	for _, f := range p.flow.Facts {
		choices += len(f.Choices)
	}
	for _, part := range []struct {
		what       string
		there, max int
	}{{"steps", len(p.steps), maxSteps}, {"rules under together", len(p.flow.Together), maxRules}, {"choices of facts", choices, maxChoices}} {
		if part.there > part.max {
			p.report(p.at[""], fmt.Sprintf("this flow has %d %s", part.there, part.what), fmt.Sprintf("make two flows of it: more than %d is too much for one piece", part.max))
			return true
		}
	}
	return false
}

func (p *proof) collect() {
	for _, step := range p.steps {
		switch {
		case step.Check != nil:
			p.checks[step.Check.ID] = step.Check
			for _, f := range step.Check.Findings {
				p.verdicts[step.Check.ID+"."+f.ID] = f.Verdict
			}
		case step.Reading != nil:
			for i, rule := range step.Reading.rules() {
				p.verdicts[rule] = step.Reading.Limits[i].Verdict
			}
		}
	}
}

// rules names a reading's limits READING.VERDICT.N, in their order.
func (r *Reading) rules() []string {
	nth := map[Verdict]int{}
	names := make([]string, len(r.Limits))
	for i, l := range r.Limits {
		nth[l.Verdict]++
		names[i] = fmt.Sprintf("%s.%s.%d", r.ID, l.Verdict, nth[l.Verdict])
	}
	return names
}

func (p *proof) fact(f Fact) {
	if len(f.Choices) < 2 {
		p.report(p.at[atFact(f.ID)], fmt.Sprintf("the fact %q leaves nothing to choose", f.ID), "give it two choices or more, each with a label")
	}
}

func (p *proof) check(c *Check) {
	if len(c.Findings) == 0 {
		p.report(p.at[c.ID], fmt.Sprintf("the check %q finds nothing", c.ID), "add what may be found there under find:")
		return
	}
	if !c.Critical {
		return
	}
	at := p.at[c.ID]
	if c.Clear == "" {
		p.report(at, fmt.Sprintf("the critical check %q has no clear state in words", c.ID), "add clear: with what a good one is like")
	}
	if len(c.Findings) < 3 {
		p.report(at, fmt.Sprintf("the critical check %q offers %d findings", c.ID, len(c.Findings)), "add some: it takes three or more, or people answer it like yes and no")
	}
	if !slices.ContainsFunc(c.Findings, func(f Finding) bool { return f.Verdict.Holds() }) {
		p.report(at, fmt.Sprintf("no finding of the critical check %q takes the item out of use", c.ID), "give the worst one quarantine: or retire:, or take critical out")
	}
	if len(c.When.Found) > 0 {
		p.report(p.at[atWhen(c.ID, c.When.Found[0])], fmt.Sprintf("the critical check %q would be asked only after a finding", c.ID), "ask it always, or open it by a fact")
	}
}

// when reports openings by what isn't there.
func (p *proof) when(step Step) {
	for _, id := range step.when().Found {
		p.finding(id, p.at[atWhen(step.ID(), id)])
	}
	for _, id := range step.when().Facts {
		p.choice(id, p.at[atWhen(step.ID(), id)])
	}
}

func (p *proof) finding(id string, at place) {
	name, finding, _ := strings.Cut(id, ".")
	c, ok := p.checks[name]
	if !ok {
		var names []string
		for _, step := range p.steps {
			if step.Check != nil {
				names = append(names, step.Check.ID)
			}
		}
		p.report(at, fmt.Sprintf("there is no check %q", clipped(name)), instead(name, names))
		return
	}
	if _, ok := c.Finding(finding); !ok {
		var names []string
		for _, f := range c.Findings {
			names = append(names, f.ID)
		}
		p.report(at, fmt.Sprintf("the check %q has no finding %q", name, clipped(finding)), instead(finding, names))
	}
}

func (p *proof) choice(id string, at place) {
	name, choice, _ := strings.Cut(id, ".")
	fact, ok := p.flow.Fact(name)
	if !ok {
		var names []string
		for _, f := range p.flow.Facts {
			names = append(names, f.ID)
		}
		p.report(at, fmt.Sprintf("there is no fact %q", clipped(name)), instead(name, names))
		return
	}
	var names []string
	for _, c := range fact.Choices {
		names = append(names, c.ID)
	}
	if !slices.Contains(names, choice) {
		p.report(at, fmt.Sprintf("the fact %q has no choice %q", name, clipped(choice)), instead(choice, names))
	}
}

// figure reports a sheet figure that isn't there or has another unit.
func (p *proof) figure(id string, unit Unit, at place) {
	figure, ok := p.flow.Figure(id)
	switch {
	case !ok:
		var names []string
		for _, f := range p.flow.Figures {
			names = append(names, f.ID)
		}
		p.report(at, fmt.Sprintf("there is no figure %q under sheet", clipped(id)), instead(id, names))
	case unit != "" && figure.Unit != "" && figure.Unit != unit:
		p.report(at, fmt.Sprintf("the figure %q is in %s, and this is in %s", id, figure.Unit, unit), "give both the same unit")
	}
}

func (p *proof) value(v *Value) {
	id, ok := strings.CutPrefix(v.Match, sheetWord+" ")
	if !ok {
		return
	}
	p.figure(id, v.Unit, p.at[atFigure(v.ID, "match")])
	if figure, ok := p.flow.Figure(id); ok {
		v.Unit = figure.Unit
	}
}

func (p *proof) reading(r *Reading) {
	if r.New != nil && r.New.Figure != "" {
		p.figure(r.New.Figure, r.Unit, p.at[atFigure(r.ID, "new")])
	}
	for i, rule := range r.rules() {
		if figure := r.Limits[i].At.Figure; figure != "" {
			p.figure(figure, r.Unit, p.at[atLimit(rule)])
		}
	}
	doubt := p.at[atFigure(r.ID, "doubt")]
	switch {
	case r.Doubt.Sign() < 0:
		p.report(doubt, "a doubt is never below nothing", "write how far such a reading may be off, without a sign")
	case r.bounded() && !r.Doubt.Less(r.High.Sub(r.Low)):
		p.report(doubt, fmt.Sprintf("with a doubt of %s all between %s and %s is the same", r.Doubt, r.Low, r.High), "write a smaller doubt, or a wider range under plausible:")
	}
	p.newIsPlausible(r)
	p.limits(r)
}

func (r *Reading) bounded() bool { return r.Low.Cmp(r.High) != 0 }

func (p *proof) newIsPlausible(r *Reading) {
	if r.New == nil || r.New.Figure != "" || !r.bounded() {
		return
	}
	if r.New.Value.Less(r.Low) || r.High.Less(r.New.Value) {
		p.report(p.at[atFigure(r.ID, "new")], fmt.Sprintf("a new one would have %s, which is not between %s and %s", r.New.Value, r.Low, r.High), "widen plausible:, or mend new:")
	}
}

// limits reports limits that a new one has reached, that nobody could reach, and that add nothing because a
// verdict at least as strict comes no later.
func (p *proof) limits(r *Reading) {
	rules := r.rules()
	for i, l := range r.Limits {
		if l.Verdict == Incomplete {
			continue
		}
		at := p.at[atLimit(rules[i])]
		if r.atNew(l.At) {
			p.report(at, fmt.Sprintf("a new one would be %s already", l.Verdict.ofItem()), "mend this point, or harm:, or new:")
			continue
		}
		if l.At.Figure == "" && r.bounded() && (l.At.Value.Less(r.Low) || r.High.Less(l.At.Value)) {
			p.report(at, fmt.Sprintf("%s is not between %s and %s, so this can never come true", l.At.Value, r.Low, r.High), "widen plausible:, or mend this point")
			continue
		}
		for j, m := range r.Limits {
			if i == j || m.Verdict < l.Verdict || m.Verdict == Incomplete || !r.noLater(m.At, l.At) {
				continue
			}
			same := m.Verdict == l.Verdict && r.noLater(l.At, m.At)
			switch {
			case same && j < i:
				p.report(at, fmt.Sprintf("%s stands at this point already", rules[j]), "take one of the two out")
			case same:
				continue
			case m.Verdict == l.Verdict:
				p.report(at, fmt.Sprintf("%s comes first with the same verdict, so this adds nothing", rules[j]), "take it out, or give it a stricter verdict")
			default:
				p.report(at, fmt.Sprintf("the limits are out of order: %s comes no later and is stricter, so this adds nothing", rules[j]), fmt.Sprintf("put %s before %s, on the side of a new one", l.Verdict, m.Verdict))
			}
			break
		}
	}
}

// ofItem is what a verdict makes of an item, in words.
func (v Verdict) ofItem() string {
	return map[Verdict]string{Watch: "watched", Quarantine: "in quarantine", Retire: "retired"}[v]
}

// scale puts a point beside others of its kind: fixed values, or shares of the same figure.
func (p Point) scale() (string, Number) {
	if p.Figure == "" {
		return "", p.Value
	}
	return p.Figure, p.Percent
}

// noLater tells whether wear reaches a no later than b, where that can be known without a sheet.
func (r *Reading) noLater(a, b Point) bool {
	kindA, valueA := a.scale()
	kindB, valueB := b.scale()
	return kindA == kindB && !r.worse(valueA, valueB)
}

// atNew tells whether a new one is at a point already, where that can be known without a sheet.
func (r *Reading) atNew(at Point) bool {
	return r.New != nil && r.noLater(at, *r.New)
}

// openings reports steps that can never be asked: those that wait for each other, and those that wait for one
// that waits for ever. What is open can only grow, so going round until nothing opens finds all.
func (p *proof) openings() {
	open := map[string]bool{}
	for grew := true; grew; {
		grew = false
		for _, step := range p.steps {
			if !open[step.ID()] && p.canOpen(step.when(), open) {
				open[step.ID()], grew = true, true
			}
		}
	}
	for _, step := range p.steps {
		if w := step.when(); !open[step.ID()] && p.allKnown(w) {
			p.report(p.at[atWhen(step.ID(), w.Found[0])], fmt.Sprintf("%q can never be asked, since it waits for what waits for it", step.ID()), "open one of them by a fact, or always")
		}
	}
}

func (p *proof) canOpen(w When, open map[string]bool) bool {
	if len(w.Found) == 0 {
		return true
	}
	return len(w.Facts) > 0 || slices.ContainsFunc(w.Found, func(id string) bool {
		check, _, _ := strings.Cut(id, ".")
		return open[check]
	})
}

// allKnown tells whether an opening names nothing that isn't there, which is a mistake of its own.
func (p *proof) allKnown(w When) bool {
	return !slices.ContainsFunc(w.Found, func(id string) bool { _, ok := p.verdicts[id]; return !ok })
}

func (p *proof) together(t Together) {
	known := true
	for _, id := range t.Of {
		at := p.at[atPart(t.ID, id)]
		own, ok := p.verdicts[id]
		switch {
		case !ok:
			known = false
			p.unknownPart(id, at)
		case t.Verdict != Incomplete && own >= t.Verdict:
			p.report(at, fmt.Sprintf("%s alone is %s already, so the rule %q adds nothing to it", id, own, t.ID), "take it out, or give the rule a stricter verdict")
		}
	}
	if known && t.How != "" && t.Least > 0 && t.Least <= len(t.Of) {
		p.canFire(t)
	}
}

func (p *proof) unknownPart(id string, at place) {
	step, _, _ := strings.Cut(id, ".")
	var names []string
	for _, s := range p.steps {
		switch {
		case s.ID() != step:
		case s.Check != nil:
			p.finding(id, at)
			return
		case s.Reading != nil:
			names = s.Reading.rules()
			p.report(at, fmt.Sprintf("the reading %q has no limit %q", step, clipped(id)), instead(id, names))
			return
		}
		names = append(names, s.ID())
	}
	p.report(at, fmt.Sprintf("there is no check or reading %q", clipped(step)), instead(step, names))
}

// maxAnswers bounds the combinations of facts that are tried for one rule.
const maxAnswers = 256

// canFire reports a rule whose parts are never there together, because the facts that open one close another.
func (p *proof) canFire(t Together) {
	answers := []map[string]string{{}}
	for _, fact := range p.factsOf(t) {
		var more []map[string]string
		for _, a := range answers {
			for _, c := range fact.Choices {
				with := map[string]string{fact.ID: c.ID}
				maps.Copy(with, a)
				more = append(more, with)
			}
		}
		if len(more) > maxAnswers {
			return
		}
		answers = more
	}
	for _, facts := range answers {
		open := p.openWith(facts)
		there := 0
		for _, id := range t.Of {
			if step, _, _ := strings.Cut(id, "."); open[step] {
				there++
			}
		}
		if there >= t.Least {
			return
		}
	}
	p.report(p.at[atTogether(t.ID)], fmt.Sprintf("the rule %q can never come true: whatever the facts, too few of its parts are asked", t.ID), "take parts out, or write two rules")
}

// factsOf lists the facts on which a rule's parts hang, directly or through what opens them.
func (p *proof) factsOf(t Together) []Fact {
	hangs, seen := map[string]bool{}, map[string]bool{}
	byID := map[string]Step{}
	for _, s := range p.steps {
		byID[s.ID()] = s
	}
	var follow func(id string)
	follow = func(id string) {
		if seen[id] {
			return
		}
		seen[id] = true
		s, ok := byID[id]
		if !ok {
			return
		}
		for _, f := range s.when().Facts {
			fact, _, _ := strings.Cut(f, ".")
			hangs[fact] = true
		}
		for _, f := range s.when().Found {
			check, _, _ := strings.Cut(f, ".")
			follow(check)
		}
	}
	for _, id := range t.Of {
		step, _, _ := strings.Cut(id, ".")
		follow(step)
	}
	return slices.DeleteFunc(slices.Clone(p.flow.Facts), func(f Fact) bool { return !hangs[f.ID] })
}

// openWith is what can be asked with these facts, whatever is found.
func (p *proof) openWith(facts map[string]string) map[string]bool {
	open := map[string]bool{}
	for grew := true; grew; {
		grew = false
		for _, s := range p.steps {
			w := s.when()
			byFinding := slices.ContainsFunc(w.Found, func(id string) bool {
				check, _, _ := strings.Cut(id, ".")
				return open[check]
			})
			if !open[s.ID()] && (byFinding || When{Facts: w.Facts, Found: w.Found}.open(facts, nil)) {
				open[s.ID()], grew = true, true
			}
		}
	}
	return open
}

// onlyThroughAll judges the flow itself: with everything clear it comes out fit, for each choice of each fact,
// and without any one of the required answers it may not be used.
func (p *proof) onlyThroughAll() {
	first := map[string]string{}
	for _, f := range p.flow.Facts {
		first[f.ID] = f.Choices[0].ID
	}
	needed := map[string]bool{} // steps that are proved to be needed
	if !p.throughAll(first, needed) {
		return
	}
	for _, f := range p.flow.Facts {
		for _, c := range f.Choices[1:] {
			facts := maps.Clone(first)
			facts[f.ID] = c.ID
			if !p.throughAll(facts, needed) {
				return
			}
		}
	}
}

func (p *proof) throughAll(facts map[string]string, needed map[string]bool) bool {
	d, err := p.flow.ClearWith(facts)
	if err != nil {
		p.report(p.at[""], "nothing can come out fit: "+err.Error(), "look for a limit that a new one reaches, or a figure that is asked for twice")
		return false
	}
	full := p.flow.Start(Start{Item: d.Item.Item, Day: anyDay(), Facts: facts, Sheet: d.Sheet, Doubt: d.Instrument.Doubt})
	for _, step := range p.steps {
		if given, ok := d.Answers[step.Name]; ok {
			a, _ := step.given(given) // ClearWith has judged this very document
			full = full.with(a)
		}
	}
	for _, step := range p.steps {
		if _, asked := d.Answers[step.Name]; !asked || !step.required() || needed[step.Name] {
			continue
		}
		needed[step.Name] = true
		if o := Judge(p.flow, full.without(step.Name)); o.Verdict.Usable() {
			p.report(p.at[step.ID()], fmt.Sprintf("an item comes out %s without %q", o.Verdict, step.Name), "see that it is required")
			return false
		}
	}
	return true
}

// anyDay is a day of examination for an item without dates.
func anyDay() due.Date { return due.Date{Year: 2026, Month: 1, Day: 1} }

// without is the state as if a step had never been answered.
func (s State) without(step string) State {
	s.answers = slices.DeleteFunc(slices.Clone(s.answers), func(a Answer) bool { return a.Step == step })
	return s
}
