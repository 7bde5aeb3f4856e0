package flows

import (
	"fmt"
	"slices"
	"strings"
)

// takenBlock is a block that a flow took, as it was read.
type takenBlock struct {
	name   string
	script script
}

// loadOwn is load for a flow out of a folder, where it is also held against what it builds on: the flow that it is based on,
// and blocks that have the name of one of the library's. What a record has kept isn't held against anything: it was when it
// was written.
func loadOwn(file string, text []byte, blocks readOnce) (*Flow, Problems) {
	f, problems := load(file, text, blocks)
	if f == nil {
		return nil, problems
	}
	r := &reporter{}
	if f.BasedOn != "" {
		r.basedOn(f)
	}
	for _, t := range f.taken {
		r.ownBlock(t, f.BasedOn != "")
	}
	if len(r.problems) > 0 {
		return nil, r.sorted()
	}
	return f, nil
}

func (r *reporter) basedOn(f *Flow) {
	name := libraryFolder + "/" + f.BasedOn + ".yaml"
	text, err := library.ReadFile(name)
	if err != nil {
		r.report(f.at[atBase], fmt.Sprintf("Becket has no flow %q", f.BasedOn), instead(f.BasedOn, libraryNames()))
		return
	}
	base, problems := load(name, text, onceEach(builtIn()))
	if base == nil {
		r.problems = append(r.problems, problems...)
		return
	}
	r.milder(f, base)
}

func libraryNames() []string {
	var names []string
	for _, file := range (folder{LibraryFiles(), "", libraryFolder}).flowFiles(&reporter{}) {
		names = append(names, strings.TrimSuffix(file, ".yaml"))
	}
	return names
}

// ownBlock holds a block against the library's of the same name, each in a flow that takes nothing else. A block that waits
// for steps of its flow is held with the whole flow, where that is based on one, and else refused.
func (r *reporter) ownBlock(t takenBlock, withFlow bool) {
	was, ok := builtIn().block(t.name)
	if !ok || was.text == t.script.text {
		return
	}
	alone := func(form string, blocks shelf) (*Flow, Problems) {
		head := "flow: alone\nrevision: 1\ntitle: Alone\nbasis: b\nsections:\n"
		return load(t.script.file, []byte(head+fmt.Sprintf(form, t.name)), onceEach(blocks))
	}
	for _, form := range []string{"- {block: %s, part: it}\n", "- section: it\n  checks:\n  - {block: %s, part: it}\n"} {
		base, _ := alone(form, builtIn())
		if base == nil {
			continue
		}
		own, problems := alone(form, merged{single(t), builtIn()})
		if own == nil {
			r.problems = append(r.problems, problems...)
			return
		}
		base.ID = "Becket's block " + t.name
		r.milder(own, base)
		return
	}
	if !withFlow {
		r.report(place{file: t.script.file, line: t.script.line, col: 1},
			fmt.Sprintf("the block %q has the name of one of Becket's and can't be held against it", t.name), "give it another name, or say based_on: in the flow that takes it")
	}
}

// single is a shelf with one block.
type single takenBlock

func (s single) block(name string) (script, bool) { return s.script, name == s.name }
func (s single) names() []string                  { return []string{s.name} }

// milder reports all in which a flow could come out milder than the one it is based on, at its place in the flow: everything
// asked there is asked here, nothing found there is taken lighter, no limit stands further off. What is added can only make
// it stricter, since there is no "not".
func (r *reporter) milder(own, base *Flow) {
	b := basing{reporter: r, own: own, base: base}
	for _, fact := range base.Facts {
		b.fact(fact)
	}
	for _, step := range base.Steps() {
		b.step(step)
	}
	for _, t := range base.Together {
		b.together(t)
	}
	for _, id := range base.BeforeUse {
		if !slices.Contains(own.BeforeUse, id) {
			b.say(id, fmt.Sprintf("%s looks at %q before each use, and this doesn't", base.ID, id), "name it in the same list")
		}
	}
}

