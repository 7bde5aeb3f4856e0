package flows

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// places remembers where each thing of a flow was written, by the names that the functions below give.
type places map[string]place

func atLimit(rule string) string        { return "point of " + rule }
func atWhen(step, text string) string   { return "when of " + step + ": " + text }
func atPart(rule, item string) string   { return "part of " + rule + ": " + item }
func atFigure(step, what string) string { return what + " of " + step }
func atFact(id string) string           { return "fact " + id }
func atTogether(id string) string       { return "rule " + id }
func atSection(id string) string        { return "section " + id }

const atBase = "based on"

// compiler turns a flow's source into a Flow. It emits one thing for each that was written, even a broken one,
// and says nothing of what decoder has found missing.
type compiler struct {
	*reporter
	at   places
	bare []word // rules without a basis
}

func (c *compiler) flow(s *sourceFlow) *Flow {
	f := &Flow{Title: s.Title.Text}
	f.ID = c.name(s.Flow, "a flow's name", isFlowID, "write lower-case letters, digits and hyphens, a letter first")
	f.Revision = c.whole(s.Revision, "revision", 1, 1_000_000)
	c.at[""] = s.at
	f.BasedOn = c.name(s.BasedOn, "a flow's name", isFlowID, "write the name of one of Becket's own flows")
	c.at[atBase] = s.BasedOn.at
	for _, e := range s.Sheet {
		f.Figures = append(f.Figures, c.figure(e))
	}
	for _, e := range s.Facts {
		f.Facts = append(f.Facts, c.fact(e))
	}
	for _, section := range s.Sections {
		f.Sections = append(f.Sections, c.section(section, s.Basis))
	}
	for _, t := range s.Together {
		f.Together = append(f.Together, c.together(t, s.Basis))
	}
	for _, w := range s.BeforeUse {
		f.BeforeUse = append(f.BeforeUse, w.Text)
		c.at[atBeforeUse(w.Text)] = w.at
	}
	c.reportBare()
	f.wordWhens()
	f.at = c.at
	return f
}

func (c *compiler) figure(e entry[sourceFigure]) Figure {
	return Figure{ID: c.id(e.Key), Unit: c.unit(e.Value.Unit), Ask: e.Value.Ask.Text}
}

func (c *compiler) fact(e entry[sourceFact]) Fact {
	fact := Fact{ID: c.id(e.Key), Ask: e.Value.Ask.Text}
	c.at[atFact(fact.ID)] = e.Key.at
	for _, choice := range e.Value.Choices {
		fact.Choices = append(fact.Choices, Choice{ID: c.id(choice.Key), Label: choice.Value.Text})
		if choice.Key.Text == unknownWord {
			c.report(choice.Key.at, fmt.Sprintf("%q always means that a fact isn't known", unknownWord), "take this choice out: it needs no writing")
		}
	}
	return fact
}

func (c *compiler) section(s sourceSection, basis word) Section {
	out := Section{ID: c.id(s.Section), Title: s.Title.Text, OnRope: s.OnRope.or(false)}
	if out.Title == "" {
		out.Title = heading(out.ID)
	}
	if slices.Contains([]string{factSection, pastSection, closingSection}, out.ID) {
		c.report(s.Section.at, fmt.Sprintf("the name %q is taken by what Becket asks on its own", out.ID), "give this section another name")
	}
	c.unique(atSection(out.ID), s.Section, "section")
	basis = s.Basis.or(basis)
	for _, v := range s.Asks {
		out.Values = append(out.Values, c.value(v, basis))
	}
	for _, check := range s.Checks {
		out.Checks = append(out.Checks, c.check(check, basis))
	}
	for _, r := range s.Readings {
		out.Readings = append(out.Readings, c.reading(r, basis))
	}
	return out
}

// heading is an id as a heading: "on-rope" becomes "On rope".
func heading(id string) string {
	text := strings.NewReplacer("-", " ", "_", " ").Replace(id)
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + text[1:]
}

func (c *compiler) check(s sourceCheck, basis word) Check {
	out := Check{
		ID: c.step(s.Check), Ask: s.Ask.Text, Part: s.Part.Text, Critical: s.Critical.or(false), Required: s.Required.or(true),
		Clear: s.Clear.Text, When: c.when(s.Check, s.When), Origin: s.origin,
	}
	if out.Critical && !out.Required {
		c.report(s.Required.at, "the check that kills can't be left out", "write required: yes, or take critical out")
	}
	for _, e := range s.Find {
		out.Findings = append(out.Findings, c.finding(out.ID, e, s.Basis.or(basis)))
	}
	return out
}

