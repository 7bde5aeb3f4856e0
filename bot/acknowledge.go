package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// acknowledge says what was written down, before the next question.
func (t *turn) acknowledge(i *inspection, q flows.Question, answers []flows.Answer, aside flows.Again, held []flows.Rule, before flows.Outcome) string {
	if aside != "" {
		return asideWords(aside, q)
	}
	lines := []string{i.noted(q, answers)}
	if len(held) > 0 && !before.Held() {
		lines = append(lines, format(heldNow, i.Mark))
		if i.outcome().Worst() == flows.Retire {
			lines = append(lines, mayLeaveOff)
		}
	}
	return joined(lines...)
}

// noted repeats an answer in a few words.
func (i *inspection) noted(q flows.Question, answers []flows.Answer) string {
	a := answers[0]
	switch q.Kind {
	case flows.KindMatch:
		switch {
		case a.Unknown:
			return notedUnknown
		case q.Expect == "":
			return notedText
		case i.differs(q):
			return differsTwice
		}
		return matches
	case flows.KindReading:
		if a.Unknown {
			return notedUnknown
		}
		return joined(i.wear(a.Step)+i.readingMeans(a.Step), i.saidNoWorse(a.Step))
	case flows.KindChecks, flows.KindCritical:
		return notedFindings(q, answers)
	case flows.KindChoice, flows.KindNote, flows.KindPhoto:
		return notedText
	}
	return ""
}

func (i *inspection) differs(q flows.Question) bool {
	_, id, _ := strings.Cut(q.Steps[0], ".")
	for _, r := range i.outcome().Rules {
		if r.ID == id+".differs" {
			return true
		}
	}
	return false
}

func notedFindings(q flows.Question, answers []flows.Answer) string {
	var found, untold []string
	for _, a := range answers { // in another order than they were asked, perhaps
		if a.Unknown {
			untold = append(untold, strings.TrimRight(q.Asks[slices.Index(q.Steps, a.Step)], ".?"))
		}
		for _, id := range a.Findings {
			for _, o := range q.Options {
				if o.ID == id && o.Check == checkOf(a.Step) {
					found = append(found, o.Label)
				}
			}
		}
	}
	switch {
	case len(found) == 0 && len(untold) == len(answers):
		letter, why := firstWord(answers[0].Reason)
		if len(answers) > 1 && why != "" && isLetter(q, letter) {
			return format(notedAllUnknown, strings.ToLower(letter), q.Position, why)
		}
		return notedUnknown
	case len(found) == 0 && len(untold) > 0:
		return format(notedRestClear, strings.Join(untold, "; "))
	case len(found) == 0:
		return notedClear
	case len(untold) > 0:
		return format(notedBoth, strings.Join(found, "; "), strings.Join(untold, "; "))
	}
	return format(notedThese, strings.Join(found, "; "))
}

// modelSheet is the basis of what the maker published.
const modelSheet = "model sheet"

// cited is a limit's basis, the maker's by its document.
func (i *inspection) cited(basis string) string {
	if basis == modelSheet && i.started.SheetRef != "" {
		return i.started.SheetRef
	}
	return basis
}

// wear says what a reading means, now that it is in: the worst repeat with its doubt, new, limit, last time.
func (i *inspection) wear(step string) string {
	w, ok := flows.WearOf(i.flow, i.state, step)
	if !ok {
		return notedText
	}
	text := format(wearWorst, w.Worst, w.Doubt, w.Unit)
	if w.NewKnown {
		text += format(wearNew, w.New)
	}
	for n, l := range w.Limits {
		if !slices.ContainsFunc(w.Limits[:n], func(m flows.WearLimit) bool { return m.Verdict == l.Verdict && m.At.Equal(l.At) }) {
			text += format(wearLimit, limitWord(l.Verdict), l.At, i.cited(l.Basis))
		}
	}
	if len(w.Limits) == 0 {
		text += wearNoLimit
	}
	if w.LastKnown {
		text += format(wearLast, w.Last)
	}
	return text
}