// basing holds a flow against its base.
type basing struct {
	*reporter
	own, base *Flow
}

// say reports at the place of a thing in the flow, or at the flow's head where the thing isn't there.
func (b *basing) say(thing, what, do string) {
	at, there := b.own.at[thing]
	if !there {
		at = b.own.at[""]
	}
	b.report(at, what, do)
}

// fact reports choices that the base doesn't know: what opens by one choice there would never open by another here.
func (b *basing) fact(was Fact) {
	now, ok := b.own.Fact(was.ID)
	if !ok {
		return // what it opened is open always, or step says so
	}
	for _, c := range now.Choices {
		if !slices.ContainsFunc(was.Choices, func(old Choice) bool { return old.ID == c.ID }) {
			b.say(atFact(was.ID), fmt.Sprintf("the fact %q has a choice %q that %s doesn't have", was.ID, c.ID, b.base.ID), "take the choice out, or give your own question another name")
		}
	}
}

func (b *basing) step(was Step) {
	now, ok := b.own.Step(was.Name)
	if !ok || (was.Check == nil) != (now.Check == nil) || (was.Reading == nil) != (now.Reading == nil) {
		b.say(was.ID(), fmt.Sprintf("%s asks %q, and this doesn't", b.base.ID, was.Name), "ask it here too, under the same names")
		return
	}
	if was.required() && !now.required() {
		b.say(was.ID(), fmt.Sprintf("%q may be left out here, and not in %s", was.Name, b.base.ID), "see that it is required")
	}
	if was.Section.OnRope != now.Section.OnRope {
		b.say(was.ID(), fmt.Sprintf("%q is on rope in only one of this and %s", was.Name, b.base.ID), "give its section the same on_rope:")
	}
	b.when(was, now)
	switch {
	case was.Check != nil:
		b.check(was.Check, now.Check)
	case was.Reading != nil:
		b.reading(was.Reading, now.Reading)
	default:
		b.value(was.Value, now.Value)
	}
}

func (b *basing) when(was, now Step) {
	old, own := was.when(), now.when()
	if len(own.Found)+len(own.Facts) == 0 {
		return
	}
	opens := append(slices.Clone(own.Found), own.Facts...)
	lacks := slices.ContainsFunc(append(slices.Clone(old.Found), old.Facts...), func(id string) bool { return !slices.Contains(opens, id) })
	if lacks || len(old.Found)+len(old.Facts) == 0 {
		b.say(was.ID(), fmt.Sprintf("%q is asked less often here than in %s", was.Name, b.base.ID), "open it by all that opens it there, or always")
	}
}

func (b *basing) check(was, now *Check) {
	if was.Critical && !now.Critical {
		b.say(was.ID, fmt.Sprintf("%q is critical in %s, and here it isn't", was.ID, b.base.ID), "write critical: yes")
	}
	for _, old := range was.Findings {
		if own, ok := now.Finding(old.ID); !ok && old.Verdict > Fit {
			b.say(was.ID, fmt.Sprintf("%s knows the finding %q here, and this doesn't", b.base.ID, old.ID), "keep it")
		} else if ok {
			b.verdict(was.ID+"."+old.ID, old.Verdict, own.Verdict)
		}
	}
	for _, own := range now.Findings {
		if _, old := was.Finding(own.ID); !old && own.Verdict <= Fit {
			b.say(was.ID+"."+own.ID, fmt.Sprintf("%q says nothing of the item, and %s doesn't know it: it could be chosen in place of what it knows", own.ID, b.base.ID), "give it a verdict, or take it out")
		}
	}
}

func (b *basing) verdict(rule string, was, now Verdict) {
	if now < was {
		b.say(rule, fmt.Sprintf("%s is %s in %s, and only %s here", rule, was, b.base.ID, now), fmt.Sprintf("give it %s: or stricter", was))
	}
}

