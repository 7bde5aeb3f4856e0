package bot

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"becket/flows/due"
	"becket/store"
)

// teller is whose word an entry is that nobody asked for.
const teller = "becket"

// ranAhead is how far the clock has to have gone ahead for what it claimed to be taken back once it is put right. A
// smaller step back only waits.
const ranAhead = 48 * time.Hour

// troubledFor is how long a room in which telling failed is left alone before it is tried again.
const troubledFor = 15 * time.Minute

// Remind tells what is due to be told, and claims it in the same transaction, so that each is told once however often
// this is called and whatever happens between two calls. Transports call it as they start, and then every half minute.
// What fails in one room stays that room's: Options.Troubled is told, it is tried again later, and the others are told.
func (b *Bot) Remind(tx *store.Tx) error {
	if err := tx.Rewind(ranAhead); err != nil {
		return err
	}
	fresh, err := tx.Without(store.RuleDue)
	if err != nil {
		return err
	}
	for _, r := range fresh {
		if err := tx.Recur(r.Room, r.Rule, r.Since); err != nil {
			return err
		}
	}
	if err := b.eachTeam(tx, b.sayEditions, b.sayForetold); err != nil {
		return err
	}
	for {
		first, found, err := tx.NextReminder()
		if err != nil || !found {
			return err
		}
		failed, err := b.try(tx, first.Room, func() error { return b.remind(tx, first) })
		if err != nil {
			return err
		}
		if !failed {
			continue
		}
		all, err := tx.DueWith(first)
		if err != nil {
			return err
		}
		for _, r := range all {
			if err := tx.HoldBack(r, tx.Now().Add(troubledFor)); err != nil {
				return err
			}
		}
	}
}

// eachTeam does in each room what comes once and by no calendar.
func (b *Bot) eachTeam(tx *store.Tx, say ...func(*store.Tx, string) error) error {
	teams, err := tx.AllTeams()
	if err != nil {
		return err
	}
	for _, team := range teams {
		for _, once := range say {
			if _, err := b.try(tx, team.Room, func() error { return once(tx, team.Room) }); err != nil {
				return err
			}
		}
	}
	return nil
}

// try does something for one room. An error of that room's is said to who runs the program, and leaves nothing half done;
// trouble with the file or the disk is everybody's.
func (b *Bot) try(tx *store.Tx, room string, do func() error) (failed bool, err error) {
	wrong, err := tx.Try(do)
	var problem store.Problem
	if err != nil || errors.As(wrong, &problem) {
		return false, fmt.Errorf("telling %s what is due: %w", room, errors.Join(wrong, err))
	}
	if wrong != nil && b.troubled != nil {
		b.troubled(room, wrong)
	}
	return wrong != nil, nil
}

// remind handles all that goes into one message with a reminder. None of it is due afterwards.
func (b *Bot) remind(tx *store.Tx, first store.Reminder) error {
	t := &turn{bot: b, tx: tx, m: Message{Room: first.Room, From: teller}, zone: tx.Now().Location()}
	var known bool
	var err error
	if t.team, known, err = tx.Team(first.Room); err != nil {
		return err
	}
	if !known {
		return tx.Forget(first)
	}
	if t.team.Zone != "" {
		if t.zone, err = b.zones.zone(t.team.Zone); err != nil {
			return err
		}
	}
	all, err := tx.DueWith(first)
	if err != nil {
		return err
	}
	told, err := tx.Telling(first.Room)
	if err != nil {
		return err
	}
	if until, quiet := quietUntil(told, tx.Now().In(t.zone)); quiet {
		for _, r := range all {
			if err := tx.HoldBack(r, until); err != nil {
				return err
			}
		}
		return nil
	}
	t.m.ID = fmt.Sprintf("told/%s/%s/%d", first.Room, first.Person, tx.Now().UnixMicro())
	if first.Person != "" {
		return t.askPerson(first.Person, all)
	}
	return t.tellRoom(told, all)
}

// recurring is what came by one rule since it was last told.
type recurring struct {
	rule   store.Reminder
	days   []due.Date // whose time came
	missed int        // how many of them, from the first, weren't told in time
	when   due.Weekly
}

// punctual is how long after its time something is still told as if it came on time. What is later than that is said
// once, with all else that was missed.
func punctual(rule string) time.Duration {
	if rule == store.RuleDigest {
		return 2 * time.Hour
	}
	return 24 * time.Hour // a day's dates count all day long
}

// recurrence is when a rule's time comes.
func (t *turn) recurrence(rule string, told store.Telling) (due.Weekly, error) {
	if rule != store.RuleDigest {
		return due.Daily(0, 0, t.zone), nil
	}
	zone, err := t.bot.zones.zone(told.Zone)
	if err != nil {
		return due.Weekly{}, err
	}
	hour, minute, err := readWall(told.At)
	w := due.Weekly{Hour: hour, Minute: minute, Zone: zone}
	for day := range w.Days {
		w.Days[day] = slices.Contains(told.Days, time.Weekday(day).String())
	}
	return w, err
}

// came finds what came by a rule since it was last told.
func (t *turn) came(r store.Reminder, told store.Telling) (recurring, error) {
	when, err := t.recurrence(r.Rule, told)
	c := recurring{rule: r, when: when}
	if err != nil {
		return c, err
	}
	for _, day := range when.Between(r.Since, t.tx.Now()) {
		before, err := t.tx.Told(r.Room, r.Rule, day.String())
		if err != nil {
			return c, err
		}
		if before { // by a clock that has been put back since
			continue
		}
		c.days = append(c.days, day)
		if t.tx.Now().Sub(c.at(day)) > punctual(r.Rule) {
			c.missed++
		}
	}
	return c, nil
}

