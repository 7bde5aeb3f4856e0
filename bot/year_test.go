package bot

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"becket/flows/due"
	"becket/store"
)

// TestYear lives through whole years of an invented store: rounds, faults, incidents, a notice, people who come and go,
// restarts, a week away and both changes of the clocks. Every change is compared with a card index of its own, and at the
// end the record is derived again. BECKET_YEARS says how many years (10), BECKET_YEAR_ITEMS how many items in the first of them (40; the
// others have a tenth, at least 40); -v prints the diary.
func TestYear(t *testing.T) {
	t.Parallel()
	years, items := fromEnv(t, "BECKET_YEARS", 10), fromEnv(t, "BECKET_YEAR_ITEMS", 40)
	for n := range years {
		size := items
		if n > 0 {
			size = max(40, items/10)
		}
		t.Run(fmt.Sprintf("seed %d, %d items", n+1, size), func(t *testing.T) {
			t.Parallel()
			live(t, uint64(n+1), size)
		})
	}
}

func fromEnv(t *testing.T, name string, usual int) int {
	if os.Getenv(name) == "" {
		return usual
	}
	n, err := strconv.Atoi(os.Getenv(name))
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return n
}

// year is one team's, from New Year's Day to New Year's Eve.
type year struct {
	*conversation
	zone   *time.Location
	chance *rand.Rand
	cards  cardIndex
	marks  []string
	agenda map[int][]func() // by day of the year
	away   [2]int           // from and to which day nobody and nothing is there
	over   map[string]int   // "MARK DAY" by how often it was told
	want   map[string]bool  // "MARK DAY" that has to be told
	heard  int              // how far through all that was said the reminders were read
	digest map[string]int   // by day
	late   map[string]int   // digests that were missed, as named on return
	nearer int              // how often an item was compared whose wear brought its day nearer
	diary  []string
}

// yearTeam is an invented team of six: two who may sign all year, one until the end of June, three members.
func yearTeam(n int, chance *rand.Rand) string {
	var b strings.Builder
	b.WriteString(`
team: {room: "!yard", name: Yard (invented), zone: Europe/London}
people:
- {id: "@ana", roles: [keeper], competent: [{flow: connector, until: 2099-12-31}, {flow: cam-handle-descender, until: 2099-12-31}]}
- {id: "@ben", competent: [{flow: connector, until: 2099-12-31}, {flow: cam-handle-descender, until: 2099-12-31}]}
- {id: "@cy", competent: [{flow: connector, until: 2026-06-30}]}
- {id: "@dee"}
- {id: "@eli"}
- {id: "@fay"}
sheets:
- {maker: Northlight, model: Kittiwake, flow: connector, document: Kittiwake leaflet (invented), edition: "1", page: page 2, figures: {groove_max: 1.0, section_new: 11.0, kn_open: 8, sleeve_turns: 5}, facts: {lock: screw}, confirmed_by: ["@ana", "@ben"]}
- maker: Skerry Works
  model: Dunlin
  flow: cam-handle-descender
  document: Dunlin care sheet (invented)
  edition: "3"
  page: table 2
  figures: {cam_groove_max: 1.037, plate_groove_max: 1.037, pin_new: 8.137, pin_min: 7.413, gap_new: 14.139, gap_max: 15.153, creep_max: 26.173, rivet_count: 6, handle_positions: 4}
  facts: {wear_mark: pin}
  confirmed_by: ["@ana", "@ben"]
instruments:
- {mark: C-2, kind: digital caliper, doubt: 0.04, check_by: 2099-12-31}
items:
`)
	for i := range n {
		if i%13 == 12 {
			fmt.Fprintf(&b, "- {mark: D-%03d, serial: S-%05d, flow: cam-handle-descender, maker: Skerry Works, model: Dunlin, made: 2022-03, first_use: 2022-05-10, use: people}\n", i, 7*i+10000)
			continue
		}
		life := ""
		if chance.IntN(12) == 0 { // ends within the year
			life = fmt.Sprintf(", life_made_years: 5, made: 2021-%02d-%02d", 2+chance.IntN(11), 1+chance.IntN(28))
		} else {
			life = ", made: 2023-05"
		}
		fmt.Fprintf(&b, "- {mark: K-%03d, serial: N-%05d, flow: connector, maker: Northlight, model: Kittiwake%s, use: people}\n", i, 7*i+10000, life)
	}
	return b.String()
}

