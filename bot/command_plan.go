package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// monthsAhead is how far a plan looks.
const monthsAhead = 12

// sitting is how much looking a week may hold, in minutes, before some of it is proposed for earlier: the bench is set up
// for no less (common practice, no source).
const sitting = 60

// longestList is how many weeks, or marks of a week, a plan names before it says how many more there are.
const longestList = 12

// plan says how much there is to look at in the coming year, by month and family; "plan spread" proposes what could be
// done earlier so that it doesn't come in bunches. Nothing is moved by it.
func (t *turn) plan(args string) error {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	year := yearAhead{today: t.day(), months: map[string]*monthAhead{}}
	for _, item := range items {
		s, err := t.statusOf(item)
		if err != nil {
			return err
		}
		year.add(s)
	}
	switch strings.ToLower(strings.Trim(args, ". ")) {
	case "":
		t.reply(t.planWords(year))
	case "spread":
		t.reply(t.spreadWords(year))
	default:
		t.refuse(planHow)
	}
	return nil
}

// yearAhead is what falls due within the months of a plan.
type yearAhead struct {
	today  due.Date
	months map[string]*monthAhead // by their first day
	now    []store.Item           // over, or never inspected
	jobs   []due.Job              // each item's next day, where that is still to come
	sooner []string               // what comes before its interval ends, since it wore
}

type monthAhead struct {
	first due.Date
	items []store.Item // one that falls due twice in a month is here twice
}

// add takes up an item's due days. Held and retired items wait for something else than a plan.
func (y *yearAhead) add(s status) {
	end := y.today.AddMonths(monthsAhead)
	if s.wears != "" && !s.out() && s.due.Before(end) {
		y.sooner = append(y.sooner, format(planSoonerOne, s.item.Mark, s.dueWords()))
	}
	switch {
	case s.retired != nil || len(s.holds) > 0 || !s.custody.Gone.IsZero():
		return
	case s.due.IsZero() || s.due.Before(y.today):
		y.now = append(y.now, s.item)
		s.due = due.Next(y.today, s.item.Months())
	default:
		y.jobs = append(y.jobs, due.Job{Mark: s.item.Mark, Due: s.due, Minutes: minutesOf(s.item.Flow).middle()})
	}
	for day := s.due; day.Before(end); day = due.Next(day, s.item.Months()) {
		if life := s.lifeEnd.Date; !life.IsZero() && day.After(life) {
			return
		}
		first := due.Date{Year: day.Year, Month: day.Month, Day: 1}
		if y.months[first.String()] == nil {
			y.months[first.String()] = &monthAhead{first: first}
		}
		y.months[first.String()].items = append(y.months[first.String()].items, s.item)
	}
}

func (t *turn) planWords(y yearAhead) string {
	var lines []string
	var all minutes
	add := func(when string, items []store.Item) {
		parts, sum := t.workload(items)
		all = all.plus(sum)
		for n := range parts {
			parts[n] = strings.TrimSpace(parts[n])
		}
		lines = append(lines, fmt.Sprintf("  %s: %d, %s", when, len(items), sum.words()))
		lines = append(lines, "    "+strings.Join(parts, "; "))
	}
	if len(y.now) > 0 {
		add(planNow, y.now)
	}
	var months []string
	for first := range y.months {
		months = append(months, first)
	}
	slices.Sort(months)
	for _, first := range months {
		m := y.months[first]
		add(fmt.Sprintf("%s %d", m.first.Month, m.first.Year), m.items)
	}
	if len(lines) == 0 {
		return planEmpty
	}
	head := format(planHead, y.today.Words(), all.words())
	if all.most > 180 {
		head = format(planHead, y.today.Words(), format(planHours, (all.least+30)/60, (all.most+30)/60))
	}
	if more := len(y.sooner) - longestList; more > 0 {
		y.sooner = append(y.sooner[:longestList], format(planSoonerMore, more))
	}
	return joined(head, strings.Join(lines, "\n"), ifAny(planSooner, y.sooner), planSource)
}

// spreadWords lists what would be done earlier, by week.
func (t *turn) spreadWords(y yearAhead) string {
	end := y.today.AddMonths(monthsAhead)
	jobs := slices.DeleteFunc(slices.Clone(y.jobs), func(j due.Job) bool { return !j.Due.Before(end) })
	moved := map[due.Date][]due.Proposed{}
	before, after := map[int]int{}, map[int]int{}
	for _, p := range due.Spread(y.today, jobs, sitting) {
		before[y.today.DaysUntil(p.Due)/7] += p.Minutes
		after[y.today.DaysUntil(p.On)/7] += p.Minutes
		if p.On != p.Due {
			moved[p.On] = append(moved[p.On], p)
		}
	}
	if len(moved) == 0 {
		return spreadNothing
	}
	lines := []string{format(spreadHead, fullest(before), fullest(after))}
	var days []due.Date
	for day := range moved {
		days = append(days, day)
	}
	slices.SortFunc(days, due.Date.Compare)
	for n, day := range days {
		if n == longestList {
			lines = append(lines, format(spreadMoreWeeks, len(days)-n))
			break
		}
		lines = append(lines, "  "+weekWords(day, moved[day]))
	}
	return joined(append(lines, spreadOnly)...)
}

// weekWords names what would be done in a week: how many, how long, and which.
func weekWords(day due.Date, moved []due.Proposed) string {
	sum := 0
	var marks []string
	for n, p := range moved {
		sum += p.Minutes
		if n < longestList {
			marks = append(marks, p.Mark)
		}
	}
	named := strings.Join(marks, ", ")
	if more := len(moved) - len(marks); more > 0 {
		named += format(spreadMore, more)
	}
	return format(spreadWeek, day.Words(), len(moved), sum, named)
}

// fullest is the most minutes in any week.
func fullest(weeks map[int]int) (most int) {
	for _, minutes := range weeks {
		most = max(most, minutes)
	}
	return most
}
