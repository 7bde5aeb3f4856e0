package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// standing is how a round stands: exceptions first, then what is clear.
type standing struct {
	held, untold []string
	watch        []string // with fit for whoever goes through the round alone: others may be asked for a second look
	waiting      []string // begun and not complete
	notBegun     []string
	signed       int
	fit          []*inspection
	others       map[string]int // complete, and somebody else's to sign
}

// standingOf goes through a round's items.
func (t *turn) standingOf(r store.Round) (standing, error) {
	s := standing{others: map[string]int{}}
	rows, err := t.tx.InRound(r.ID)
	if err != nil {
		return s, err
	}
	for _, mark := range r.Marks {
		begun := slices.ContainsFunc(rows, func(row store.Inspection) bool { return row.Mark == mark })
		if !begun && !slices.Contains(r.Unseen, mark) {
			s.notBegun = append(s.notBegun, mark)
		}
	}
	for _, row := range rows {
		switch {
		case row.State == store.SignedOff:
			s.signed++
		case slices.Contains(r.Unseen, row.Mark):
		case row.State != store.Complete:
			i, err := t.bot.load(t.tx, row)
			if err != nil {
				return s, err
			}
			if len(i.answers) == 0 {
				s.notBegun = append(s.notBegun, row.Mark)
			} else {
				s.waiting = append(s.waiting, row.Mark)
			}
		case row.Inspector != t.m.From:
			s.others[row.Inspector]++
		default:
			if err := t.sortIn(&s, row); err != nil {
				return s, err
			}
		}
	}
	return s, nil
}

// sortIn puts a complete inspection of the speaker's where it belongs.
func (t *turn) sortIn(s *standing, row store.Inspection) error {
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return err
	}
	if err := t.byNewerSheet(i); err != nil {
		return err
	}
	o := i.outcome()
	line := format(standsLine, i.Mark, strings.ToUpper(o.Verdict.String()), i.worstWords(o))
	switch {
	case o.Verdict == flows.Fit:
		s.fit = append(s.fit, i)
	case o.Verdict == flows.Watch:
		s.watch = append(s.watch, line)
	case slices.ContainsFunc(o.Rules, func(r flows.Rule) bool { return strings.HasSuffix(r.ID, ".unknown") }):
		s.untold = append(s.untold, line)
	default:
		s.held = append(s.held, line)
	}
	return nil
}

// worstWords are what gave the verdict, in a few words.
func (i *inspection) worstWords(o flows.Outcome) string {
	for _, r := range o.Rules {
		if r.Verdict == o.Verdict {
			return strings.TrimRight(i.foundWords(r), ".")
		}
	}
	return ""
}

// roundStands says how a round stands when nothing more can be asked in it. With nothing left to do it is closed.
func (t *turn) roundStands(said string) error {
	s, err := t.standingOf(*t.round)
	if err != nil {
		return err
	}
	if len(s.waiting)+len(s.notBegun) == 0 {
		return t.endRound(said)
	}
	t.reply(joined(said, t.standsWords(*t.round, s), roundLeft))
	t.tellUsable(s)
	return nil
}

// tellUsable says to the speaker alone which items are watched and how many are fit. Who reads the round's conversation
// may be asked for a second look, and that is blind.
func (t *turn) tellUsable(s standing) {
	if len(s.watch)+len(s.fit) == 0 {
		return
	}
	lines := []string{usableAlone}
	if len(s.watch) > 0 {
		lines = append(lines, section(standsWatch, s.watch))
	}
	t.tell(t.m.From, joined(append(lines, t.fitWords(s.fit))...))
}

// standsWords lists the exceptions of a round first, then counts what may be used, and says nothing more of that.
func (t *turn) standsWords(r store.Round, s standing) string {
	lines := []string{format(roundCount, len(r.Marks), len(r.Marks)-len(r.Unseen)-len(s.notBegun)-len(s.waiting))}
	for _, part := range []struct {
		head  string
		lines []string
	}{
		{standsHeld, s.held}, {standsUntold, s.untold},
	} {
		if len(part.lines) > 0 {
			lines = append(lines, section(part.head, part.lines))
		}
	}
	for _, part := range []struct {
		head  string
		marks []string
	}{{standsUnseen, r.Unseen}, {standsWaiting, s.waiting}, {standsNotBegun, s.notBegun}} {
		if len(part.marks) > 0 {
			lines = append(lines, format(part.head, len(part.marks), strings.Join(part.marks, ", ")))
		}
	}
	for _, who := range sortedKeys(s.others) {
		lines = append(lines, format(standsOthers, s.others[who], who))
	}
	if s.signed > 0 {
		lines = append(lines, format(standsSigned, s.signed))
	}
	if n := len(s.watch) + len(s.fit); n > 0 {
		lines = append(lines, format(standsUsable, n))
	}
	return joined(lines...)
}