func (c *compiler) finding(check string, e entry[sourceFinding], basis word) Finding {
	out := Finding{ID: c.id(e.Key), Label: e.Value.See.Text}
	if slices.Contains([]string{"clear", unknownWord}, out.ID) {
		c.report(e.Key.at, fmt.Sprintf("a finding can't be called %q, which is an answer of its own", out.ID), "give it another name")
	}
	c.at[check+"."+out.ID] = e.Key.at
	out.Verdict, out.Because = c.verdict(e.Value.sourceVerdict)
	if out.Verdict == Incomplete {
		out.Verdict = Fit
	}
	out.Basis = c.basis(e.Value.Basis.or(basis), word{Text: check + "." + out.ID, at: e.Key.at}, out.Verdict > Fit)
	return out
}

func (c *compiler) reading(s sourceReading, basis word) Reading {
	out := Reading{
		ID: c.step(s.Reading), Ask: s.Ask.Text, Unit: c.unit(s.Unit), Harm: c.harm(s.Harm), Repeat: 3, Required: s.Required.or(true),
		Published: s.Published.or(false), When: c.when(s.Reading, s.When), Origin: s.origin,
	}
	if s.Repeat.given() {
		out.Repeat = c.whole(s.Repeat, "repeat", 1, 9)
	}
	if s.Doubt.given() {
		out.Doubt = c.number(s.Doubt)
		c.at[atFigure(out.ID, "doubt")] = s.Doubt.at
	}
	if s.New.given() {
		p, ok := c.point(s.New)
		if ok && p.Figure != "" && !p.Percent.Equal(MustNumber("100")) {
			c.report(s.New.at, "what it was when new is no share of a figure", "write sheet FIGURE or a number")
		}
		out.New = &p
		c.at[atFigure(out.ID, "new")] = s.New.at
	}
	out.Low, out.High = c.between(s.Plausible)
	c.at[atFigure(out.ID, "plausible")] = s.Plausible.at
	basis = s.Basis.or(basis)
	nth := map[Verdict]int{}
	for _, l := range s.Limits {
		out.Limits = append(out.Limits, c.limit(out.ID, l, basis, nth))
	}
	out.Basis = c.basis(basis, word{Text: out.ID, at: s.Reading.at}, out.New != nil)
	return out
}

func (c *compiler) limit(reading string, s sourceLimit, basis word, nth map[Verdict]int) Limit {
	var out Limit
	out.At, _ = c.point(s.At)
	out.Verdict, out.Because = c.verdict(s.sourceVerdict)
	if out.Verdict == Incomplete {
		c.report(s.at, "this limit says nothing of what it means", "add watch:, quarantine: or retire: with the reason")
	}
	nth[out.Verdict]++
	rule := fmt.Sprintf("%s.%s.%d", reading, out.Verdict, nth[out.Verdict])
	c.at[rule] = s.at
	c.at[atLimit(rule)] = s.At.at
	out.Basis = c.basis(s.Basis.or(basis), word{Text: rule, at: s.at}, true)
	return out
}

func (c *compiler) value(s sourceValue, basis word) Value {
	out := Value{
		ID: c.step(s.Value), Ask: s.Ask.Text, Kind: ValueNote, Required: !s.Control.or(false), Because: s.Quarantine.Text,
		When: c.when(s.Value, s.When),
	}
	if s.Unit.given() {
		out.Unit = c.unit(s.Unit)
	}
	out.Low, out.High = c.between(s.Plausible)
	if s.Plausible.given() && !s.Unit.given() {
		c.report(s.Plausible.key, "what is plausible is asked of numbers only", "add unit:, or take this out")
	}
	if s.Kind.given() {
		out.Kind = ValueKind(c.oneOf(s.Kind, string(ValueNote), string(ValuePhoto)))
	}
	if s.Match.given() {
		c.match(&out, s)
	} else if s.Quarantine.given() {
		c.report(s.Quarantine.key, "nothing can fail to agree here, so this never comes true", "add match:, or take this out")
	}
	if out.Cut = s.Cut.or(false); out.Cut && out.Unit != "m" {
		c.report(s.Cut.at, "only a length in m can be cut", "write unit: m, or take this out")
	}
	out.Basis = c.basis(s.Basis.or(basis), word{Text: out.ID, at: s.Value.at}, s.Match.given())
	return out
}

