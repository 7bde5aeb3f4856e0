package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// The plan's own check: 400 items at 6 minutes, twice a year, are 80 hours (common practice; 400 x 6 x 2 / 60).
func TestAYearOf400Items(t *testing.T) {
	today := due.Date{Year: 2026, Month: 11, Day: 14}
	y := yearAhead{today: today, months: map[string]*monthAhead{}}
	for n := range 400 {
		item := store.Item{Item: flows.Item{Mark: fmt.Sprint("X-", n), IntervalMonths: 6}, Flow: "some-other-kind"}
		y.add(status{item: item, due: today.AddDays(n % 180)})
	}
	sum, n := 0, 0
	for _, m := range y.months {
		n += len(m.items)
		for _, item := range m.items {
			sum += minutesOf(item.Flow).least
		}
	}
	if n != 800 || sum != 80*60 {
		t.Errorf("%d inspections, %d minutes", n, sum)
	}
}

// What is at the end of its life isn't planned beyond it, and what is held or retired waits for something else.
func TestWhatIsNotPlanned(t *testing.T) {
	today := due.Date{Year: 2026, Month: 11, Day: 14}
	next := today.AddDays(20)
	for _, c := range []struct {
		name   string
		s      status
		months int
		now    int
	}{
		{"twice a year", status{due: next}, 2, 0},
		{"its life ends between", status{due: next, lifeEnd: due.End{Date: today.AddMonths(3)}}, 1, 0},
		{"held", status{due: next, holds: []store.Hold{{}}}, 0, 0},
		{"retired", status{due: next, retired: &store.Hold{}}, 0, 0},
		{"over", status{due: today.AddDays(-1)}, 1, 1},
		{"never inspected", status{}, 1, 1},
		{"due today", status{due: today}, 2, 0},
	} {
		y := yearAhead{today: today, months: map[string]*monthAhead{}}
		c.s.item = store.Item{Item: flows.Item{IntervalMonths: 6}, Flow: "connector"}
		y.add(c.s)
		n := 0
		for _, m := range y.months {
			n += len(m.items)
		}
		if n != c.months || len(y.now) != c.now {
			t.Errorf("%s: %d to come and %d now; wanted are %d and %d", c.name, n, len(y.now), c.months, c.now)
		}
	}
}

// A proposal moves nothing: what is due is due on the same day after it as before.
func TestPlanMovesNoDueDate(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(40), 5)
	thread := c.roundOf("@ben", "connectors")
	for range 40 {
		c.answerItem("@ben", thread, nil)
	}
	c.say("@ben", thread, "sign round fit")
	c.forward(30 * 24 * time.Hour)
	before := c.status("K-07").due
	h := c.say("@dee", "", "plan spread")
	c.wantSaid(h, "no due date moves")
	for _, day := range []string{"15 May 2027", "16 May 2027", "June 2027"} {
		if strings.Contains(h.text(), day) {
			t.Errorf("later than due is proposed: %s", h.text())
		}
	}
	if after := c.status("K-07").due; after != before {
		t.Errorf("due was %s and is %s", before, after)
	}
	c.wantRefused(c.say("@dee", "", "plan all"), "plan spread")
}
