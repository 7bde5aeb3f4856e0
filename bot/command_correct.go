package bot

import (
	"cmp"
	"slices"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// correcting is the form that asks for a yes to a correction.
const correcting = "correct"

// longestName is how long a maker's, a model's or a serial number may be.
const longestName = 60

// correctRegister puts right what the register says of an item: "correct D-07 made 2019: the stamp was misread".
func (t *turn) correctRegister(args string) error {
	item, rest, found, err := t.namedItem(args, "correct D-07 made 2019: the stamp was misread")
	if err != nil || !found {
		return err
	}
	if ok, err := t.may(actCorrect, item.Flow); err != nil || !ok {
		return err
	}
	c, wrong := readCorrection(item, rest)
	if wrong != "" {
		t.refuse("%s", wrong)
		return nil
	}
	plan, wrong, err := t.planCorrection(item, c)
	if err != nil {
		return err
	}
	if wrong == "" {
		if c.Document, err = t.documentNamed(item.Mark, c.Why, 0); err != nil {
			return err
		}
		wrong, err = t.lacks(&plan, c)
	}
	if err != nil || wrong != "" {
		if err == nil {
			t.refuse("%s", wrong)
		}
		return err
	}
	return t.startForm(correcting, map[string]string{
		"mark": c.Mark, "what": c.What, "from": c.From, "to": c.To, "why": c.Why, "document": c.Document,
	}, "")
}

// readCorrection reads "made 2019: why". What is wrong with it says what to type.
func readCorrection(item store.Item, text string) (c store.Correction, wrong string) {
	c.Mark = item.Mark
	for _, w := range [][2]string{
		{"year of make", store.CorrectMade}, {"made", store.CorrectMade}, {"first used", store.CorrectFirstUse}, {"first use", store.CorrectFirstUse},
		{"maker", store.CorrectMaker}, {"model", store.CorrectModel}, {"serial number", store.CorrectSerial}, {"serial", store.CorrectSerial},
	} {
		if after, is := afterWords(text, w[0]); is && c.What == "" {
			c.What, text = w[1], after
		}
	}
	if c.What == "" {
		return c, format(correctHow, item.Mark)
	}
	value, why, _ := strings.Cut(oneLine(text), ":")
	c.To, c.Why = strings.Trim(value, " .,;"), strings.Trim(why, " .")
	if !c.Identity() {
		date, after, found := dateFirst(c.To)
		if !found {
			return c, format(correctHow, item.Mark)
		}
		c.To, c.Why = date.String(), strings.Trim(after+" "+c.Why, " .,;-")
	}
	c.From = c.Now(item)
	switch {
	case c.To == "":
		return c, format(correctHow, item.Mark)
	case letters(c.Why) < 3:
		return c, format(correctWhy, item.Mark, c.What, clip(c.To, longestName))
	case c.From == c.To:
		return c, format(correctSame, item.Mark, c.What, saidOf(c, c.To))
	case c.From == "" && !c.Identity():
		return c, format(correctUnknown, item.Mark, c.What, c.To)
	case strings.ContainsFunc(c.To, mistakable) || len(c.To) > longestName:
		return c, format(correctLetters, clip(c.To, longestName))
	}
	return c, ""
}

// correction is what one comes to.
type correction struct {
	item          store.Item // as it would be
	before, after status
	later         bool     // it would live longer, or be inspected less often
	by            []string // who asked for the same before, and may still
	could         []string // who else may
}

// planCorrection works out what a correction would change. What is wrong with it says why it can't be.
func (t *turn) planCorrection(item store.Item, c store.Correction) (p correction, wrong string, err error) {
	if p.before, err = t.statusOf(item); err != nil {
		return p, "", err
	}
	if p.before.retired != nil {
		return p, format(correctRetired, item.Mark), nil
	}
	if row, busy, err := t.tx.Unfinished(t.m.Room, item.Mark); err != nil || busy {
		return p, format(correctBusy, item.Mark, row.Inspector), err
	}
	if p.item, err = c.In(item); err != nil {
		return p, "", err
	}
	if err := p.item.Life().Check(t.day()); err != nil {
		return p, sentence(err.Error()), nil
	}
	if c.Identity() {
		if wrong, err = t.otherItem(item, p.item); err != nil || wrong != "" {
			return p, wrong, err
		}
	}
	if p.after, err = t.statusOf(p.item); err != nil {
		return p, "", err
	}
	p.later = livesLonger(p.before.lifeEnd, p.after.lifeEnd) || p.after.item.Months() > p.before.item.Months() || !c.Identity() && laterDate(c)
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return p, "", err
	}
	p.could = whoMay(people, actCorrect, item.Flow, t.day())
	asked, err := t.tx.AskedToCorrect(t.m.Room, c)
	if err != nil {
		return p, "", err
	}
	p.by = slices.DeleteFunc(asked, func(who string) bool { return who != t.m.From && !slices.Contains(p.could, who) })
	p.could = slices.DeleteFunc(p.could, func(who string) bool { return who == t.m.From })
	return p, "", nil
}

