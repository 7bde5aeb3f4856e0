package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// A line answers several questions in one message, each in a word of its own, as a row of a paper list would: what comes
// before the first check that stands alone, from the serial number on, or the questions of one section that stand
// beside each other. Each answer is taken as if it had come by itself.

// mostInLine is how many checks of one section are named at once.
const mostInLine = 6

// line is the questions that can be answered in one message now, the open one first. It is empty where there is
// nothing to join.
func (i *inspection) line() []flows.Question {
	q, open := i.next()
	if !open || i.state.OneByOne || !i.joinsLine(q) {
		return nil
	}
	questions, checks := []flows.Question{q}, checksIn(q)
	for _, q := range flows.Plan(i.flow, i.state)[q.Position:] {
		checks += checksIn(q)
		if !i.joinsLine(q) || !i.asksSerial(questions[0]) && (q.Section != questions[0].Section || checks > mostInLine) {
			break
		}
		if !i.answeredAll(q) {
			questions = append(questions, q)
		}
	}
	if len(questions) == 1 {
		return nil
	}
	return questions
}

func checksIn(q flows.Question) int {
	if q.Kind == flows.KindChecks {
		return len(q.Steps)
	}
	return 0
}

// asksSerial tells whether a question asks for the number that the register knows the item by.
func (i *inspection) asksSerial(q flows.Question) bool {
	return q.Kind == flows.KindMatch && q.Expect != "" && q.Expect == i.state.Item.Serial
}

// joinsLine holds for what may share a message: nothing that kills, that is read with an instrument, that was
// found before, or that goes on a rope.
func (i *inspection) joinsLine(q flows.Question) bool {
	switch q.Kind {
	case flows.KindChecks, flows.KindMatch, flows.KindNote:
		return q.Section != "since" && q.Section != "close" && !i.onRope(q)
	}
	return false
}

func (i *inspection) onRope(q flows.Question) bool {
	return slices.ContainsFunc(i.flow.Sections, func(s flows.Section) bool { return s.ID == q.Section && s.OnRope })
}

func (i *inspection) answeredAll(q flows.Question) bool {
	return !slices.ContainsFunc(q.Steps, func(step string) bool { return !i.state.Answered(step) })
}

// moreWord stands in a line for a group of which there is more to say than clear: it is asked by itself then.
const moreWord = "more"

// partsOf cuts a text at commas, semicolons and new lines. A text without any is no line.
func partsOf(text string) []string {
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(",;\n", r) })
	for n := range parts {
		parts[n] = strings.TrimSpace(parts[n])
	}
	return parts
}

// isLine tells whether a text is meant for all of the line's questions rather than for the first. A comma alone doesn't
// make it so outside a round, where nobody has been asked for one, nor where it may stand between letters.
func (i *inspection) isLine(line []flows.Question, text string) bool {
	parts := partsOf(text)
	if _, unknown := cantTell(text); unknown || len(line) == 0 || len(parts) < 2 {
		return false
	}
	if i.asksSerial(line[0]) {
		return i.Round != "" || len(parts) > 2 || len(parts) == len(line)
	}
	if len(parts) != len(line) {
		return false
	}
	for n, q := range line {
		_, unknown := cantTell(parts[n])
		if word := bare(parts[n]); q.Kind == flows.KindChecks && !unknown && word != clearWord && word != moreWord {
			return false
		}
	}
	return true
}

// lacksCommas tells whether a text is the right serial number and more, run together: a line without its commas, which
// taken as it stands would be another item's number.
func (i *inspection) lacksCommas(line []flows.Question, text string) bool {
	word, rest := firstWord(text)
	return len(line) > 0 && rest != "" && i.asksSerial(line[0]) && flows.SameMark(word, line[0].Expect) && !flows.SameMark(text, line[0].Expect)
}

