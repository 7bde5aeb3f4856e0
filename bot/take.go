package bot

import (
	"cmp"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"becket/flows"
	"becket/store"
)

// Take handles one received message in the transaction it is given: the inbox row done, what is written
// down, holds, and replies in the outbox, or nothing at all. No clock, network or model is within its reach.
func (b *Bot) Take(tx *store.Tx, m Message) error {
	t := &turn{bot: b, tx: tx, m: m, zone: tx.Now().Location(), thread: m.Thread}
	known, err := t.enter()
	if err != nil {
		return err
	}
	if known {
		if err := t.route(); err != nil {
			return err
		}
		if err := t.hush(); err != nil {
			return err
		}
	}
	if err := t.deliver(); err != nil {
		return err
	}
	return tx.Finish(m.ID, !known || t.refused())
}

// TakeStored is Take for a message as the inbox holds it.
func (b *Bot) TakeStored(tx *store.Tx, in store.Incoming) error {
	var m Message
	if err := json.Unmarshal(in.Body, &m); err != nil {
		return fmt.Errorf("reading a received message: %w", err)
	}
	return b.Take(tx, m)
}

// enter finds the team and the person. It tells whether this room is served at all.
func (t *turn) enter() (known bool, err error) {
	if err := t.follow(); err != nil {
		return false, err
	}
	t.team, known, err = t.tx.Team(t.m.Room)
	if err != nil {
		return false, err
	}
	if !known && t.m.Room == t.m.From {
		if known, err = t.aside(); err != nil || !known {
			return false, err
		}
	}
	if !known {
		if known, err = t.found(); err != nil || !known {
			return false, err
		}
	}
	if t.team.Zone != "" {
		if t.zone, err = t.bot.zones.zone(t.team.Zone); err != nil {
			return false, err
		}
	}
	t.person, t.listed, err = t.tx.Person(t.m.Room, t.m.From)
	return true, err
}

// zoneOf reads an IANA zone's name, or an offset like +02:00 that stands for a clock without a name.
func zoneOf(name string) (*time.Location, error) {
	if at, err := time.Parse("-07:00", name); err == nil {
		return at.Location(), nil
	}
	zone, err := time.LoadLocation(name)
	if err != nil {
		return nil, fmt.Errorf("the time zone %q isn't known; give one like Europe/London", name)
	}
	return zone, nil
}

// found makes the first person to speak keeper of a new team, where that is allowed and no team is there.
func (t *turn) found() (bool, error) {
	n, err := t.tx.Teams()
	if err != nil || n > 0 || !t.bot.firstIsKeeper {
		return false, err
	}
	if _, err := t.write(store.TeamNamed{Name: "our store", Origin: "first message"}); err != nil {
		return false, err
	}
	if _, err := t.write(store.PersonListed{Person: store.Person{ID: t.m.From, Roles: []string{store.Keeper}}}); err != nil {
		return false, err
	}
	t.say(firstKeeper, t.m.From)
	t.team, _, err = t.tx.Team(t.m.Room)
	return true, err
}

// maxText is how many characters of one message are read.
const maxText = 4000

// route decides what a message is: an edit, a command, an answer in a form, or an answer in an inspection.
func (t *turn) route() error {
	t.m.Text = strings.TrimSpace(t.m.Text)
	wrong := t.unreadable()
	if t.private {
		return t.routeAlone(wrong)
	}
	switch {
	case t.m.Deletes != "":
		return t.deleted()
	case t.m.Answers != "":
		return t.tap()
	case t.m.Replaces != "" && wrong == "":
		return t.edit()
	}
	if err := t.openForm(); err != nil {
		return err
	}
	if err := t.find(); err != nil {
		return err
	}
	if err := t.findRound(); err != nil {
		return err
	}
	if sheet, is := t.sentSheet(); is && wrong == "" {
		return t.importSheet(sheet)
	}
	switch {
	case wrong != "" && t.here != nil:
		return t.again(t.here, wrong)
	case wrong != "":
		t.refuse("%s", wrong)
		return nil
	}
	if t.form == nil && t.here == nil {
		t.saysWhere()
	}
	if saysStop(t.m.Text) {
		return t.howToStop()
	}
	cmd, args, is := commandIn(t.m.Text)
	is = is && t.meantAs(cmd, args)
	if t.form != nil && t.form.Offer && !isYesOrNo(t.m.Text) && (is && !cmd.asks || t.here != nil || t.ended) {
		if err := t.lapse(); err != nil {
			return err
		}
	}
	if t.form != nil && t.form.Passing && is && cmd.run != nil && !cmd.asks {
		if err := t.lapse(); err != nil {
			return err
		}
	}
	switch {
	case t.form != nil && (!is || cmd.run == nil):
		return t.answerForm()
	case is:
		return t.obey(cmd, args)
	}
	if turned, err := t.turnTo(); err != nil || turned {
		return err
	}
	switch {
	case t.here != nil:
		return t.answer(t.here, t.m.Text)
	}
	return t.idle()
}