func (c *compiler) match(out *Value, s sourceValue) {
	if s.Kind.given() {
		c.report(s.Kind.key, "what must agree with something is neither a note nor a photo", "take kind out, or take match out")
	}
	if !s.Quarantine.given() {
		c.report(s.Match.key, "nothing says what it means when this does not agree", "add quarantine: with the reason")
	}
	out.Kind, out.Match = ValueMatch, s.Match.Text
	if out.Match == matchMade {
		out.Kind = ValueNote // it is written in many ways; only its year is compared
	}
	c.at[atFigure(out.ID, "match")] = s.Match.at
	if figure, ok := strings.CutPrefix(out.Match, sheetWord+" "); ok {
		out.Match = sheetWord + " " + strings.TrimSpace(figure)
	} else if out.Match != matchSerial && out.Match != matchMade {
		c.report(s.Match.at, fmt.Sprintf("a value can't agree with %q", clipped(s.Match.Text)), "write match: serial, match: made, or match: sheet FIGURE")
	}
}

func (c *compiler) together(s sourceTogether, basis word) Together {
	out := Together{ID: c.id(s.Rule)}
	c.unique(atTogether(out.ID), s.Rule, "rule")
	var items []word
	given := 0
	for _, how := range []struct {
		name  string
		items []word
		least int
	}{{"all", s.All, len(s.All)}, {"any", s.Any, 1}, {"at_least", s.Of, 0}} {
		if len(how.items) > 0 {
			out.How, items, out.Least = how.name, how.items, how.least
			given++
		}
	}
	switch {
	case given != 1:
		c.report(s.at, "a rule names what it counts in exactly one way", "write all: [...], or any: [...], or at_least: with a number and of: [...]")
	case out.How == "at_least" && !s.AtLeast.given():
		c.report(s.at, `"of" is counted, and nothing says how many`, "add at_least: with a number, or write all: or any: instead of of:")
	case out.How != "at_least" && s.AtLeast.given():
		c.report(s.AtLeast.key, `"at_least" goes with "of"`, "take it out, or write of: instead of "+out.How+":")
	}
	if out.How == "at_least" && s.AtLeast.given() {
		out.Least = c.least(s.AtLeast, len(items))
	}
	for _, item := range items {
		if !item.given() {
			continue
		}
		if _, twice := c.at[atPart(out.ID, item.Text)]; twice {
			c.report(item.at, fmt.Sprintf("%q stands here twice, and can only be there once", clipped(item.Text)), "keep one of the two")
			continue
		}
		out.Of = append(out.Of, item.Text)
		c.at[atPart(out.ID, item.Text)] = item.at
	}
	out.Verdict, out.Because = c.verdict(s.sourceVerdict)
	if out.Verdict == Incomplete {
		c.report(s.at, "this rule says nothing of what it means", "add watch:, quarantine: or retire: with the reason")
	}
	out.Basis = c.basis(s.Basis.or(basis), word{Text: s.Rule.Text, at: s.at}, true)
	return out
}

func (c *compiler) least(w word, listed int) int {
	n := c.whole(w, "at_least", 0, 1000)
	switch {
	case n == 0:
	case n < 2:
		c.report(w.at, "at least one of them is the same as any", "write any: [...] instead of at_least and of")
	case n > listed:
		c.report(w.at, fmt.Sprintf("%d of %d can never be there", n, listed), "name more under of:, or write a smaller number")
	}
	return n
}

// verdict is the one verdict that is given, with its reason; Incomplete where there is none.
func (c *compiler) verdict(s sourceVerdict) (Verdict, string) {
	v, because := Incomplete, word{}
	for _, one := range []struct {
		verdict Verdict
		reason  word
	}{{Watch, s.Watch}, {Quarantine, s.Quarantine}, {Retire, s.Retire}} {
		if !one.reason.given() {
			continue
		}
		if v != Incomplete {
			second := one.reason
			if because.at.line > second.at.line || because.at.line == second.at.line && because.at.col > second.at.col {
				second = because
			}
			c.report(second.key, fmt.Sprintf("there are two verdicts here, %s and %s", v, one.verdict), "keep the one that is meant")
		}
		v, because = one.verdict, one.reason
	}
	return v, because.Text
}