// lineTaken tells whether several questions of an inspection were answered by one message.
func (i *inspection) lineTaken() bool {
	plan, position := flows.Plan(i.flow, i.state), map[string]int{}
	for _, a := range i.answers {
		q, asked := flows.At(plan, a.Step)
		if !asked {
			continue
		}
		if before, seen := position[a.entry.Cause]; seen && before != q.Position {
			return true
		}
		position[a.entry.Cause] = q.Position
	}
	return false
}

// said is a question with what was answered to it; no answers: it is left to be asked by itself.
type said struct {
	q       flows.Question
	answers []flows.Answer
	aside   flows.Again // why it is set aside and asked for again; empty: taken
}

// readLine reads a part for each question. Letters of findings aren't taken: their list isn't on the screen.
func (i *inspection) readLine(questions []flows.Question, parts []string) ([]said, error) {
	if len(parts) != len(questions) {
		return nil, complaint(format(lineCount, len(parts), len(questions)))
	}
	given := make([]said, len(questions))
	for n, q := range questions {
		given[n].q = q
		answers, err := i.readPart(q, parts[n])
		if err != nil {
			return nil, complaint(format(linePart, n+1, err))
		}
		given[n].answers = answers
	}
	return given, nil
}

func (i *inspection) readPart(q flows.Question, part string) ([]flows.Answer, error) {
	_, unknown := cantTell(part)
	switch word := bare(part); {
	case word == moreWord && q.Kind == flows.KindChecks:
		return nil, nil
	case q.Kind != flows.KindChecks || unknown || q.Section == "feel" && isGloved(part):
		text, _ := because(q, part)
		return read(q, text, 0)
	case word == clearWord, word == clearLetter:
		return readFindings(q, clearWord)
	}
	return nil, complaint(format(lineWords, clip(part, 20)))
}