// saysStop tells whether somebody wants to end what goes on, in words of other programs.
func saysStop(text string) bool {
	return slices.Contains([]string{"stop", "cancel", "quit", "exit", "abort"}, bare(strings.Trim(text, " !")))
}

// howToStop says what ends what goes on, or lays it by. Nothing is ended by it.
func (t *turn) howToStop() error {
	switch {
	case t.form != nil && !t.form.Offer:
		return t.complainForm(stopForm)
	case t.here != nil:
		return t.again(t.here, stopHow)
	}
	t.refuse(stopNothing)
	return nil
}

// anyAnswer takes a message that only began like a command as what it was: an answer, or nothing that is understood.
func (t *turn) anyAnswer() error {
	switch {
	case t.form != nil:
		return t.answerForm()
	case t.here != nil:
		return t.answer(t.here, t.m.Text)
	}
	return t.idle()
}

func isYesOrNo(text string) bool { return sameWord(text, "yes") || sameWord(text, "no") }

// unreadable says why a message can't be read at all; empty: it can.
func (t *turn) unreadable() string {
	if n := len([]rune(t.m.Text)); n > maxText {
		return format(tooLong, n, maxText)
	}
	for _, f := range t.m.Files {
		switch {
		case f.Problem != "":
			return f.Problem
		case f.isSheet() && (t.private || t.m.Replaces != ""):
			return importInRoom
		}
	}
	return ""
}

// takesWords tells whether the open question is answered in free words.
func (t *turn) takesWords() bool {
	if t.form != nil {
		asked, _, _, _, err := t.openField()
		return err != nil || len(asked.choices) == 0
	}
	if t.here == nil {
		return false
	}
	q, open := t.here.next()
	return open && (q.Kind == flows.KindNote || q.Kind == flows.KindMatch)
}

// meantAs tells whether a line that begins like a command is one. Where an answer takes any words it may begin with any
// word too, so there a command is known by what follows.
func (t *turn) meantAs(cmd command, args string) bool {
	switch {
	case cmd.always || cmd.bare || t.namesItem(args):
		return true
	case t.takesWords():
		return args == "" && !cmd.whom && !(cmd.named && t.here != nil) || cmd.shaped(args) || cmd.report && t.tellsOfKit(args)
	}
	return !cmd.named || t.here == nil || cmd.shaped(args)
}

// namesItem tells whether a command's words begin with the mark of something in the register, of a set or bag, or of
// something reported without a mark.
func (t *turn) namesItem(args string) bool {
	word, _ := firstWord(args)
	mark := bareMark(word)
	_, found, err := t.tx.Item(t.m.Room, mark)
	if err == nil && !found {
		_, found, err = t.tx.Bundle(t.m.Room, mark)
	}
	if err == nil && !found {
		_, found, err = t.tx.Unmarked(t.m.Room, mark)
	}
	return err == nil && found
}

// tellsOfKit tells whether a report names kit anywhere, mistyped perhaps, or says that no mark can be read.
func (t *turn) tellsOfKit(report string) bool {
	return saysNoMark(report) || slices.ContainsFunc(strings.Fields(report), func(word string) bool {
		return strings.ContainsAny(word, digits) && strings.ContainsFunc(word, unicode.IsLetter) || t.namesItem(word)
	})
}