func live(t *testing.T, seed uint64, n int) {
	zone, err := time.LoadLocation("Europe/London")
	if err != nil {
		t.Fatal(err)
	}
	chance := rand.New(rand.NewPCG(seed, 2026))
	team := yearTeam(n, chance)
	y := &year{
		conversation: talkIn(t, team, seed), zone: zone, chance: chance, cards: cardIndex{}, agenda: map[int][]func(){},
		over: map[string]int{}, want: map[string]bool{}, digest: map[string]int{}, late: map[string]int{},
	}
	y.now = time.Date(2026, 1, 1, 9, 0, 0, 0, zone)
	y.takeCards(team)
	y.plan()
	for day := 1; day <= 365; day++ {
		y.liveDay(day)
	}
	y.settle()
	y.compareMeasured()
	if testing.Verbose() {
		t.Log("\n" + strings.Join(y.diary, "\n"))
	}
}

// takeCards copies the register onto cards, from the file itself.
func (y *year) takeCards(team string) {
	for _, line := range regexp.MustCompile(`mark: ([KD]-\d+)(.*)`).FindAllStringSubmatch(team, -1) {
		c := &card{mark: line[1]}
		if life := regexp.MustCompile(`life_made_years: 5, made: ([\d-]+)`).FindStringSubmatch(line[2]); life != nil {
			made, err := time.Parse("2006-01-02", life[1])
			if err != nil {
				y.Fatal(err)
			}
			c.lifeEnds = monthsOn(made, 60)
		}
		y.cards[c.mark] = c
		y.marks = append(y.marks, c.mark)
	}
}

// on puts something into the agenda.
func (y *year) on(day int, do func()) { y.agenda[day] = append(y.agenda[day], do) }

func (y *year) anyMark() string { return y.marks[y.chance.IntN(len(y.marks))] }
func (y *year) anyone() string {
	return []string{"@ana", "@ben", "@cy", "@dee", "@eli", "@fay"}[y.chance.IntN(6)]
}
func (y *year) anyDay(a, b int) int { return a + y.chance.IntN(b-a) }

// plan is what the year brings, by chance.
func (y *year) plan() {
	y.on(1, func() { y.mustSay("@ana", "digest Monday 07:30 Europe/London") })
	a := y.anyDay(130, 150)
	y.away = [2]int{a, a + 7}
	for _, first := range []int{6, 170} { // two rounds
		each := slices.Clone(y.marks)
		y.chance.Shuffle(len(each), func(i, j int) { each[i], each[j] = each[j], each[i] })
		for n, mark := range each {
			day := first + n*25/len(each)
			if first > 100 && y.chance.IntN(20) == 0 {
				day += y.anyDay(20, 60) // late
			}
			y.on(day, func() { y.inspectAny(mark) })
		}
	}
	for _, mark := range y.marks {
		for _, day := range []int{60, 90, 115, 230} {
			if mark[0] == 'D' { // measured more often, since it wears
				y.on(day, func() { y.inspectAny(mark) })
			}
		}
	}
	for range 12 {
		day, mark, by := y.anyDay(30, 330), y.anyMark(), y.anyone()
		y.on(day, func() { y.fault(mark, by) })
	}
	for range 30 {
		day, mark, to := y.anyDay(8, 350), y.anyMark(), y.anyone()
		y.on(day, func() { y.issue(mark, to) })
		y.on(min(364, day+y.anyDay(1, 20)), func() { y.giveBack(mark) })
	}
	for range 5 {
		day, mark := y.anyDay(40, 300), y.anyMark()
		y.on(day, func() { y.notSeen(mark) })
		y.on(day+y.anyDay(3, 30), func() { y.foundAgain(mark) })
	}
	for n := range 3 {
		marks := []string{y.anyMark(), y.anyMark(), y.anyMark(), y.anyMark()}
		y.on(y.anyDay(40, 340), func() { y.incident(marks, n < 2) })
	}
	for range 2 {
		marks := []string{y.anyMark(), y.anyMark(), y.anyMark()}
		y.on(y.anyDay(40, 340), func() { y.dusty(marks) })
	}
	y.on(y.anyDay(100, 300), y.makersNotice)
	for range 5 {
		y.on(y.anyDay(10, 360), y.restart)
	}
	y.on(182, y.lapsed)
}

