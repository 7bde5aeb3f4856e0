package due_test

import (
	"fmt"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/due"
)

func weekFrom(today, day due.Date) int { return today.DaysUntil(day) / 7 }

// The job's own check: of 400 items no proposed date is later than due. And none is lost, none is done before today, the
// fullest week never gets fuller, and it holds at most one item more than the evenest sharing would.
func TestSpreadNeverLaterThanDue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		today := anyDate().Draw(t, "today")
		var jobs []due.Job
		before, longest := map[int]int{}, 0
		n := rapid.IntRange(0, 400).Draw(t, "items")
		bunch := rapid.IntRange(0, 364).Draw(t, "bunch")
		for k := range n {
			days := rapid.IntRange(-30, 364).Draw(t, "days")
			if k%2 == 0 {
				days = bunch
			}
			j := due.Job{Mark: fmt.Sprint(k), Due: today.AddDays(days), Minutes: rapid.IntRange(0, 40).Draw(t, "minutes")}
			jobs = append(jobs, j)
			if days >= 0 {
				before[weekFrom(today, j.Due)] += j.Minutes
				longest = max(longest, j.Minutes)
			}
		}
		sitting := rapid.IntRange(0, 120).Draw(t, "sitting")
		after, seen := map[int]int{}, map[string]bool{}
		for _, p := range due.Spread(today, jobs, sitting) {
			if p.On.After(p.Due) {
				t.Fatalf("%s is due on %s and proposed for %s", p.Mark, p.Due, p.On)
			}
			if p.On.Before(today) || seen[p.Mark] {
				t.Fatalf("%s on %s, today %s, seen %v", p.Mark, p.On, today, seen[p.Mark])
			}
			seen[p.Mark] = true
			after[weekFrom(today, p.On)] += p.Minutes
		}
		for _, j := range jobs {
			if seen[j.Mark] == j.Due.Before(today) {
				t.Fatalf("%s, due %s, today %s: proposed %v", j.Mark, j.Due, today, seen[j.Mark])
			}
		}
		even := 0 // the least that any plan that is never late must put into its fullest week
		for w, sum := 0, 0; w <= 60; w++ {
			sum += before[w]
			even = max(even, (sum+w)/(w+1))
		}
		for w, minutes := range after {
			if minutes >= max(even, sitting)+max(1, longest) {
				t.Fatalf("week %d holds %d minutes; shared evenly it is %d, and the longest takes %d", w, minutes, even, longest)
			}
		}
	})
}

// By hand: four items of 10 minutes, all due in the fourth week, go one into each week; what is alone isn't moved.
func TestSpreadByHand(t *testing.T) {
	today := date(t, "2026-11-02")
	jobs := []due.Job{{Mark: "a", Due: date(t, "2026-11-25"), Minutes: 10}, {Mark: "b", Due: date(t, "2026-11-25"), Minutes: 10},
		{Mark: "c", Due: date(t, "2026-11-25"), Minutes: 10}, {Mark: "d", Due: date(t, "2026-11-25"), Minutes: 10}}
	want := []string{"2026-11-02", "2026-11-09", "2026-11-16", "2026-11-25"}
	for n, p := range due.Spread(today, jobs, 0) {
		if p.On.String() != want[n] {
			t.Errorf("%s on %s, not on %s", p.Mark, p.On, want[n])
		}
	}
	for _, p := range due.Spread(today, jobs, 60) {
		if p.On != p.Due {
			t.Errorf("%s was moved to %s out of a week that holds less than an hour", p.Mark, p.On)
		}
	}
	alone := due.Spread(today, []due.Job{{Mark: "a", Due: date(t, "2026-12-24"), Minutes: 10}, {Mark: "b", Due: date(t, "2027-03-24"), Minutes: 10}}, 0)
	for _, p := range alone {
		if p.On != p.Due {
			t.Errorf("%s was moved to %s with nothing beside it", p.Mark, p.On)
		}
	}
}
