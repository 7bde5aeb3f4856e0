package bot

import (
	"testing"

	"becket/flows"
	"becket/flows/due"
	"becket/flows/wear"
)

// A side is only what is measured on both sides: what is left of a wall is called wall_left as well.
func TestASideIsMeasuredOnBoth(t *testing.T) {
	t.Parallel()
	at := func(id, read string) *course {
		c := &course{id: id, limits: []flows.WearLimit{{At: flows.MustNumber("0.5"), Verdict: flows.Watch}}}
		c.take(due.Date{Year: 2026, Month: 5, Day: 3}, flows.MustNumber(read), flows.Number{})
		return c
	}
	for name, c := range map[string]struct {
		all  []*course
		want string
	}{
		"left":            {[]*course{at("wall_left", "0.5"), at("wall_right", "0.4")}, "left"},
		"right":           {[]*course{at("wall_left", "0.2"), at("wall_right", "0.6")}, "right"},
		"both":            {[]*course{at("wall_left", "0.6"), at("wall_right", "0.6")}, "both"},
		"neither":         {[]*course{at("wall_left", "0.1"), at("wall_right", "0.1")}, ""},
		"what is left":    {[]*course{at("wall_left", "0.6"), at("groove", "0.6")}, ""},
		"outside":         {[]*course{at("outer_ring", "0.6"), at("inner_ring", "0.1")}, "outside"},
		"another's right": {[]*course{at("wall_left", "0.6"), at("bar_right", "0.1")}, ""},
	} {
		if got := wornSide(c.all); got != c.want {
			t.Errorf("%s: %q, not %q", name, got, c.want)
		}
	}
}

// Readings show wear by a slope, or by being at a limit from which something is watched; not by what they differ by anyway.
func TestReadingsShowWear(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		down  bool
		reads []string
		want  bool
	}{
		"level":           {false, []string{"0.10", "0.12", "0.11", "0.10"}, false},
		"sloping":         {false, []string{"0.10", "0.20", "0.30", "0.40"}, true},
		"away from harm":  {true, []string{"9.10", "9.20", "9.30", "9.40"}, false},
		"thinner":         {true, []string{"9.40", "9.30", "9.20", "9.10"}, true},
		"one, at a limit": {false, []string{"0.50"}, true},
		"one, short":      {false, []string{"0.49"}, false},
	} {
		limit := "0.5"
		if c.down {
			limit = "8"
		}
		one := &course{Course: wear.Course{Down: c.down}, limits: []flows.WearLimit{{At: flows.MustNumber(limit), Verdict: flows.Watch}}}
		for n, read := range c.reads {
			one.take(due.Date{Year: 2026, Month: 1, Day: 3}.AddDays(90*n), flows.MustNumber(read), flows.MustNumber("0.02"))
		}
		if got := one.worn(); got != c.want {
			t.Errorf("%s: worn is %v", name, got)
		}
	}
}