// basis is where a rule comes from. Rules without one are reported together.
func (c *compiler) basis(basis, rule word, needed bool) string {
	if needed && !basis.given() {
		c.bare = append(c.bare, rule)
	}
	return basis.Text
}

// reportBare says once what may be missing from sixty rules: it was one mistake, at the top.
func (c *compiler) reportBare() {
	if len(c.bare) == 0 {
		return
	}
	first := c.bare[0]
	what := fmt.Sprintf("%s has no basis", first.Text)
	if more := len(c.bare) - 1; more > 0 {
		what = fmt.Sprintf("%s and %d more have no basis", first.Text, more)
	}
	c.report(first.at, what, "write basis: with where they come from, beside each or once at the top")
}

const (
	foundWord = "found"
	sheetWord = "sheet"
)

func (c *compiler) when(step word, list words) When {
	var out When
	for _, w := range list {
		if !w.given() {
			continue
		}
		finding, isFound := strings.CutPrefix(w.Text, foundWord+" ")
		finding = strings.TrimSpace(finding)
		fact, choice, isFact := strings.Cut(w.Text, " is ")
		fact, choice = strings.TrimSpace(fact), strings.TrimSpace(choice)
		switch {
		case isFound && isPair(finding):
			out.Found = append(out.Found, finding)
			c.at[atWhen(step.Text, finding)] = w.at
		case !isFound && isFact && isID(fact) && isID(choice):
			out.Facts = append(out.Facts, fact+"."+choice)
			c.at[atWhen(step.Text, fact+"."+choice)] = w.at
		default:
			c.report(w.at, fmt.Sprintf("%q opens nothing", clipped(w.Text)), "write found CHECK.FINDING, or FACT is CHOICE; a list of these opens on any one")
		}
	}
	return out
}

// point reads "sheet FIGURE", "75 % of sheet FIGURE" or a number.
func (c *compiler) point(w word) (Point, bool) {
	if !w.given() {
		return Point{}, false
	}
	share, rest, isShare := strings.Cut(w.Text, "%")
	figure := w.Text
	percent := MustNumber("100")
	if isShare {
		p, err := ParsePercent(share)
		of, ok := strings.CutPrefix(strings.TrimSpace(rest), "of ")
		if err != nil || !ok {
			c.report(w.at, fmt.Sprintf("%q is no point", clipped(w.Text)), "write it like 75 % of sheet FIGURE, with more than 0 and at most 200 %")
			return Point{}, false
		}
		percent, figure = p, strings.TrimSpace(of)
	}
	if name, ok := strings.CutPrefix(figure, sheetWord+" "); ok && isID(strings.TrimSpace(name)) {
		return Point{Figure: strings.TrimSpace(name), Percent: percent}, true
	}
	n, ok := parseMeasure(w.Text)
	if !ok {
		c.report(w.at, fmt.Sprintf("%q is no point", clipped(w.Text)), "write sheet FIGURE, or 75 % of sheet FIGURE, or a number like 0.05")
		return Point{}, false
	}
	return Point{Value: n}, true
}

// between reads "LOW to HIGH".
func (c *compiler) between(w word) (low, high Number) {
	if !w.given() {
		return low, high
	}
	from, to, ok := strings.Cut(w.Text, " to ")
	low, isLow := parseMeasure(from)
	high, isHigh := parseMeasure(to)
	switch {
	case !ok || !isLow || !isHigh:
		c.report(w.at, fmt.Sprintf("%q is no range", clipped(w.Text)), "write it like 0 to 5")
		return Number{}, Number{}
	case !low.Less(high):
		c.report(w.at, fmt.Sprintf("%s is not less than %s", low, high), "write the lower number first")
		return Number{}, Number{}
	}
	return low, high
}

// parseMeasure reads a number of a size that can be measured: below a million, three digits after the point.
// That leaves room for what is worked out from it, which must still be a number that can be written down.
func parseMeasure(text string) (Number, bool) {
	n, err := ParseNumber(text)
	return n, err == nil && n.Abs().Less(MustNumber("1000000")) && n.d.Scale() <= 3
}

func (c *compiler) number(w word) Number {
	n, ok := parseMeasure(w.Text)
	if !ok {
		c.report(w.at, fmt.Sprintf("%q is no number", clipped(w.Text)), "write it in digits, like 0.05, with three at most after the point")
		return Number{}
	}
	return n
}