func (c recurring) at(day due.Date) time.Time {
	return due.At(day, c.when.Hour, c.when.Minute, c.when.Zone)
}

// tellRoom says in one message what fell due, the digest, and what was missed, and claims all of it.
func (t *turn) tellRoom(told store.Telling, rules []store.Reminder) error {
	var all []recurring
	for _, r := range rules {
		c, err := t.came(r, told)
		if err != nil {
			return err
		}
		all = append(all, c)
	}
	text, err := t.whatCame(all)
	if err != nil {
		return err
	}
	key := ""
	if text != "" {
		key = t.m.ID
		if err := t.sayByItself(Reply{Key: key, Room: t.m.Room, Text: text}); err != nil {
			return err
		}
	}
	for _, c := range all {
		if err := t.claim(c, key); err != nil {
			return err
		}
	}
	return nil
}

// whatCame is the message; empty: nothing is to be said.
func (t *turn) whatCame(all []recurring) (string, error) {
	if !slices.ContainsFunc(all, func(c recurring) bool { return len(c.days) > 0 }) {
		return "", nil
	}
	s, err := t.survey(lifeDays)
	if err != nil {
		return "", err
	}
	var parts []string
	var told []recurring
	for _, c := range all {
		if len(c.days) == 0 {
			continue
		}
		var part string
		if c.rule.Rule == store.RuleDigest {
			part, err = t.digest(s)
		} else {
			part, err = t.fellDue(s, due.On(c.rule.Since.In(t.zone)))
		}
		if err != nil {
			return "", err
		}
		if part != "" {
			parts, told = append(parts, part), append(told, c)
		}
	}
	return joined(append(away(told), parts...)...), nil
}

// away says what wasn't told in time, if anything wasn't.
func away(told []recurring) []string {
	var first, last due.Date
	var digests []string
	for _, c := range told {
		if c.missed == 0 {
			continue
		}
		if from := c.days[0]; first.IsZero() || from.Before(first) {
			first = from
		}
		if to := c.days[len(c.days)-1]; to.After(last) {
			last = to
		}
		if c.rule.Rule == store.RuleDigest {
			digests = wordsOf(c.days[:c.missed])
		}
	}
	if first.IsZero() {
		return nil
	}
	said := []string{format(whileAway, first.Words(), last.Words())}
	if first == last {
		said[0] = format(whileAwayOn, first.Words())
	}
	if len(digests) > 0 {
		said = append(said, format(awayDigests, cutList(digests, digestLines)))
	}
	return said
}

func wordsOf(days []due.Date) []string {
	words := make([]string, len(days))
	for n, d := range days {
		words[n] = d.Words()
	}
	return words
}

// cutList lists the first few and counts the rest.
func cutList(words []string, most int) string {
	if len(words) <= most {
		return strings.Join(words, ", ")
	}
	return format(andMore, strings.Join(words[:most], ", "), len(words)-most)
}

// fellDue says what fell due between a day and today; empty: nothing did. It has whoever alone can act asked alone.
func (t *turn) fellDue(s *survey, before due.Date) (string, error) {
	var fell []string
	for _, item := range s.items {
		if !item.out() && !item.due.IsZero() && due.Overdue(s.today, item.due) && !due.Overdue(before, item.due) {
			fell = append(fell, format(dueOver, item.item.Mark, strings.Join(item.notForUse(s.today), "; ")))
		}
	}
	if err := t.askEach(s); err != nil || len(fell) == 0 {
		return "", err
	}
	if more := len(fell) - fellMost; more > 0 {
		fell = append(fell[:fellMost], format(openMore, more, dueWord))
	}
	unsaid, err := t.sayUnaccounted(copyOpen)
	return joined(section(format(fellDue, s.today.Words()), fell), unsaid), err
}

// fellMost is how many items that fell due at once are named.
const fellMost = 20

// claim writes down what a rule's message told, and when its time comes next.
func (t *turn) claim(c recurring, key string) error {
	for _, day := range c.days {
		if err := t.tx.Occurred(c.rule.Room, c.rule.Rule, day.String(), c.at(day), key); err != nil {
			return err
		}
	}
	_, next, found := c.when.After(t.tx.Now())
	if !found {
		return t.tx.Forget(c.rule)
	}
	return t.tx.Claim(c.rule, next)
}

// sayByItself puts something into the outbox that no message asked for.
func (t *turn) sayByItself(r Reply) error {
	said, err := t.inTheirs(r)
	if err != nil {
		return err
	}
	body, err := json.Marshal(said)
	if err != nil {
		return fmt.Errorf("writing a reminder: %w", err)
	}
	return t.tx.Say(r.Key, "", r.Room, body)
}

// quietUntil tells whether a local time lies in a team's quiet hours, and when they end.
func quietUntil(told store.Telling, now time.Time) (until time.Time, quiet bool) {
	fromHour, fromMinute, errFrom := readWall(told.QuietFrom)
	toHour, toMinute, errTo := readWall(told.QuietTo)
	if errFrom != nil || errTo != nil {
		return until, false // none are set
	}
	today := due.On(now)
	for _, begins := range []due.Date{today.AddDays(-1), today} {
		ends := begins
		if toHour*60+toMinute <= fromHour*60+fromMinute {
			ends = begins.AddDays(1)
		}
		from, to := due.At(begins, fromHour, fromMinute, now.Location()), due.At(ends, toHour, toMinute, now.Location())
		if !now.Before(from) && now.Before(to) {
			return to, true
		}
	}
	return until, false
}