// otherItem says why an item can't be of that maker, model and serial: another one is, or its figures are another kind's.
func (t *turn) otherItem(was, now store.Item) (string, error) {
	if now.Serial != "" {
		like, err := t.tx.ItemsLike(t.m.Room, now.Maker, now.Model, now.Serial)
		if err != nil {
			return "", err
		}
		for _, other := range like {
			if other.Mark != was.Mark {
				return format(correctOther, other.Mark), nil
			}
		}
	}
	sheet, found, err := t.tx.Sheet(t.m.Room, now.Maker, now.Model)
	if err != nil || !found || sheet.Flow == now.Flow {
		return "", err
	}
	return format(correctFamily, sheet.Name(), strings.ToLower(t.bot.title(sheet.Flow)), now.Mark, strings.ToLower(t.bot.title(now.Flow))), nil
}

// laterDate tells whether a date is corrected to one that may be later than it was.
func laterDate(c store.Correction) bool {
	from, errFrom := due.Parse(c.From)
	to, errTo := due.Parse(c.To)
	return errFrom != nil || errTo != nil || to.First().After(from.First())
}

// livesLonger tells whether a life may end later than it did.
func livesLonger(before, after due.End) bool {
	switch {
	case before.Unknown && !after.Unknown:
		return true
	case before.Date.IsZero():
		return false
	}
	return after.Date.IsZero() || after.Date.After(before.Date)
}

// second is who asked for the same before the speaker; empty: nobody else.
func (t *turn) second(p correction) string {
	for _, who := range p.by {
		if who != t.m.From {
			return who
		}
	}
	return ""
}

// waits tells whether a correction needs another person's word yet. Which item it is takes a document or two people; what
// makes it live longer takes both.
func (t *turn) waits(p correction, c store.Correction) bool {
	return t.second(p) == "" && (p.later || c.Identity() && c.Document == "")
}

// lacks says what is missing of a correction so that it can be asked for at all.
func (t *turn) lacks(p *correction, c store.Correction) (string, error) {
	switch {
	case p.later && c.Document == "":
		return format(correctPaper, c.Mark, c.What, c.To), nil
	case t.waits(*p, c) && slices.Contains(p.by, t.m.From):
		return format(correctTwice, list(p.could)), nil
	}
	return "", nil
}

func (f *form) correction() store.Correction {
	g := f.Given
	return store.Correction{Mark: g["mark"], What: g["what"], From: g["from"], To: g["to"], Why: g["why"], Document: g["document"]}
}

func (t *turn) correctFields(f *form) ([]field, error) {
	c := f.correction()
	p, wrong, err := t.correctionNow(c)
	if err != nil || wrong != "" {
		return []field{yesOrNo("yes", wrong)}, err
	}
	return []field{yesOrNo("yes", t.beforeAndAfter(c, p))}, nil
}

// correctionNow plans a correction that was typed before. It is wrong where the register says something else by now.
func (t *turn) correctionNow(c store.Correction) (p correction, wrong string, err error) {
	item, found, err := t.tx.Item(t.m.Room, c.Mark)
	if err != nil {
		return p, "", err
	}
	if !found || c.Now(item) != c.From {
		return p, correctMoved, nil
	}
	return t.planCorrection(item, c)
}

// beforeAndAfter shows what a correction changes, and asks for a yes.
func (t *turn) beforeAndAfter(c store.Correction, p correction) string {
	lines := []string{format(correctAs, c.Mark, t.describe(p.before.item), capital(c.What), saidOf(c, c.From), saidOf(c, c.To), c.Why)}
	if c.Document != "" {
		lines = append(lines, format(correctBy, c.Document))
	}
	if first := t.second(p); first != "" {
		lines = append(lines, format(correctFirst, first))
	}
	if was, is := lifeEndWords(p.before.lifeEnd), lifeEndWords(p.after.lifeEnd); was != is {
		lines = append(lines, format(correctLife, was, is))
	}
	if c.Identity() {
		lines = append(lines, correctLook)
	}
	if t.waits(p, c) {
		lines = append(lines, format(correctTwo, list(p.could)))
	}
	return joined(append(lines, correctYes)...)
}

// saidOf is a value of what is corrected, in words.
func saidOf(c store.Correction, value string) string {
	if value == "" {
		return notKnownWord
	}
	if d, err := due.Parse(value); err == nil && !c.Identity() {
		return d.Words()
	}
	return value
}

func lifeEndWords(e due.End) string {
	switch {
	case !e.Date.IsZero():
		return format(correctLifeUntl, e.Date.Words())
	case e.Unknown:
		return correctLifeUnkn
	}
	return correctNoLife
}