func (c *compiler) whole(w word, name string, least, most int) int {
	if !w.given() {
		return 0
	}
	n, err := strconv.Atoi(w.Text)
	if err != nil || n < least || n > most {
		c.report(w.at, fmt.Sprintf("%q is a whole number from %d to %d, not %q", name, least, most, clipped(w.Text)), "write one of these, in digits")
		return 0
	}
	return n
}

func (c *compiler) unit(w word) Unit {
	if !w.given() {
		return ""
	}
	u, err := ParseUnit(w.Text)
	if err != nil {
		var known []string
		for _, u := range units() {
			known = append(known, string(u.unit))
		}
		do := "write one of " + strings.Join(known, ", ")
		if near := nearest(w.Text, known); near != "" && len(w.Text) > 1 {
			do = fmt.Sprintf("did you mean %q; %s", near, do)
		}
		c.report(w.at, fmt.Sprintf("%q is no unit that is known here", clipped(w.Text)), do)
	}
	return u
}

func (c *compiler) harm(w word) Harm { return Harm(c.oneOf(w, string(HarmUp), string(HarmDown))) }

func (c *compiler) oneOf(w word, known ...string) string {
	if w.given() && !slices.Contains(known, w.Text) {
		c.report(w.at, fmt.Sprintf("%q can't stand here", clipped(w.Text)), "write "+strings.Join(known, " or "))
		return known[0]
	}
	return w.Text
}

// step is a check's, a reading's or a value's name, which no other in the flow has.
func (c *compiler) step(w word) string {
	id := c.id(w)
	c.unique(id, w, "step")
	return id
}

func (c *compiler) unique(name string, w word, what string) {
	if !w.given() {
		return
	}
	if first, twice := c.at[name]; twice {
		where := fmt.Sprintf("in line %d", first.line)
		if first.file != w.at.file {
			where = fmt.Sprintf("in %s, line %d", first.file, first.line)
		}
		c.report(w.at, fmt.Sprintf("a second %s is called %q, first %s", what, clipped(w.Text), where), "give one of the two another name")
		return
	}
	c.at[name] = w.at
}

func (c *compiler) id(w word) string {
	return c.name(w, "a name", isID, "write letters, digits, underscores and hyphens only")
}

func (c *compiler) name(w word, what string, fits func(string) bool, do string) string {
	if w.given() && !fits(w.Text) {
		c.report(w.at, fmt.Sprintf("%q can't be %s", clipped(w.Text), what), do)
	}
	return w.Text
}

func isID(text string) bool {
	return text != "" && len(text) <= 64 && strings.Trim(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") == ""
}

func isFlowID(text string) bool {
	return isID(text) && text == strings.ToLower(text) && !strings.Contains(text, "_") && text[0] >= 'a'
}

// isPair tells whether a text is CHECK.FINDING in form.
func isPair(text string) bool {
	check, finding, ok := strings.Cut(text, ".")
	return ok && isID(check) && isID(finding)
}

// wordWhens says for people when a step is asked.
func (f *Flow) wordWhens() {
	steps, words := f.Steps(), f.openers()
	for _, step := range steps {
		w := step.when()
		var ways []string
		for _, id := range append(slices.Clone(w.Found), w.Facts...) {
			ways = append(ways, words[id])
		}
		if len(ways) == 0 {
			continue
		}
		text := "when " + strings.Join(ways, " or ")
		switch {
		case step.Check != nil:
			step.Check.When.Text = text
		case step.Reading != nil:
			step.Reading.When.Text = text
		default:
			step.Value.When.Text = text
		}
	}
}

// openers words all that can open a step, by CHECK.FINDING and FACT.CHOICE.
func (f *Flow) openers() map[string]string {
	words := map[string]string{}
	for _, step := range f.Steps() {
		if step.Check == nil {
			continue
		}
		for _, found := range step.Check.Findings {
			words[step.Check.ID+"."+found.ID] = fmt.Sprintf("“%s” was found", found.Label)
		}
	}
	for _, fact := range f.Facts {
		for _, c := range fact.Choices {
			words[fact.ID+"."+c.ID] = fmt.Sprintf("the answer to “%s” is “%s”", fact.Ask, c.Label)
		}
	}
	return words
}