// saidNoWorse asks to look again at what was watched before and said to be no worse, where a reading has grown; empty: it hasn't, or nothing
// was.
func (i *inspection) saidNoWorse(reading string) string {
	if w, measured := flows.WearOf(i.flow, i.state, reading); !measured || !w.Grew {
		return ""
	}
	for _, q := range flows.Plan(i.flow, i.state) {
		for _, step := range q.Steps {
			a, given := i.state.Given(step)
			if !given || !flows.IsPast(step) || !slices.Contains(a.Findings, flows.PastSame) {
				continue
			}
			worse := slices.IndexFunc(q.Options, func(o flows.Option) bool { return o.Check == checkOf(step) && o.ID == flows.PastWorse })
			return format(wearGrew, q.Position, q.Position, key(worse))
		}
	}
	return ""
}

func limitWord(v flows.Verdict) string {
	switch v {
	case flows.Retire:
		return limitRetire
	case flows.Quarantine:
		return limitQuarantine
	}
	return limitWatch
}

func asideWords(a flows.Again, q flows.Question) string {
	switch a {
	case flows.AgainSame:
		return asideSame
	case flows.AgainGrown:
		return asideGrown
	case flows.AgainSpread:
		return asideSpread
	}
	if q.Unit != "" {
		return asideCount
	}
	return asideDiffer
}

// summary ends the asking: what was looked at, what the rules say, and how to sign.
func (t *turn) summary(i *inspection, said string) error {
	err := t.byNewerSheet(i)
	if err != nil {
		return err
	}
	o := i.outcome()
	lines := []string{said, i.count()}
	if i.newer != nil {
		lines = append(lines, format(newerSheet, i.newer.Ref))
	}
	lines = append(lines, i.ruleLines(o)...)
	lines = append(lines, format(byTheRules, strings.ToUpper(o.Verdict.String())))
	if len(o.NotDone) > 0 {
		lines = append(lines, format(notDoneWhileHeld, len(o.NotDone)))
	}
	if o.NextDue != nil {
		next, place, err := t.wouldFallDue(i, *o.NextDue)
		if err != nil {
			return err
		}
		word := nextDueOn
		if o.Verdict == flows.Watch && place == "" {
			word = lookAgainBy
		}
		lines = append(lines, format(word, soonerWords(next, *o.NextDue, place))+" "+i.intervalWords(o))
		o.NextDue = &next
	}
	decide := format(youDecide, o.Verdict)
	switch {
	case !t.mayOn(i):
		if decide, err = t.notYou(i); err != nil {
			return err
		}
	case o.Verdict == flows.Retire:
		decide = retireDecide
	}
	lines = append(lines, decide, cautionSign)
	r := t.reply(joined(lines...))
	r.Verdict, r.Ask = &o, t.signAsk(i)
	return nil
}

// count says how much was looked at.
func (i *inspection) count() string {
	asked, clear, watched, unknown := 0, 0, 0, 0
	bad := 0
	for _, s := range i.flow.Steps() {
		a, given := i.state.Given(s.Name)
		if !given {
			continue
		}
		asked++
		switch {
		case a.Unknown:
			unknown++
		case len(a.Findings) > 0, s.Reading != nil && i.readingMeans(s.Name) != wearClear:
			bad++
		default:
			clear++
		}
	}
	o := i.outcome()
	for _, r := range o.Rules {
		if r.Verdict == flows.Watch {
			watched++
		}
	}
	head := allAsked
	if i.finishing {
		head = leftSummary
	}
	return head + format(counted, asked, clear, bad, unknown, len(o.Missing)+len(o.NotDone), watched)
}

// ruleLines are the rules that applied, with what was read or where it is, and on whose word.
func (i *inspection) ruleLines(o flows.Outcome) []string {
	var lines []string
	shown := map[string]bool{} // a reading's figures are said once
	for _, r := range o.Rules {
		line := format(ruleLine, strings.ToUpper(r.Verdict.String()), i.ruleWords(r), r.Basis)
		if place := i.state.Place(r.ID); place != "" {
			line += " " + format(placeSaid, strings.TrimRight(place, "."))
		}
		id, _, _ := strings.Cut(r.ID, ".")
		for _, step := range i.flow.Steps() {
			if _, read := flows.WearOf(i.flow, i.state, step.Name); read && step.Reading.ID == id && !shown[id] {
				line += " " + i.wear(step.Name)
				shown[id] = true
			}
		}
		lines = append(lines, line)
	}
	return lines
}

