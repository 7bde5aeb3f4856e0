package bot

import (
	"errors"
	"slices"
	"strings"

	"becket/flows"
	"becket/prompts"
	"becket/store"
)

// answer takes a text, or photos, as the answer to the inspection's open question.
func (t *turn) answer(i *inspection, text string) error {
	if i.State == store.OnHold {
		t.refuse(isPaused, i.Mark)
		return nil
	}
	if aged, err := t.age(i); err != nil || aged {
		return err
	}
	if taken, err := t.aboutPhoto(i, text); err != nil || taken {
		return err
	}
	q, open := i.next()
	if !open {
		return t.decide(i, text)
	}
	if line := i.line(); i.isLine(line, text) {
		return t.takeLine(i, line, text)
	} else if i.lacksCommas(line, text) {
		return t.again(i, format(lineCommas, len(line)))
	}
	photos, err := t.keepPhotos(i, q.Steps[0])
	if err != nil {
		return err
	}
	if photos > 0 && text == "" && q.Kind != flows.KindPhoto {
		return t.ask(i, photoKept)
	}
	if q.Kind == flows.KindReading && i.started.Instrument == "" {
		if _, unknown := cantTell(text); !unknown {
			return t.again(i, noInstrument)
		}
	}
	if finding, is := i.mayMeanClear(q, text); is && t.m.Answers == "" {
		return t.again(i, format(roundNotClear, finding.Label))
	}
	if other := t.toldOfOther(i.Mark); q.Kind == flows.KindNote && !asksForMark(q) && other != "" {
		return t.again(i, format(otherInAnswer, other, i.Mark, clip(text, 60)))
	}
	text, reason := because(q, text)
	answers, err := read(q, text, photos)
	if err != nil {
		return t.complain(i, err)
	}
	for n := range answers {
		if answers[n].Reason == "" {
			answers[n].Reason = reason
		}
	}
	return t.takeAnswers(i, q, answers, false)
}

// because cuts a reason off an answer: "clear because I had the wrong one in my hand". Answers in free words are
// left whole.
func because(q flows.Question, text string) (answer, reason string) {
	if q.Kind == flows.KindNote || q.Kind == flows.KindMatch {
		return text, ""
	}
	if _, unknown := cantTell(text); unknown {
		return text, ""
	}
	answer, reason, _ = strings.Cut(text, " because ")
	return strings.TrimSpace(answer), strings.TrimSpace(reason)
}

// age asks identity, look and feel again when the last answer is half a day old. The message that came in
// answered a question that is no longer the open one, so it isn't taken.
func (t *turn) age(i *inspection) (bool, error) {
	steps := i.stale(t.tx.Now())
	if len(steps) == 0 {
		return false, nil
	}
	if err := t.reopen(i, steps); err != nil {
		return true, err
	}
	return true, t.ask(i, longAgo)
}

// reopen takes steps' answers back so that they are asked again.
func (t *turn) reopen(i *inspection, steps []string) error {
	for _, step := range steps {
		if !i.state.Answered(step) {
			continue
		}
		if err := t.record(i, flows.Answer{Step: step, Reopen: true}, "", false); err != nil {
			return err
		}
	}
	return nil
}

// record writes one answer down and moves the inspection on.
func (t *turn) record(i *inspection, a flows.Answer, aside flows.Again, correction bool) error {
	ev := store.Answered{
		Inspection: i.ID, Answer: a, SetAside: aside, Correction: correction, Replaces: t.m.Replaces, Sent: t.m.At, Quick: t.hasty && !a.Reopen,
	}
	e, err := t.write(ev)
	if err != nil {
		return err
	}
	i.answers = append(i.answers, givenAnswer{Answered: ev, entry: e})
	i.state = i.state.Recorded(a, aside)
	i.Touched = t.tx.Now()
	if a.Reopen || aside != "" {
		return nil
	}
	return t.againstOpinions(i, a.Step)
}

