package bot

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"becket/store"
)

// digestWhen says when the team is told what is open, and lets the keeper change it.
func (t *turn) digestWhen(args string) error {
	told, err := t.tx.Telling(t.m.Room)
	if err != nil {
		return err
	}
	if args == "" {
		return t.sayDigest(told)
	}
	if ok, err := t.may(actTelling, ""); err != nil || !ok {
		return err
	}
	if sameWord(strings.TrimRight(args, "."), "off") {
		return t.endDigest(told)
	}
	set, wrong := t.readDigest(args)
	if wrong != "" {
		t.refuse("%s", wrong)
		return nil
	}
	if _, err := t.write(set); err != nil {
		return err
	}
	if err := t.tx.Recur(t.m.Room, store.RuleDigest, t.tx.Now()); err != nil {
		return err
	}
	told.Days, told.At, told.Zone = set.Days, set.At, set.Zone
	return t.sayDigest(told)
}

// sayDigest says in full when the digest comes, and when next.
func (t *turn) sayDigest(told store.Telling) error {
	if len(told.Days) == 0 {
		t.say(digestNone)
		return nil
	}
	when, err := t.recurrence(store.RuleDigest, told)
	if err != nil {
		return err
	}
	_, next, _ := when.After(t.tx.Now())
	held := ""
	if until, quiet := quietUntil(told, next.In(t.zone)); quiet {
		held = format(digestInQuiet, told.QuietFrom, told.QuietTo, until.In(t.zone).Format("15:04"))
	}
	t.reply(joined(format(digestSet, daysInWords(told.Days), told.At, told.Zone, next.Format("Monday 2 January 2006 15:04")), held))
	return nil
}

func daysInWords(days []string) string {
	switch len(days) {
	case 7:
		return everyDay
	case 1:
		return days[0]
	}
	return format(listAnd, strings.Join(days[:len(days)-1], ", "), days[len(days)-1])
}

// endDigest ends the digest and says what nobody will then be told.
func (t *turn) endDigest(told store.Telling) error {
	if len(told.Days) == 0 {
		t.refuse(digestNone)
		return nil
	}
	s, err := t.survey(lifeDays)
	if err != nil {
		return err
	}
	all, err := s.pressing()
	if err != nil {
		return err
	}
	var now []string
	for _, o := range all {
		now = append(now, "  "+format(openCounted, s.headOf(o.source), strconv.Itoa(len(o.matters))))
	}
	if _, err := t.write(store.DigestEnded{}); err != nil {
		return err
	}
	if err := t.tx.StopRecurring(t.m.Room, store.RuleDigest); err != nil {
		return err
	}
	if len(now) > 0 {
		now = append([]string{digestUntold}, now...)
	}
	t.reply(joined(append([]string{digestEnded}, now...)...))
	return nil
}

// readDigest reads "Monday 07:30 Europe/London"; the zone may be left out where the team has one.
func (t *turn) readDigest(args string) (set store.DigestSet, wrong string) {
	set.Zone = t.team.Zone
	for _, word := range strings.FieldsFunc(args, func(r rune) bool { return r == ' ' || r == ',' || r == '\n' || r == '\t' }) {
		days, isDay := weekdaysIn(word)
		_, _, notWall := readWall(word)
		switch {
		case isDay:
			set.Days = append(set.Days, days...)
		case notWall == nil && set.At == "":
			set.At = word
		case strings.EqualFold(word, "and") || strings.EqualFold(word, "at") || strings.EqualFold(word, "every"):
		case strings.Contains(word, "/") || strings.EqualFold(word, "UTC"):
			if _, err := time.LoadLocation(word); err != nil {
				return set, format(zoneUnknown, clip(word, 40))
			}
			set.Zone = word
		default:
			return set, format(digestHow, clip(word, 30))
		}
	}
	switch {
	case len(set.Days) == 0 || set.At == "":
		return set, format(digestHow, clip(args, 30))
	case set.Zone == "":
		return set, format(zoneMissing, strings.TrimSpace(args))
	}
	hour, minute, _ := readWall(set.At)
	set.At = wall(hour, minute)
	set.Days = inWeekOrder(set.Days)
	return set, ""
}

// quiet says when Becket says nothing by itself, and lets the keeper change it.
func (t *turn) quiet(args string) error {
	told, err := t.tx.Telling(t.m.Room)
	if err != nil {
		return err
	}
	if args == "" {
		t.sayQuiet(told)
		return nil
	}
	if ok, err := t.may(actTelling, ""); err != nil || !ok {
		return err
	}
	var set store.QuietSet
	if !sameWord(strings.TrimRight(args, "."), "off") {
		said := strings.NewReplacer("from ", "", " until ", " to ", "-", " to ").Replace(strings.ToLower(args))
		from, to, ok := strings.Cut(said, " to ")
		fromHour, fromMinute, errFrom := readWall(from)
		toHour, toMinute, errTo := readWall(to)
		set = store.QuietSet{From: wall(fromHour, fromMinute), To: wall(toHour, toMinute)}
		if !ok || errFrom != nil || errTo != nil || set.From == set.To {
			t.refuse(quietHow, clip(args, 30))
			return nil
		}
	}
	if _, err := t.write(set); err != nil {
		return err
	}
	told.QuietFrom, told.QuietTo = set.From, set.To
	t.sayQuiet(told)
	return nil
}

func (t *turn) sayQuiet(told store.Telling) {
	if told.QuietFrom == "" {
		t.say(quietNone)
		return
	}
	t.say(quietSet, told.QuietFrom, told.QuietTo, t.zone)
}

// readWall reads a wall time: "07:30", "7.30" or "7:30".
func readWall(text string) (hour, minute int, err error) {
	text = strings.ReplaceAll(strings.TrimRight(strings.TrimSpace(text), "."), ".", ":")
	at, err := time.Parse("15:04", text)
	return at.Hour(), at.Minute(), err
}

func wall(hour, minute int) string {
	return time.Date(0, 1, 1, hour, minute, 0, 0, time.UTC).Format("15:04")
}

// weekdays are the days of the week as people begin it.
func weekdays() []time.Weekday {
	return []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday, time.Saturday, time.Sunday}
}

// weekdaysIn reads a day's name, whole, in the plural or in short, and words for several days.
func weekdaysIn(word string) ([]string, bool) {
	word = strings.ToLower(strings.TrimRight(word, "."))
	var days []string
	for _, d := range weekdays() {
		name := strings.ToLower(d.String())
		everyone := word == "daily" || word == "day"
		working := word == "weekdays" && d != time.Saturday && d != time.Sunday
		if everyone || working || len(word) >= 3 && strings.HasPrefix(name, strings.TrimSuffix(word, "s")) && len(strings.TrimSuffix(word, "s")) >= 3 {
			days = append(days, d.String())
		}
	}
	return days, len(days) > 0
}

func inWeekOrder(days []string) []string {
	var ordered []string
	for _, d := range weekdays() {
		if slices.Contains(days, d.String()) {
			ordered = append(ordered, d.String())
		}
	}
	return ordered
}