// finishCorrect writes a correction down: as the word of one of two, or as it counts from now.
func (t *turn) finishCorrect(f *form) error {
	if f.Given["yes"] != "yes" {
		t.reply(correctLeft)
		return nil
	}
	c := f.correction()
	p, wrong, err := t.correctionNow(c)
	if err != nil || wrong != "" {
		if err == nil {
			t.refuse("%s", wrong)
		}
		return err
	}
	if t.waits(p, c) {
		return t.askToCorrect(c, p)
	}
	ev := store.ItemCorrected{Correction: c, First: t.second(p)}
	if !p.before.due.IsZero() && (p.after.due.IsZero() || p.after.due.After(p.before.due)) {
		ev.Due = &store.KeptDue{Last: p.before.lastSeq, Day: p.before.due}
	}
	e, err := t.write(ev)
	if err != nil {
		return err
	}
	by := t.m.From
	if ev.First != "" {
		by = format(correctBoth, ev.First, t.m.From)
	}
	said := []string{format(correctDone, by, c.Mark, c.What, saidOf(c, c.To), saidOf(c, c.From))}
	if c.Identity() {
		more, err := t.otherFrom(c, p, e.Seq)
		if err != nil {
			return err
		}
		said = append(said, more)
	}
	return t.correctedNow(p, c, said)
}

// askToCorrect keeps the word of the first of two people, and asks the others.
func (t *turn) askToCorrect(c store.Correction, p correction) error {
	if _, err := t.write(store.CorrectionAsked{Correction: c}); err != nil {
		return err
	}
	kept := correctKept
	if p.later {
		kept = correctKeptTwo
	}
	t.say(kept, list(p.could), c.Mark, c.What, c.To)
	for _, who := range p.could {
		t.tell(who, format(correctAsk, who, c.Mark, t.describe(p.before.item), t.m.From, c.What, c.To, saidOf(c, c.From)))
	}
	return nil
}

// otherFrom is what follows where the register has another maker, model or serial from now: it isn't for use until it is
// inspected, what a maker's notice speaks of is held, and what was found last time is judged by that model's figures.
func (t *turn) otherFrom(c store.Correction, p correction, n int64) (string, error) {
	why := format(correctCalls, c.What, t.day().Words())
	if _, err := t.write(store.CalledIn{Mark: c.Mark, Why: why, Day: t.day(), About: n}); err != nil {
		return "", err
	}
	item, _, err := t.tx.Item(t.m.Room, c.Mark)
	if err != nil {
		return "", err
	}
	known := map[int64]bool{}
	notices, err := t.tx.Notices(t.m.Room)
	if err != nil {
		return "", err
	}
	for _, k := range notices {
		of, err := t.tx.NoticeItems(k.N)
		if err != nil {
			return "", err
		}
		known[k.N] = slices.ContainsFunc(of, func(i store.NoticeItem) bool { return i.Mark == c.Mark })
	}
	spoken, err := t.spokenOf([]store.Item{item}, func(k store.KeptNotice) bool { return !known[k.N] })
	if err != nil {
		return "", err
	}
	sheet, found, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil || !found || c.What == store.CorrectSerial {
		return spoken, err
	}
	moved, err := t.judgeItemAgain(item, sheet)
	if err != nil {
		return "", err
	}
	sooner, err := t.foretellNearer(item.Mark)
	return joined(spoken, cmp.Or(moved.said, sooner)), err
}

// correctedNow says how a corrected item stands, and tells its holder and the keepers where it was usable until now.
func (t *turn) correctedNow(p correction, c store.Correction, said []string) error {
	item, _, err := t.tx.Item(t.m.Room, c.Mark)
	if err != nil {
		return err
	}
	now, err := t.statusOf(item)
	if err != nil {
		return err
	}
	hidden, err := t.hidden(c.Mark)
	switch {
	case err != nil:
		return err
	case !now.usable(t.day()):
		said = append(said, sentence(now.sentence(t.day())))
	case !hidden:
		if now.item.KeptDue != nil && now.item.KeptDue.Last == now.lastSeq {
			said = append(said, format(correctDueStays, now.due.Words()))
		}
		said = append(said, sentence(now.sentence(t.day())))
	}
	unsaid, err := t.sayUnaccounted(copyNotSaid)
	if err != nil {
		return err
	}
	said = append(said, unsaid)
	if p.before.usable(t.day()) && !now.usable(t.day()) {
		told, err := t.tellAllOf([]store.Item{item}, []string{c.Mark}, strings.TrimRight(now.shortWhy(t.day()), "."))
		if err != nil {
			return err
		}
		said = append(said, told)
	}
	t.reply(joined(said...))
	return nil
}

// corrections are what was put right in the register of an item, oldest first.
func (t *turn) corrections(mark string) (lines []string, err error) {
	entries, err := t.tx.EntriesIn(t.m.Room, store.ItemSubject(mark))
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		ev, err := e.Event()
		if err != nil {
			return nil, err
		}
		c, is := ev.(*store.ItemCorrected)
		if !is {
			continue
		}
		by := e.By
		if c.First != "" {
			by = format(correctBoth, c.First, e.By)
		}
		line := format(correctLine, t.on(e.At), by, c.What, saidOf(c.Correction, c.From), saidOf(c.Correction, c.To), c.Why)
		if c.Document != "" {
			line += " " + format(correctBy, c.Document)
		}
		lines = append(lines, line)
	}
	return lines, nil
}