// liveDay goes through a day: midnight and the second on either side, the morning's reminders, what is in the agenda, and the evening.
func (y *year) liveDay(day int) {
	midnight := time.Date(2026, 1, day, 0, 0, 0, 0, y.zone)
	if day > 1 {
		y.overMidnight(midnight)
	}
	if y.off(day) {
		return
	}
	for _, hour := range []time.Duration{0, 90 * time.Minute, 7*time.Hour + 29*time.Minute, 7*time.Hour + 31*time.Minute} {
		y.remindAt(midnight.Add(hour + 30*time.Second))
	}
	y.to(time.Date(2026, 1, day, 9, 0, 0, 0, y.zone))
	for _, do := range y.agenda[day] {
		y.forward(time.Minute)
		do()
	}
	y.remindAt(time.Date(2026, 1, day, 20, 0, 0, 0, y.zone))
	if day%30 == 0 {
		y.compare(y.marks...)
	}
}

func (y *year) off(day int) bool { return day >= y.away[0] && day < y.away[1] }

// to moves the clock forward, never back.
func (y *year) to(at time.Time) {
	if at.After(y.now) {
		y.now = at
	}
}

func (y *year) remindAt(at time.Time) {
	y.to(at)
	if err := y.db.Do(y.Context(), func(tx *store.Tx) error { return y.bot.Remind(tx) }); err != nil {
		y.Fatal(err)
	}
	y.deliver()
	y.readReminders()
}

// overMidnight looks at what changes between two days: the second before and the one after, and a few besides.
func (y *year) overMidnight(midnight time.Time) {
	today := dayOf(midnight, y.zone)
	yesterday := today.AddDate(0, 0, -1)
	looked := []string{y.anyMark(), y.anyMark()}
	for _, mark := range y.marks {
		c := y.cards[mark]
		if c.usable(yesterday) != c.usable(today) {
			looked = append(looked, mark)
		}
		if !c.retired && c.holds == 0 && c.dueOn().Equal(yesterday) {
			y.want[mark+" "+today.Format("2006-01-02")] = true
		}
	}
	y.to(midnight.Add(-time.Second))
	y.compare(looked...)
	y.to(midnight)
	y.compare(looked...)
	y.to(midnight.Add(time.Second))
	y.compare(looked...)
}

// compare holds Becket against the cards.
func (y *year) compare(marks ...string) {
	y.Helper()
	y.view(func(tx *store.Tx) error {
		for _, mark := range marks {
			item, _, err := tx.Item(y.room, mark)
			if err != nil {
				return err
			}
			t := &turn{bot: y.bot, tx: tx, m: Message{Room: y.room}, zone: y.zone}
			s, err := t.statusOf(item)
			if err != nil {
				return err
			}
			y.compareOne(y.cards[mark], s)
		}
		return nil
	})
}

func (y *year) compareOne(c *card, s status) {
	y.Helper()
	today := dayOf(y.now, y.zone)
	if got, want := s.usable(due.On(y.now.In(y.zone))), c.usable(today); got != want {
		y.Fatalf("%s at %s: usable is %v, and by the cards %v (%+v): %v", c.mark, y.now.Format(time.RFC3339), got, want, *c, s.notForUse(due.On(y.now.In(y.zone))))
	}
	if got, want := len(s.holds) > 0, c.holds > 0 || c.retired; got != want {
		y.Fatalf("%s at %s: held is %v, and by the cards %v", c.mark, y.now, got, want)
	}
	if wears := wearsOut(c.grooves); !wears.IsZero() && wears.Equal(c.dueOn()) {
		y.nearer++
	}
	if got, want := s.due.String(), c.dueOn(); !c.retired && (got != "") != !want.IsZero() || !want.IsZero() && got != want.Format("2006-01-02") {
		y.Fatalf("%s at %s: due is %q, and by the cards %s", c.mark, y.now, got, want.Format("2006-01-02"))
	}
}

// around does something to an item, and looks at it just before and a second after.
func (y *year) around(mark string, do func()) {
	y.Helper()
	y.compare(mark)
	do()
	y.forward(time.Second)
	y.compare(mark)
}

func (y *year) mustSay(from, text string) heard {
	y.Helper()
	h := y.say(from, "", text)
	if h.refused() {
		y.Fatalf("%s says %q: %s", from, text, h.text())
	}
	y.note(from, text)
	return h
}

func (y *year) note(from, text string) {
	y.diary = append(y.diary, fmt.Sprintf("%s  %s: %s", y.now.In(y.zone).Format("2006-01-02 15:04"), from, text))
}

// inspectAny is a thorough inspection with now and then a finding, by somebody who may sign for it.
func (y *year) inspectAny(mark string) {
	c := y.cards[mark]
	if c.retired || c.unseen {
		return
	}
	by := []string{"@ana", "@ben"}[y.chance.IntN(2)]
	y.around(mark, func() { y.inspectAs(by, mark, y.anyFinding(mark)) })
}