// takeLine takes a line whole or not at all. A serial number that isn't the register's stops it there: the rest may
// have been said of another item.
func (t *turn) takeLine(i *inspection, questions []flows.Question, text string) error {
	given, err := i.readLine(questions, partsOf(text))
	if err == nil {
		given, err = i.advanceLine(given)
	}
	if err != nil {
		return t.complain(i, err)
	}
	if _, err := t.keepPhotos(i, flows.PhotoStep); err != nil { // a picture of a line is of the whole item
		return err
	}
	bench, err := t.tx.Bench(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	before, once := i.outcome(), t.beforeRest(i, questions[0])
	checks := 0
	for _, g := range given {
		checks += len(g.answers)
	}
	t.hasty = t.quick(i, checks)
	for _, g := range given {
		for _, a := range g.answers {
			if err := t.record(i, a, g.aside, i.corrects(a.Step)); err != nil {
				return err
			}
		}
	}
	held, err := t.heldSince(i, before)
	if err != nil {
		return err
	}
	took := t.tookLine(i, given, held, before)
	remarks, err := t.lineRemarks(i, given, bench)
	if err != nil {
		return err
	}
	if len(once) > 0 {
		remarks = append(remarks, restBefore)
	}
	if err := t.reopen(i, once); err != nil {
		return err
	}
	return t.ask(i, joined(append([]string{took}, remarks...)...))
}

// advanceLine tries the answers of a line one after the other. Nothing is written.
func (i *inspection) advanceLine(given []said) ([]said, error) {
	state := i.state
	for n, g := range given {
		for m, a := range g.answers {
			next, effect, err := flows.Advance(i.flow, state, a)
			if err != nil {
				return nil, err
			}
			if effect.Again == "" {
				given[n].answers[m], _ = next.Given(a.Step)
			}
			given[n].aside, state = effect.Again, next
			if i.asksSerial(g.q) && (effect.Again != "" || len(effect.Held) > 0) {
				return given[:1], nil
			}
		}
	}
	return given, nil
}

// heldSince holds the item for what holds at once now and didn't before.
func (t *turn) heldSince(i *inspection, before flows.Outcome) ([]flows.Rule, error) {
	held := slices.DeleteFunc(flows.HoldingAtOnce(i.outcome()), func(r flows.Rule) bool {
		return slices.ContainsFunc(before.Rules, func(b flows.Rule) bool { return b.ID == r.ID && b.Verdict >= r.Verdict })
	})
	return held, t.hold(i, held)
}

// tookLine says what was written down of a line: in a few words what was clear, in full what wasn't.
func (t *turn) tookLine(i *inspection, given []said, held []flows.Rule, before flows.Outcome) string {
	if len(given) == 1 {
		return joined(t.acknowledge(i, given[0].q, given[0].answers, given[0].aside, held, before), lineStopped)
	}
	lines := []string{format(lineTaken, len(given))}
	left := 0
	for n, g := range given {
		switch {
		case len(g.answers) == 0:
			left++
		case g.aside != "":
			left++
			lines = append(lines, format(linePart, n+1, asideWords(g.aside, g.q)))
		case g.answers[0].Unknown:
			lines = append(lines, i.noted(g.q, g.answers))
		}
	}
	if left > 0 {
		lines[0] = format(lineTakenBut, len(given)-left, left)
	}
	return joined(lines...)
}

// lineRemarks are what there is to say of how a line came. Too fast a second time, and all of it is asked again.
func (t *turn) lineRemarks(i *inspection, given []said, before store.Bench) ([]string, error) {
	var pace string
	for _, g := range given {
		said, err := t.pace(i, g.q, t.hasty)
		if err != nil {
			return nil, err
		}
		if pace != quickTwice {
			pace = said
		}
	}
	clock, err := t.clockOff(i)
	if err != nil {
		return nil, err
	}
	rest, err := t.restOffer(before)
	return []string{pace, clock, rest}, err
}

// besideWording asks the questions of one section that can be answered together.
func besideWording(questions []flows.Question) string {
	var asked []string
	for _, q := range questions {
		text := wording(q, q.Position, q.Of+1)
		text = strings.TrimSuffix(text, "\n"+capital(form_(q)))
		if q.Section == "feel" {
			text = strings.TrimSuffix(text, "\n"+feelHands)
		}
		asked = append(asked, text)
	}
	if questions[0].Section == "feel" {
		asked = append(asked, feelHands)
	}
	return joined(append(asked, lineBeside)...)
}

// lineWording asks for a line from the serial number on: what each part is about, in full with what could be found, or by where to look alone.
func lineWording(mark string, questions []flows.Question, full bool) string {
	var b strings.Builder
	b.WriteString(format(lineHow, mark))
	for n, q := range questions {
		fmt.Fprintf(&b, "\n%d  ", n+1)
		switch {
		case q.Kind != flows.KindChecks:
			b.WriteString(q.Ask)
		case !full:
			b.WriteString(placeOf(q) + ": " + strings.Join(q.Asks, " "))
		default:
			b.WriteString(placeOf(q))
			for m, step := range q.Steps {
				fmt.Fprintf(&b, "\n   %s\n   - %s", q.Asks[m], strings.Join(labelsOf(q, step), "; "))
			}
		}
	}
	if slices.ContainsFunc(questions, func(q flows.Question) bool { return q.Section == "feel" }) {
		b.WriteString("\n" + feelHands)
	}
	return b.String()
}

func labelsOf(q flows.Question, step string) (labels []string) {
	for _, o := range q.Options {
		if o.Check == checkOf(step) {
			labels = append(labels, o.Label)
		}
	}
	return labels
}

// placeOf is where a group's checks are.
func placeOf(q flows.Question) string {
	if q.Part == "" {
		return q.Title
	}
	return q.Title + ", " + q.Part
}

// listInFull asks the same again, with all that could be found at each place.
func (t *turn) listInFull(i *inspection, _ string) error {
	t.inFull = true
	return t.ask(i, "")
}