// obey runs a command, if the speaker may.
func (t *turn) obey(cmd command, args string) error {
	if ok, err := t.may(cmd.act, ""); err != nil || !ok {
		return err
	}
	if cmd.run != nil {
		return cmd.run(t, args)
	}
	return t.inHand(args, cmd.within)
}

// inHand does something with the speaker's open inspection: the one in hand, or one named where several are open.
func (t *turn) inHand(args string, do func(t *turn, i *inspection, args string) error) error {
	if t.here == nil && len(t.several) > 1 && args != "" { // "pause P-01", with more than one open
		if i, err := t.ownOpen(args); err != nil || i != nil {
			if err != nil {
				return err
			}
			t.here, t.thread, args = i, i.Thread, ""
		}
	}
	switch {
	case t.here != nil:
		return do(t, t.here, args)
	case t.round != nil || len(t.several) > 1 || len(t.paused) > 0 || t.ended || t.others != nil:
		return t.idle()
	}
	t.refuse(nothingOpen)
	return nil
}

// ownOpen is the speaker's own open inspection of a mark.
func (t *turn) ownOpen(mark string) (*inspection, error) {
	row, found, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil || !found || row.Inspector != t.m.From {
		return nil, err
	}
	return t.bot.load(t.tx, row)
}

// idle answers what was no command where no answer is awaited.
func (t *turn) idle() error {
	switch {
	case t.round != nil && len(t.several) == 0 && t.here == nil && t.others == nil && len(t.paused) == 0:
		t.refuse(roundIdle)
	case len(t.several) > 1:
		t.refuse(whichOne, strings.Join(t.several, ", "), t.several[0])
		t.tellsOfFault()
	case t.ended:
		t.refuse(noLongerOpen)
	case t.others != nil && !t.listed:
		t.refuse(notYoursLook, t.others.Mark, t.others.Inspector)
	case t.others != nil:
		t.refuse(notYours, t.others.Mark, t.others.Inspector)
	case len(t.paused) > 0:
		t.refuse(isPaused, list(t.paused))
		t.tellsOfFault()
	case t.listed && t.isView():
		return t.viewGoesAlone()
	case t.listed && t.m.Text == "" && t.codeOf() != "":
		return t.byCode(t.codeOf())
	case t.m.Text == "":
		t.refuse(emptyIdle)
	case saysThanks(t.m.Text):
		t.reply(anyTime)
	case !t.listed:
		t.refuse(strangerIdle, t.m.From)
	default:
		t.notUnderstood()
	}
	return nil
}

// saysThanks tells whether a text is nothing but thanks.
func saysThanks(text string) bool {
	return slices.Contains([]string{"thanks", "thank you", "ta", "cheers", "many thanks", "thx"}, bare(strings.Trim(text, " !")))
}

// tellsOfFault adds to a refusal what to type where words that are no answer name an item, so that a fault told in passing isn't
// lost.
func (t *turn) tellsOfFault() {
	if how := t.faultOf(""); how != "" && len(strings.Fields(t.m.Text)) > 1 && !t.isView() {
		last := &t.replies[len(t.replies)-1]
		last.Text = joined(last.Text, how)
	}
}

func (t *turn) notUnderstood() {
	if meant := t.mistyped(); meant != "" {
		t.refuse("%s", format(didYouMean, clip(t.m.Text, 40), clip(meant, 80)))
		return
	}
	if word, rest := firstWord(t.m.Text); rest == "" && t.namesItem(word) {
		t.refuse(typedMark, strings.ToUpper(bareMark(word)))
		return
	}
	if alone, rest, is := t.typedAlone(); is {
		said := format(typedAlone, alone, clip(rest, 30))
		if t.namesItem(rest) {
			word, _ := firstWord(rest)
			said = joined(said, format(typedForItem, strings.ToUpper(bareMark(word))))
		}
		t.refuse("%s", said)
		return
	}
	t.refuse("%s", format(notUnderstood, clip(t.m.Text, 40))+" "+cmp.Or(t.faultOf(""), faultAnyHow))
}