func (y *year) anyFinding(mark string) finds {
	switch n := y.chance.IntN(100); {
	case mark[0] != 'K':
		return y.wears(mark)
	case n < 1:
		return finds{"function.gate": "failed"}
	case n < 3:
		return finds{"look.body_surface": "pits"}
	case n < 6:
		return finds{"look.body_surface": "rust"}
	}
	return nil
}

func (y *year) inspectAs(by, mark string, found finds) string {
	c := y.cards[mark]
	was := y.status(mark)
	_, v := y.inspect(by, mark, found)
	held := c.holds
	c.inspected(dayOf(y.now, y.zone), v.String())
	if read, measured := found["measure.cam_groove"]; measured {
		c.grooves = append(c.grooves, groove{c.last, deepest(read)})
	}
	if v.String() == "quarantine" { // each finding holds by itself
		c.holds = held + len(y.status(mark).holds) - len(was.holds)
	}
	if v.String() != "fit" {
		y.note(by, "inspects "+mark+": "+v.String())
	}
	return v.String()
}

// fault puts an item into quarantine, and days later somebody else inspects it and lets it go, or not.
func (y *year) fault(mark, by string) {
	c := y.cards[mark]
	if c.retired || c.unseen {
		return
	}
	y.around(mark, func() {
		y.mustSay(by, "quarantine "+mark+" sticks now and then")
		c.holds++
	})
	y.on(y.dayOfYear()+y.anyDay(2, 25), func() { y.letGo(mark, by) })
}

func (y *year) dayOfYear() int { return y.now.In(y.zone).YearDay() }

// letGo inspects a held item and releases it, hold by hold, where the rules let it.
func (y *year) letGo(mark, reporter string) {
	c := y.cards[mark]
	if c.retired || c.holds == 0 || c.unseen {
		return
	}
	by := "@ana"
	if reporter == by || c.holder == by {
		by = "@ben"
	}
	var verdict string
	y.around(mark, func() { verdict = y.inspectAs(by, mark, y.wears(mark)) })
	if verdict != "fit" && verdict != "watch" {
		return
	}
	y.around(mark, func() {
		for c.holds > 0 {
			text := "release " + mark + " washed and oiled; closes every time"
			if c.holds > 1 {
				text = "release " + mark + " 1 washed and oiled; closes every time"
			}
			if h := y.say(by, "", text); h.refused() {
				y.note(by, text+" - refused: "+h.text())
				return
			}
			c.holds--
			y.note(by, text)
		}
	})
}

// issue hands an item out; Becket has to refuse exactly what may not be used.
func (y *year) issue(mark, to string) {
	c := y.cards[mark]
	if c.holder != "" {
		return
	}
	y.around(mark, func() {
		h := y.say("@dee", "", "issue "+mark+" to "+to)
		if usable := c.usable(dayOf(y.now, y.zone)); h.refused() == usable {
			y.Fatalf("%s may be used: %v, and issuing it says: %s", mark, usable, h.text())
		}
		if !h.refused() {
			c.holder = to
			y.note("@dee", "issue "+mark+" to "+to)
		}
	})
}

func (y *year) giveBack(mark string) {
	if c := y.cards[mark]; c.holder != "" && !c.unseen {
		y.around(mark, func() {
			y.mustSay(c.holder, "return "+mark)
			c.holder = ""
		})
	}
}

func (y *year) notSeen(mark string) {
	if c := y.cards[mark]; !c.retired {
		y.around(mark, func() {
			y.mustSay("@eli", "not seen "+mark)
			c.unseen = true
		})
	}
}

func (y *year) foundAgain(mark string) {
	if c := y.cards[mark]; c.unseen {
		y.around(mark, func() {
			y.mustSay("@eli", "found "+mark+" in the east hut")
			c.unseen, c.lookAgain = false, "its history is unknown"
		})
		y.on(y.dayOfYear()+1, func() { y.inspectAny(mark) })
	}
}