// takeAnswers advances the inspection by all answers of one message, or by none.
func (t *turn) takeAnswers(i *inspection, q flows.Question, answers []flows.Answer, correction bool) error {
	// What was clear goes first: a finding on rope leaves the rest of the rope's checks out.
	slices.SortStableFunc(answers, func(a, b flows.Answer) int { return boolRank(b.Clear) - boolRank(a.Clear) })
	before := i.outcome()
	state := i.state
	var held []flows.Rule
	var aside flows.Again
	for n, a := range answers {
		next, effect, err := flows.Advance(i.flow, state, a)
		if err != nil {
			return t.complain(i, err)
		}
		if effect.Again == "" {
			given, _ := next.Given(a.Step)
			answers[n] = given
		}
		held, aside, state = append(held, effect.Held...), effect.Again, next
	}
	if rule, needs := needsReason(flows.Judge(i.flow, state), answers); needs {
		return t.again(i, format(takeBackWhy, i.foundWords(rule)))
	}
	bench, err := t.tx.Bench(t.m.Room, t.m.From)
	if err != nil {
		return err
	}
	once := t.beforeRest(i, q)
	fresh := !slices.ContainsFunc(q.Steps, i.state.Answered)
	if err := t.inHandAgain(i); err != nil {
		return err
	}
	t.hasty = !correction && t.quick(i, len(q.Steps))
	for _, a := range answers {
		if err := t.record(i, a, aside, correction || i.corrects(a.Step)); err != nil {
			return err
		}
	}
	if correction && aside != "" { // a doubtful correction takes the old answer away until it is cleared up
		if err := t.reopen(i, q.Steps); err != nil {
			return err
		}
	}
	if err := t.hold(i, held); err != nil {
		return err
	}
	said, err := t.remarks(i, q, bench)
	if err != nil {
		return err
	}
	if len(once) > 0 && !correction {
		if err := t.reopen(i, once); err != nil {
			return err
		}
		said = append(said, restBefore)
	}
	if fresh && aside == "" {
		second, err := t.opinionsOn(i, q.Steps)
		if err != nil {
			return err
		}
		said = append(said, second)
	}
	took := t.acknowledge(i, q, answers, aside, held, before)
	if correction {
		took = format(correctedAt, q.Position, strings.ToLower(q.Title), took)
	}
	compare, files := "", []File(nil)
	if aside == "" {
		if compare, files, err = t.compare(i, q); err != nil {
			return err
		}
	}
	if err := t.ask(i, joined(append([]string{took, compare}, said...)...)); err != nil {
		return err
	}
	t.replies[len(t.replies)-1].Files = files
	return nil
}

// remarks are what there is to say of how the answers come: the pace, the clock, a rest, and to the keeper the
// end digits.
func (t *turn) remarks(i *inspection, q flows.Question, before store.Bench) ([]string, error) {
	pace, err := t.pace(i, q, t.hasty)
	if err != nil {
		return nil, err
	}
	clock, err := t.clockOff(i)
	if err != nil {
		return nil, err
	}
	rest, err := t.restOffer(before)
	if err != nil {
		return nil, err
	}
	if q.Kind == flows.KindReading {
		err = t.endDigits()
	}
	return []string{pace, clock, rest}, err
}

func boolRank(b bool) int {
	if b {
		return 1
	}
	return 0
}

func (i *inspection) corrects(step string) bool {
	return slices.ContainsFunc(i.answers, func(a givenAnswer) bool { return a.Step == step && a.SetAside == "" && !a.Reopen })
}

// foundWords say what a rule found, short.
func (i *inspection) foundWords(r flows.Rule) string {
	if label := flows.LabelOf(i.flow, i.state, r.ID); label != "" {
		return label
	}
	first, _, _ := strings.Cut(r.Because, ". ")
	return strings.TrimRight(first, ".")
}

// needsReason finds something that held and is now answered otherwise without a word why.
func needsReason(o flows.Outcome, answers []flows.Answer) (flows.Rule, bool) {
	for _, a := range answers {
		for _, r := range o.Rules {
			if r.TakenBack && strings.HasPrefix(r.ID, checkOf(a.Step)+".") && a.Reason == "" && !a.Reopen {
				return r, true
			}
		}
	}
	return flows.Rule{}, false
}