// intervalWords say what sets the next date: an interval and on whose word, or the end of life where that is
// sooner.
func (i *inspection) intervalWords(o flows.Outcome) string {
	if o.NextDue != nil && o.LifeEnds != nil && *o.NextDue == *o.LifeEnds {
		return endOfLifeBinds
	}
	return format(whyInterval, i.state.Item.Months(), i.started.Interval)
}

// readingMeans says what the rules make of a reading.
func (i *inspection) readingMeans(step string) string {
	_, id, _ := strings.Cut(step, ".")
	for _, r := range i.outcome().Rules {
		if strings.HasPrefix(r.ID, id+".") {
			return " " + r.Because
		}
	}
	return wearClear
}

// ruleWords say what was found and what that means.
func (i *inspection) ruleWords(r flows.Rule) string {
	label := flows.LabelOf(i.flow, i.state, r.ID)
	if label == "" {
		return r.Because
	}
	return capital(strings.TrimRight(label, ".")) + ". " + r.Because
}

// stepWords names steps for a person.
func stepWords(steps []string) string {
	var words []string
	for _, s := range steps {
		section, id, _ := strings.Cut(s, ".")
		words = append(words, strings.ReplaceAll(section, "-", " ")+" "+strings.ReplaceAll(id, "_", " "))
	}
	return strings.Join(words, ", ")
}

// signAsk describes to a program what may be signed: the rules' verdict, or a stricter one.
func (t *turn) signAsk(i *inspection) *Ask {
	o := i.outcome()
	n := len(flows.Plan(i.flow, i.state)) + 1
	a := &Ask{Inspection: i.ID, Item: i.Mark, Flow: i.flow.ID, Section: "sign", Kind: flows.KindSign, Required: true, Position: n, Of: n}
	for v := max(o.Verdict, flows.Fit); v <= flows.Retire; v++ {
		a.Choices = append(a.Choices, Choice{Key: v.String(), ID: v.String(), Label: v.String(), Verdict: &v})
	}
	return a
}

// othersThan are those besides the signer whose answers stand.
func (i *inspection) othersThan(signer string) []string {
	var others []string
	for _, a := range i.answers {
		if by := a.entry.By; by != signer && !a.Reopen && i.standsSince(a) && !slices.Contains(others, by) {
			others = append(others, by)
		}
	}
	return others
}

// recordOf is the signed record as text.
func recordOf(i *inspection, s store.Signed, signer string) string {
	lines := []string{format(recordHead, s.Number, s.Mark, strings.ToLower(i.flow.Title), s.Day.Words())}
	if i.State == store.Interim {
		lines = append(lines, format(recordSupervised, i.Inspector, signer, strings.ToUpper(s.Verdict.String())))
	} else {
		lines = append(lines, format(recordSigned, signer, strings.ToUpper(s.Verdict.String())))
	}
	if s.Reason != "" {
		lines = append(lines, format(recordReason, s.Reason))
	}
	lines = append(lines, i.ruleLines(s.Outcome)...)
	for _, step := range i.flow.Steps() {
		if w, ok := flows.WearOf(i.flow, i.state, step.Name); ok {
			lines = append(lines, format(recordReading, capital(strings.ReplaceAll(w.Name, "_", " ")), w.Worst, w.Unit, w.Doubt))
		}
	}
	if len(s.Outcome.Missing)+len(s.Outcome.NotDone) > 0 {
		lines = append(lines, format(recordNotDone, stepWords(append(s.Outcome.Missing, s.Outcome.NotDone...))))
	}
	if others := i.othersThan(signer); len(others) > 0 {
		lines = append(lines, format(recordOthers, list(others)))
	}
	for _, n := range i.notes {
		lines = append(lines, format(recordNote, n.Text))
	}
	lines = append(lines, i.photoLines()...)
	lines = append(lines, format(recordFlow, i.flow.ID, i.flow.Revision, len(i.photos)))
	return joined(lines...)
}