func (b *basing) reading(was, now *Reading) {
	switch {
	case was.Unit != now.Unit || was.Harm != now.Harm:
		b.say(was.ID, fmt.Sprintf("%q is measured otherwise than in %s", was.ID, b.base.ID), "give it the same unit: and harm:")
		return
	case now.Repeat < was.Repeat:
		b.say(was.ID, fmt.Sprintf("%q is measured %d times in %s, and here %d", was.ID, was.Repeat, b.base.ID, now.Repeat), "write as many under repeat:, or more")
	case now.Doubt.Less(was.Doubt):
		b.say(was.ID, fmt.Sprintf("the doubt of %q is at least %s in %s, and here %s", was.ID, was.Doubt, b.base.ID, now.Doubt), "write as much under doubt:, or more")
	case now.Published && (!was.Published || now.fixed() && !was.fixed()):
		b.say(was.ID, fmt.Sprintf("published limits don't stand in for the maker's in %s, and here they do", b.base.ID), "take published out")
	case was.New != nil && (now.New == nil || was.New.words() != now.New.words()):
		b.say(was.ID, fmt.Sprintf("%q is held against something else when new than in %s", was.ID, b.base.ID), "write new: "+was.New.words())
	}
	rules := was.rules()
	for i, old := range was.Limits {
		strict := func(own Limit) bool { return own.Verdict >= old.Verdict && was.noLater(own.At, old.At) }
		if !slices.ContainsFunc(now.Limits, strict) {
			b.say(was.ID, fmt.Sprintf("%s has the limit %s at %s, and nothing here comes as early and is as strict", b.base.ID, rules[i], old.At.words()), fmt.Sprintf("add one with %s: at that point or before it", old.Verdict))
		}
	}
	for i, own := range now.Limits {
		if figure := own.At.Figure; figure != "" && !was.names(figure) {
			b.say(now.rules()[i], fmt.Sprintf("%s has no limit here by the figure %q, which could stand in for the maker's", b.base.ID, figure), "write a number, or a share of a figure that is named there")
		}
	}
}

// fixed tells whether a number by itself takes the item out of use.
func (r *Reading) fixed() bool {
	return slices.ContainsFunc(r.Limits, func(l Limit) bool { return l.At.Figure == "" && l.Verdict.Holds() })
}

// names tells whether a reading's limits or its new value name a figure.
func (r *Reading) names(figure string) bool {
	return r.New != nil && r.New.Figure == figure || slices.ContainsFunc(r.Limits, func(l Limit) bool { return l.At.Figure == figure })
}

func (b *basing) value(was, now *Value) {
	if was.Match != "" && was.Match != now.Match {
		b.say(was.ID, fmt.Sprintf("%q has to agree with %s in %s", was.ID, was.Match, b.base.ID), "write match: "+was.Match)
	}
}

func (b *basing) together(was Together) {
	i := slices.IndexFunc(b.own.Together, func(t Together) bool { return t.ID == was.ID })
	if i < 0 {
		b.say(atTogether(was.ID), fmt.Sprintf("%s has the rule %q, and this hasn't", b.base.ID, was.ID), "keep it")
		return
	}
	now := b.own.Together[i]
	b.verdict(was.ID, was.Verdict, now.Verdict)
	gone := slices.DeleteFunc(slices.Clone(was.Of), func(id string) bool { return slices.Contains(now.Of, id) })
	if len(gone) > 0 || now.Least > was.Least {
		b.say(atTogether(was.ID), fmt.Sprintf("the rule %q comes true less often here than in %s", was.ID, b.base.ID), "let it count all that it counts there"+inBrackets(gone)+", and ask for no more of them")
	}
}

func inBrackets(ids []string) string {
	if len(ids) == 0 {
		return ""
	}
	return " (" + strings.Join(ids, ", ") + ")"
}