// hold takes the item out of use for each rule that now holds it, in the transaction of the answer.
func (t *turn) hold(i *inspection, rules []flows.Rule) error {
	if len(rules) == 0 {
		return nil
	}
	before, err := t.isHeld(i.Mark)
	if err != nil {
		return err
	}
	placed := false
	for _, r := range rules {
		if strings.HasPrefix(r.ID, pastHold) && strings.HasSuffix(r.ID, ".same") {
			continue // that hold stands already
		}
		ev := store.HoldPlaced{Mark: i.Mark, Verdict: flows.Quarantine, Why: r.Because, Rule: r.ID, Inspection: i.ID}
		if _, err := t.write(ev); err != nil {
			return err
		}
		placed = true
	}
	if !placed || before {
		return nil
	}
	return t.tellOldConversation(i.Mark)
}

// complain says what was wrong with an answer, and asks again. Nothing was written.
func (t *turn) complain(i *inspection, err error) error {
	var wrong complaint
	var refusal flows.Refusal
	switch {
	case errors.As(err, &wrong):
		return t.again(i, joined(string(wrong), t.faultOf(i.Mark)))
	case errors.As(err, &refusal):
		return t.again(i, joined(refusalWords(refusal), t.faultOf(i.Mark)))
	}
	return err
}

// again refuses and asks the same question once more.
func (t *turn) again(i *inspection, text string) error {
	r := t.reply(text)
	r.Refused = true
	if q, open := i.next(); open {
		r.Ask = askOf(i, q, q.Position, q.Of+1)
	} else {
		r.Ask = t.signAsk(i)
	}
	return nil
}

// ask says something and then the next question, in one reply; where all is answered, the summary.
func (t *turn) ask(i *inspection, said string) error {
	if asked, err := t.askOfPhoto(i, said); err != nil || asked {
		return err
	}
	q, open := i.next()
	if i.Round != "" {
		if done, err := t.laysBy(i, q, open, said); err != nil || done {
			return err
		}
	}
	if !open {
		return t.summary(i, said)
	}
	r := t.reply(joined(said, t.question(i, q)))
	r.Ask = askOf(i, q, q.Position, q.Of+1)
	return nil
}

// question words what is asked: one thing, or a line where several can be answered together.
func (t *turn) question(i *inspection, q flows.Question) string {
	line := i.line()
	q = t.phrased(i.flow, q)
	switch {
	case len(line) == 0, t.length(i.flow.ID) == prompts.Explained && !t.inFull: // why and how it is done don't fit into a line
		return wording(q, q.Position, q.Of+1)
	case i.Round == "" && !t.inFull:
		return joined(wording(q, q.Position, q.Of+1), format(lineOr, len(line)))
	case !i.asksSerial(q):
		for n := range line {
			line[n] = t.phrased(i.flow, line[n])
		}
		return besideWording(line)
	}
	return lineWording(i.Mark, line, t.inFull)
}

func joined(parts ...string) string {
	return strings.Join(slices.DeleteFunc(parts, func(s string) bool { return s == "" }), "\n")
}

// keepPhotos writes down the pictures that came with a message.
func (t *turn) keepPhotos(i *inspection, step string) (int, error) {
	for _, f := range t.m.Files {
		ev := store.Photographed{Inspection: i.ID, Step: step, Hash: f.Hash, Name: f.Name, Type: f.Type, Size: f.Size, Taken: f.Taken}
		e, err := t.write(ev)
		if err != nil {
			return 0, err
		}
		i.photos = append(i.photos, keptPhoto{Photographed: ev, seq: e.Seq})
	}
	return len(t.m.Files), nil
}

// refusalWords puts a refusal of the rules into words.
func refusalWords(r flows.Refusal) string {
	switch r.Why {
	case flows.TooFew:
		return format(tooFew, r.Got, r.Want)
	case flows.TooMany:
		return format(tooMany, r.Got, r.Want)
	case flows.OutOfRange:
		return format(outOfRange, r.Got)
	case flows.NeedsNumber:
		if strings.ContainsAny(r.Got, digits) {
			return format(needsNumberAlone, clip(r.Got, 30))
		}
		return format(needsNumber, clip(r.Got, 30))
	case flows.NeedsYear:
		return format(needsYear, clip(r.Got, 30))
	case flows.LeftOut:
		return leftOutHeld
	case flows.NotAsked:
		return notAsked
	}
	return format(cantTake, r.Step)
}