func sortedKeys(counts map[string]int) []string {
	var keys []string
	for k := range counts {
		keys = append(keys, k)
	}
	slices.Sort(keys)
	return keys
}

// fitWords count what is fit by the rules, by family.
func (t *turn) fitWords(fit []*inspection) string {
	if len(fit) == 0 {
		return ""
	}
	count := map[string]int{}
	for _, i := range fit {
		count[strings.ToLower(i.flow.Title)]++
	}
	var parts []string
	for _, title := range sortedKeys(count) {
		parts = append(parts, fmt.Sprintf("%s %d", title, count[title]))
	}
	return format(standsFit, len(fit), strings.Join(parts, ", "))
}

// closeRound ends a round, whatever is left of it: that stays due.
func (t *turn) closeRound(_ string) error {
	if t.round == nil {
		t.refuse(noRound)
		return nil
	}
	rows, err := t.tx.InRound(t.round.ID)
	if err != nil {
		return err
	}
	for _, row := range rows {
		if !slices.Contains([]store.InspectionState{store.Underway, store.OnHold, store.Waiting}, row.State) || row.Inspector != t.m.From {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		switch {
		case err != nil:
			return err
		case len(i.answers) > 0 && row.State != store.Waiting:
			t.thread = i.Thread
			return t.again(i, format(roundUnfinished, i.Mark))
		case len(i.answers) == 0: // shown, and nothing said of it
			if _, err := t.write(store.LeftOff{Inspection: i.ID}); err != nil {
				return err
			}
		}
	}
	return t.endRound("")
}

func (t *turn) endRound(said string) error {
	s, err := t.standingOf(*t.round)
	if err != nil {
		return err
	}
	ev := store.RoundClosed{Round: t.round.ID, Unseen: t.round.Unseen, NotDone: append(slices.Clone(s.waiting), s.notBegun...)}
	if _, err := t.write(ev); err != nil {
		return err
	}
	t.thread = t.round.Thread
	t.reply(joined(said, roundClosed, t.standsWords(*t.round, s), howToSign(s)))
	t.tellUsable(s)
	t.round = nil
	return nil
}

// howToSign says what signs what is left.
func howToSign(s standing) string {
	var how []string
	if len(s.fit)+len(s.watch) > 0 {
		how = append(how, howUsable)
	}
	if n := len(s.held) + len(s.untold); n > 0 {
		mark, _, _ := strings.Cut(append(slices.Clone(s.held), s.untold...)[0], ":")
		how = append(how, format(howHeld, mark))
	}
	if len(how) == 0 {
		return ""
	}
	return joined(joined(how...), cautionSign)
}

// whereRound says how the open round stands, and asks on.
func (t *turn) whereRound() error {
	s, err := t.standingOf(*t.round)
	if err != nil {
		return err
	}
	before := len(t.replies)
	if err := t.goOn(joined(roundOpen, t.standsWords(*t.round, s))); err != nil {
		return err
	}
	if len(t.replies) == before+1 && !t.refused() { // else it is told already, or nothing is said of the round
		t.tellUsable(s)
	}
	return nil
}

// next goes on with a round: the question of the item in hand again, or the next item.
func (t *turn) next(_ string) error {
	if t.round == nil {
		t.refuse(noRound)
		return nil
	}
	return t.goOn("")
}

// missInRound takes an item that nobody found out of a round, unless somebody has answered of it there. It has said so
// then, and gives false.
func (t *turn) missInRound(mark string) (bool, error) {
	rows, err := t.tx.InRound(t.round.ID)
	if err != nil {
		return false, err
	}
	for _, row := range rows {
		if row.Mark != mark || slices.Contains(t.round.Unseen, mark) {
			continue
		}
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return false, err
		}
		if len(i.answers) > 0 || row.State == store.SignedOff {
			t.refuse(unseenAnswered, mark)
			return false, nil
		}
		if _, err := t.write(store.LeftOff{Inspection: row.ID}); err != nil {
			return false, err
		}
	}
	if slices.Contains(t.round.Unseen, mark) {
		return true, nil
	}
	t.round.Unseen = append(t.round.Unseen, mark)
	_, err = t.write(store.RoundNotSeen{Round: t.round.ID, Mark: mark})
	return true, err
}
