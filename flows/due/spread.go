package due

import (
	"cmp"
	"slices"
)

// Job is one item that falls due, and how long looking at it takes.
type Job struct {
	Mark    string
	Due     Date
	Minutes int
}

// Proposed is when a job could be done: never later than it is due.
type Proposed struct {
	Job
	On Date
}

// week is the grain in which work is spread.
const week = 7

// Spread proposes days for jobs so that no week has much more than it must: at the level that the fullest stretch from
// today leaves, plus at most one job. Jobs are moved forward only, and only as far as they have to be; none is put
// before today. A week that holds no more than sitting minutes is left as it is: nobody sets up a bench for less. Jobs
// that are over already aren't spread: they are left out.
func Spread(today Date, jobs []Job, sitting int) []Proposed {
	jobs = slices.DeleteFunc(slices.Clone(jobs), func(j Job) bool { return j.Due.IsZero() || j.Due.Before(today) })
	slices.SortStableFunc(jobs, func(a, b Job) int { return cmp.Or(b.Due.Compare(a.Due), cmp.Compare(a.Mark, b.Mark)) })
	level := max(sitting, levelOf(today, jobs))
	var proposed []Proposed
	next := 0 // jobs before it may already be put into the week at hand
	for w := lastWeek(today, jobs); w >= 0; w-- {
		for load := 0; load < level && next < len(jobs) && weekOf(today, jobs[next].Due) >= w; next++ {
			load += jobs[next].Minutes
			proposed = append(proposed, Proposed{Job: jobs[next], On: dayIn(today, w, jobs[next].Due)})
		}
	}
	for ; next < len(jobs); next++ { // jobs without minutes, which fill no week
		proposed = append(proposed, Proposed{Job: jobs[next], On: jobs[next].Due})
	}
	slices.Reverse(proposed)
	return proposed
}

// levelOf is the least that the fullest week must hold: over every stretch of weeks from today, all that falls due
// within it shared out evenly, rounded up.
func levelOf(today Date, jobs []Job) (level int) {
	sum := 0
	for n := len(jobs) - 1; n >= 0; n-- {
		sum += jobs[n].Minutes
		weeks := weekOf(today, jobs[n].Due) + 1
		level = max(level, (sum+weeks-1)/weeks)
	}
	return level
}

func weekOf(today, day Date) int { return today.DaysUntil(day) / week }

func lastWeek(today Date, jobs []Job) int {
	if len(jobs) == 0 {
		return -1
	}
	return weekOf(today, jobs[0].Due)
}

// dayIn is the job's own day where it falls into a week, else the week's first.
func dayIn(today Date, w int, due Date) Date {
	if weekOf(today, due) == w {
		return due
	}
	return today.AddDays(w * week)
}
