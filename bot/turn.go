package bot

import (
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// turn is one message being taken: who says it, where, and what is answered.
type turn struct {
	bot     *Bot
	tx      *store.Tx
	m       Message
	team    store.Team
	zone    *time.Location
	person  store.Person
	listed  bool
	thread  string // where replies go; the message's own until an inspection opens one
	replies []Reply
	private bool // the speaker is alone with Becket; m.Room is that of their team all the same

	form    *form        // what the speaker is half-way through entering
	here    *inspection  // whose open question this message may answer
	several []string     // the marks of the speaker's inspections, when the message could answer more than one
	others  *inspection  // somebody else's inspection in this conversation
	hasty   bool         // the answer came faster than anybody can look
	paused  []string     // the marks of the speaker's inspections that wait for "carry on"
	ended   bool         // this conversation's inspection is over
	round   *store.Round // the speaker's own round, while it is open
	// explained are the explanations that were put to the speaker, where they may leave in other words.
	explained []string
	inFull    bool // a line is to be shown with all that could be found
}

// keep keeps a file that was made, to go out with a reply, and no longer: it can be made again, and once the reply is delivered
// nothing speaks of it.
func (t *turn) keep(name, kind string, data []byte) (File, error) {
	hash, size, err := t.tx.KeepFile(data)
	if err == nil {
		err = t.tx.Unwanted(hash)
	}
	return File{Name: name, Hash: hash, Type: kind, Size: size}, err
}

// onBehalf looks at a team's store without anybody having said anything.
func (b *Bot) onBehalf(tx *store.Tx, room string) (*turn, error) {
	t := &turn{bot: b, tx: tx, m: Message{Room: room}, zone: tx.Now().Location()}
	team, found, err := tx.Team(room)
	switch {
	case err != nil:
		return nil, err
	case !found:
		return nil, fmt.Errorf("there is no team in the room %s", room)
	case team.Zone != "":
		t.zone, err = b.zones.zone(team.Zone)
	}
	t.team = team
	return t, err
}

// day is today where the team is.
func (t *turn) day() due.Date { return due.On(t.tx.Now().In(t.zone)) }

// on is the day of a moment where the team is, in words.
func (t *turn) on(at time.Time) string { return due.On(at.In(t.zone)).Words() }

// moment is a time as people in the team read a clock.
func (t *turn) moment(at time.Time) string { return at.In(t.zone).Format("2 January 2006 15:04") }

// reply starts a reply in this conversation.
func (t *turn) reply(text string) *Reply {
	room := t.m.Room
	if t.private {
		room = t.m.From
	}
	t.replies = append(t.replies, Reply{
		Key: fmt.Sprintf("%s/%d", t.m.ID, len(t.replies)+1), Cause: t.m.ID,
		Room: room, Thread: t.thread, To: t.m.From, Text: text,
	})
	return &t.replies[len(t.replies)-1]
}

// say answers in this conversation.
func (t *turn) say(format string, args ...any) *Reply { return t.reply(fmt.Sprintf(format, args...)) }

// refuse answers that nothing was done, and what to type instead.
func (t *turn) refuse(format string, args ...any) {
	t.say(format, args...).Refused = true
}

// refused tells whether all that was said is that nothing was done.
func (t *turn) refused() bool { return len(t.replies) > 0 && t.replies[len(t.replies)-1].Refused }

// write appends to the record.
func (t *turn) write(ev store.Event) (store.Entry, error) {
	return t.tx.Append(t.m.Room, t.m.From, t.m.ID, ev)
}

// deliver puts the replies into the outbox.
func (t *turn) deliver() error {
	for _, r := range t.replies {
		said, err := t.inTheirs(r)
		if err != nil {
			return err
		}
		body, err := json.Marshal(said)
		if err != nil {
			return fmt.Errorf("writing a reply: %w", err)
		}
		if err := t.tx.Say(r.Key, r.Cause, r.Room, body); err != nil {
			return err
		}
		if err := t.explains(r); err != nil {
			return err
		}
		if r.Ask != nil && len(r.Ask.Taps()) > 0 {
			if err := t.tx.Questions(r.Key, r.Ask.asking); err != nil {
				return err
			}
		}
	}
	return nil
}

// explains notes which explanations of a reply may leave in other words, where there are any for whoever it answers.
func (t *turn) explains(r Reply) error {
	if len(t.explained) == 0 {
		return nil
	}
	language, err := t.languageOf(r.To)
	if err != nil {
		return err
	}
	g := store.Guidance{Language: language}
	for _, e := range t.explained {
		if !strings.Contains(r.Text, e) {
			continue
		}
		other, err := t.bot.rewords(t.tx, e, language)
		if err != nil {
			return err
		}
		if other {
			g.Texts = append(g.Texts, e)
		}
	}
	if len(g.Texts) == 0 {
		return nil
	}
	return t.tx.Explains(r.Key, g)
}

// may tells whether the speaker may do something for a family; if not, it has said who can.
func (t *turn) may(a act, family string) (bool, error) {
	if may(t.person, t.listed, a, family, t.day()) {
		return true, nil
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return false, err
	}
	if !t.listed {
		t.refuse(notListed, t.m.From, capital(list(keepersOf(people))))
		return false, nil
	}
	t.refuse(mayNot, t.m.From, a, t.familyName(family), list(whoMay(people, a, family, t.day())))
	return false, nil
}

func (t *turn) familyName(family string) string {
	if _, ok := t.bot.library[family]; ok {
		return " (" + t.bot.title(family) + ")"
	}
	return ""
}

func keepersOf(people []store.Person) []string {
	var ids []string
	for _, p := range people {
		if p.IsKeeper() {
			ids = append(ids, p.ID)
		}
	}
	return ids
}

// list is how names are listed: "@ana", "@ana or @ben", "nobody yet".
func list(names []string) string {
	switch len(names) {
	case 0:
		return nobodyYet
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// seedFor draws the chance of one inspection from what nobody can choose: the record so far.
func (t *turn) seedFor() (uint64, error) {
	if t.bot.seed != nil {
		return *t.bot.seed, nil
	}
	_, head, err := t.tx.Head()
	if err != nil {
		return 0, err
	}
	var seed uint64
	for _, b := range head[:8] {
		seed = seed<<8 | uint64(b)
	}
	return seed, nil
}

// factsOf joins what the item and its sheet say; the item's own word counts first.
func factsOf(item store.Item, sheet store.Sheet, f *flows.Flow) map[string]string {
	facts := map[string]string{}
	for _, fact := range f.Facts {
		if v, ok := sheet.Facts[fact.ID]; ok {
			facts[fact.ID] = v
		}
		if v, ok := item.Facts[fact.ID]; ok {
			facts[fact.ID] = v
		}
	}
	return facts
}