// lapsed is the day after somebody's competence has ended: they can't sign any more.
func (y *year) lapsed() {
	for _, mark := range y.marks {
		c := y.cards[mark]
		overLife := !c.lifeEnds.IsZero() && dayOf(y.now, y.zone).After(c.lifeEnds) // it would stay open, to be retired
		if mark[0] != 'K' || c.retired || c.unseen || overLife {
			continue
		}
		y.around(mark, func() {
			thread := y.begin("@cy", mark)
			y.until("@cy", thread, "", nil)
			if h := y.say("@cy", thread, "sign retire looks old"); !h.refused() {
				y.Errorf("@cy's competence ended yesterday, and the signature is taken: %s", h.text())
			}
			y.say("@cy", thread, "leave off")
		})
		y.note("@cy", "can't sign any more")
		return
	}
}

// restart closes the record and opens it again with another Becket.
func (y *year) restart() {
	if err := y.db.Close(); err != nil {
		y.Fatal(err)
	}
	db, err := store.Open(context.Background(), y.file, func() time.Time { return y.now })
	if err != nil {
		y.Fatal(err)
	}
	y.db = db
	y.note("Becket", "starts again")
}

// readReminders reads what was said by itself since it last looked.
func (y *year) readReminders() {
	overOn := regexp.MustCompile(`Over on ([^,]+), so not for use until inspected:\n((?:  .+\n?)+)`)
	late := regexp.MustCompile(`Not told in time, the digest of: (.+)\. This is how it stands now`)
	digest := regexp.MustCompile(`(?m)^Yard \(invented\), \w+ (\d+ \w+ 2026):$`)
	for _, r := range y.every[y.heard:] {
		if r.Cause != "" || r.Room != y.room {
			continue
		}
		for _, found := range overOn.FindAllStringSubmatch(r.Text, -1) {
			for _, line := range strings.Split(strings.TrimSpace(found[2]), "\n") {
				mark, _, _ := strings.Cut(strings.TrimSpace(line), ":")
				y.over[mark+" "+isoDay(y.T, found[1])]++
			}
		}
		if found := late.FindStringSubmatch(r.Text); found != nil {
			for _, day := range strings.Split(found[1], ", ") {
				y.late[isoDay(y.T, day)]++
			}
			continue
		}
		for _, found := range digest.FindAllStringSubmatch(r.Text, -1) {
			y.digest[isoDay(y.T, found[1])]++
			y.digestCounts(r.Text)
		}
	}
	y.heard = len(y.every)
}

func isoDay(t *testing.T, words string) string {
	day, err := time.Parse("2 January 2006", words)
	if err != nil {
		t.Fatal(err)
	}
	return day.Format("2006-01-02")
}

// digestCounts compares how many items a digest has in quarantine with the cards.
func (y *year) digestCounts(text string) {
	held := 0
	for _, c := range y.cards {
		if c.holds > 0 && !c.retired {
			held++
		}
	}
	said := 0
	if n := regexp.MustCompile(`In quarantine: (\d+)`).FindStringSubmatch(text); n != nil {
		said, _ = strconv.Atoi(n[1])
	}
	if said != held {
		y.Errorf("%s: the digest has %d in quarantine, the cards %d: %s", y.now.Format(time.RFC3339), said, held, text)
	}
}

// settle looks at the whole year's reminders: each once, none missing.
func (y *year) settle() {
	for what, n := range y.over {
		if n > 1 {
			y.Errorf("%s was told %d times", what, n)
		}
	}
	for what := range y.want {
		if !y.told(what) {
			y.Errorf("%s fell due and was never told", what)
		}
	}
	for day := time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC); day.Year() == 2026; day = day.AddDate(0, 0, 7) {
		told, late := 1, 0
		if y.off(day.YearDay()) {
			told, late = 0, 1
		}
		iso := day.Format("2006-01-02")
		if y.digest[iso] != told || y.late[iso] != late {
			y.Errorf("the digest of Monday %s was told %d times, and named as missed %d times", iso, y.digest[iso], y.late[iso])
		}
	}
	if y.nearer == 0 {
		y.Error("no item's wear ever brought its day nearer")
	}
	y.note("Becket", fmt.Sprintf("%d items fell due, %d digests, %d messages, %d replies; %d looks at what wear brought nearer", len(y.want), len(y.digest), y.n, len(y.every), y.nearer))
}

// told tells whether something was said on its day, or on the first day back where nobody was there.
func (y *year) told(what string) bool {
	mark, day, _ := strings.Cut(what, " ")
	at, err := time.Parse("2006-01-02", day)
	if err != nil {
		y.Fatal(err)
	}
	if y.off(at.YearDay()) {
		at = time.Date(2026, 1, y.away[1], 0, 0, 0, 0, time.UTC)
	}
	return y.over[mark+" "+at.Format("2006-01-02")] == 1
}
