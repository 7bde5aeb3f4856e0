package bot

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// fieldLine is one line from the field, taken apart: what of it names a day, kit and people, and the words left over.
type fieldLine struct {
	day    due.Date // zero: none was said
	until  due.Date
	items  []store.Item
	people []string
	rest   string
	// wrongDay says why a day that was said isn't one; everything else of the line counts all the same.
	wrongDay string
}

// readFieldLine takes a line apart. Only whole marks of the register count as kit. The day is taken out first, since a
// mark may be a bare number.
func (t *turn) readFieldLine(text string) (l fieldLine, err error) {
	text, until, wrong := t.cutDay(text, `\b(?:until|till)\s+`)
	text, day, wrongToo := t.cutDay(text, `(?:\bon\s+)?`)
	l.until, l.day = until, day
	switch wrong := cmp.Or(wrong, wrongToo); {
	case wrong != nil:
		l.day, l.wrongDay = due.Date{}, sentence(wrong.Error())
	case l.day.After(t.day()):
		l.day, l.wrongDay = due.Date{}, format(dateAhead, l.day.Words())
	}
	text, err = t.cutEverything(text, &l)
	if err != nil {
		return l, err
	}
	var left []string
	for _, word := range strings.Fields(text) {
		bare := strings.Trim(word, ".,:;()&+")
		item, found, err := t.tx.Item(t.m.Room, bare)
		switch {
		case err != nil:
			return l, err
		case found:
			l.addItem(item)
		case strings.HasPrefix(bare, "@") && len(bare) > 1:
			if !slices.Contains(l.people, bare) {
				l.people = append(l.people, bare)
			}
		case bare == "" || strings.EqualFold(bare, "and") && len(left) == 0:
		default:
			left = append(left, word)
		}
	}
	l.rest = strings.Trim(strings.Join(left, " "), " .,:;")
	return l, nil
}

func (l *fieldLine) addItem(item store.Item) {
	if !slices.ContainsFunc(l.items, func(i store.Item) bool { return i.Mark == item.Mark }) {
		l.items = append(l.items, item)
	}
}

// strange says which words of a line look like marks and are none of the register; empty: there are none. A mark that is
// mistyped is never passed over in silence.
func (l fieldLine) strange() string {
	marks := regexp.MustCompile(`(?i)\b[a-z]{1,4}-?\d+[a-z]?\b`).FindAllString(l.rest, -1)
	if len(marks) == 0 {
		return ""
	}
	return format(noMarksOfOurs, strings.Join(marks, ", "))
}

// cutEverything reads "everything @isla had" and "all that was out": the kit by its holder in the register.
func (t *turn) cutEverything(text string, l *fieldLine) (string, error) {
	one := regexp.MustCompile(`(?i)\b(?:everything|all that|all)\s+(@\S+?)\s+(?:had|has)\b`)
	out := regexp.MustCompile(`(?i)\b(?:all|everything) (?:that )?(?:was|is|were) out\b`)
	holder := one.FindStringSubmatch(text)
	if holder == nil && !out.MatchString(text) {
		return text, nil
	}
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return text, err
	}
	for _, item := range items {
		s, err := t.statusOf(item)
		if err != nil {
			return text, err
		}
		if s.retired == nil && item.Holder != "" && (holder == nil || sameWord(item.Holder, holder[1])) {
			l.addItem(item)
		}
	}
	if holder != nil {
		if !slices.Contains(l.people, holder[1]) {
			l.people = append(l.people, holder[1])
		}
		return one.ReplaceAllString(text, " "), nil
	}
	return out.ReplaceAllString(text, " "), nil
}

// spokenDay is a day as it stands in a line: 2026-11-14, 14 Nov, 14 November 2026, today or yesterday.
const spokenDay = `(\d{4}-\d{2}-\d{2}|\d{1,2}(?:st|nd|rd|th)?\s+(?:jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec)[a-z]*\.?(?:\s+\d{4})?|today|tonight|yesterday)\b`

// cutDay takes the first day after a word out of a line. Without a year the last such day up to today is meant; after
// "until" the next.
func (t *turn) cutDay(text, after string) (rest string, day due.Date, err error) {
	where := regexp.MustCompile(`(?i)` + after + `\b` + spokenDay)
	found := where.FindStringSubmatchIndex(text)
	if found == nil {
		return text, day, nil
	}
	said := text[found[2]:found[3]]
	rest = text[:found[0]] + " " + text[found[1]:]
	switch strings.ToLower(said) {
	case "today", "tonight":
		return rest, t.day(), nil
	case "yesterday":
		return rest, t.day().AddDays(-1), nil
	}
	if words := strings.Fields(said); len(words) == 2 {
		year := t.day().Year
		day, err = due.ParseSpoken(said + " " + strconv.Itoa(year))
		until := strings.Contains(after, "until")
		switch {
		case err == nil && !until && day.After(t.day()):
			day, err = due.ParseSpoken(said + " " + strconv.Itoa(year-1))
		case err == nil && until && day.Before(t.day()):
			day, err = due.ParseSpoken(said + " " + strconv.Itoa(year+1))
		}
		return rest, day, err
	}
	day, err = due.ParseSpoken(said)
	return rest, day, err
}

// answeredFor tells whether an item's last signed inspection, examined on or after a day, found one of these things: it
// answers for what happened then.
func (t *turn) answeredFor(item store.Item, day due.Date, findings ...string) (due.Date, bool, error) {
	last, signed, err := t.tx.LastSigned(t.m.Room, item.Mark)
	if err != nil || !signed || last.Day.Before(day) {
		return due.Date{}, false, err
	}
	i, err := t.bot.load(t.tx, last)
	if err != nil {
		return due.Date{}, false, err
	}
	for _, step := range i.flow.Steps() {
		a, given := i.state.Given(step.Name)
		if given && slices.ContainsFunc(a.Findings, func(id string) bool { return slices.Contains(findings, step.ID()+"."+id) }) {
			return last.Day, true, nil
		}
	}
	return due.Date{}, false, nil
}

func marksOfItems(items []store.Item) []string {
	marks := make([]string, len(items))
	for n, i := range items {
		marks[n] = i.Mark
	}
	return marks
}
