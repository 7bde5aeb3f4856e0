package flows

import (
	"slices"
	"sync/atomic"
	"testing"
)

// mutant is one way to make a flow milder: a rule out, a verdict down by a step, a limit further off, an answer that
// needn't be given.
type mutant struct {
	name   string
	step   string // SECTION.STEP where it is; empty: a rule under together
	rule   string // the rule that it touches; empty: none
	needed bool   // it is about what must be answered
	change func() (back func())
}

// changed is a change of one value that can be taken back.
func changed[T any](at *T, to T) func() func() {
	return func() func() {
		was := *at
		*at = to
		return func() { *at = was }
	}
}

// mutants are all that this test knows to make of a flow.
func mutants(f *Flow) []mutant {
	var all []mutant
	for _, step := range f.Steps() {
		switch {
		case step.Check != nil:
			all = append(all, checkMutants(step)...)
		case step.Reading != nil:
			all = append(all, readingMutants(step)...)
		default:
			v := step.Value
			if v.Required {
				all = append(all, mutant{name: "not required: " + step.Name, step: step.Name, needed: true, change: changed(&v.Required, false)})
			}
			if v.Match != "" {
				all = append(all, mutant{name: "agrees with anything: " + step.Name, step: step.Name, rule: v.ID + ".differs", change: changed(&v.Match, "")})
			}
		}
	}
	for i := range f.Together {
		r := &f.Together[i]
		all = append(all,
			mutant{name: "milder: " + r.ID, rule: r.ID, change: changed(&r.Verdict, r.Verdict-1)},
			mutant{name: "out: " + r.ID, rule: r.ID, change: changed(&r.Least, len(r.Of)+1)})
		if r.Least < len(r.Of) {
			all = append(all, mutant{name: "needs one more: " + r.ID, rule: r.ID, change: changed(&r.Least, r.Least+1)})
		}
	}
	return all
}

func checkMutants(step Step) []mutant {
	var all []mutant
	c := step.Check
	if c.Required {
		all = append(all, mutant{name: "not required: " + step.Name, step: step.Name, needed: true, change: changed(&c.Required, false)})
	}
	for i := range c.Findings {
		found := &c.Findings[i]
		if found.Verdict <= Fit {
			continue
		}
		rule := c.ID + "." + found.ID
		all = append(all, mutant{name: "milder: " + rule, step: step.Name, rule: rule, change: changed(&found.Verdict, found.Verdict-1)})
		if found.Verdict > Watch {
			all = append(all, mutant{name: "out: " + rule, step: step.Name, rule: rule, change: changed(&found.Verdict, Fit)})
		}
	}
	return all
}

func readingMutants(step Step) []mutant {
	var all []mutant
	r := step.Reading
	add := func(m mutant) {
		m.step = step.Name
		all = append(all, m)
	}
	if r.Required {
		add(mutant{name: "not required: " + step.Name, needed: true, change: changed(&r.Required, false)})
	}
	for i, rule := range r.rules() {
		l := &r.Limits[i]
		add(mutant{name: "milder: " + rule, rule: rule, change: changed(&l.Verdict, l.Verdict-1)})
		add(mutant{name: "wider: " + rule, rule: rule, change: changed(&l.At, r.widened(l.At, MustNumber("0.01"), MustNumber("0.1")))})
		add(mutant{name: "out: " + rule, rule: rule, change: changed(&l.At, r.widened(l.At, MustNumber("100000"), MustNumber("100")))})
	}
	if r.New != nil && !r.Published {
		if !slices.ContainsFunc(r.Limits, func(l Limit) bool { return l.Verdict.Holds() && (l.At.Figure == "" || l.At.Figure == r.New.Figure) }) {
			return all // nothing published could count
		}
		add(mutant{name: "no limit needed: " + step.Name, rule: r.ID + ".no-limit", change: changed(&r.Published, true)})
	}
	return all
}

// widened is a point moved off by so much in the reading's unit, or by so many hundredths of a figure.
func (r *Reading) widened(p Point, by, share Number) Point {
	if p.Figure == "" {
		p.Value = r.moved(p.Value, by)
	} else {
		p.Percent = r.moved(p.Percent, share)
	}
	return p
}

// killedBy is an example that comes out otherwise than it says once the change is made. Those that speak of the place are
// tried first.
func killedBy(f *Flow, m mutant, examples []Example) bool {
	defer m.change()()
	near := func(e Example) bool {
		_, answered := e.Answers[m.step]
		return answered || m.rule != "" && slices.Contains(e.Rules, m.rule) || m.needed && slices.Contains(e.Missing, m.step)
	}
	for _, first := range []bool{true, false} {
		for _, e := range examples {
			if near(e) == first && len(f.Try(e)) > 0 {
				return true
			}
		}
	}
	return false
}

// Whatever single thing of a family's script is made milder, it is noticed: by an example that somebody wrote by hand, or,
// for an answer that needn't be given any more, by its not standing among those that may be left out.
func TestNoMilderScriptGoesUnnoticed(t *testing.T) {
	dir, list := libraryFiles(t)
	spared := mayBeLeftOut()
	var noticed, made atomic.Int64
	t.Run("families", func(t *testing.T) {
		for _, f := range list {
			examples := examplesOf(t, dir, f)
			t.Run(f.ID, func(t *testing.T) {
				t.Parallel()
				for _, m := range mutants(f) {
					made.Add(1)
					step, _ := f.Step(m.step)
					if m.needed && (step.Check != nil || !slices.Contains(spared, m.step)) || killedBy(f, m, examples) {
						noticed.Add(1)
						continue
					}
					t.Errorf("%s: no example notices it", m.name)
				}
			})
		}
	})
	t.Logf("%d of %d changes are noticed, %.1f %%", noticed.Load(), made.Load(), 100*float64(noticed.Load())/float64(made.Load()))
	if made.Load() < int64(40*len(list)) {
		t.Errorf("only %d changes were made over %d scripts: nothing is tried", made.Load(), len(list))
	}
}

// No check of the library may be left out, and no answer but those that stand in this list: questions by chance, and
// readings for which many makers give nothing. Whoever makes an answer free has to write it here.
func TestNothingElseMayBeLeftOut(t *testing.T) {
	spared := mayBeLeftOut()
	for _, f := range libraryFlows(t) {
		for _, step := range f.Steps() {
			if !step.required() && (step.Check != nil || !slices.Contains(spared, step.Name)) {
				t.Errorf("%s: %s may be left out", f.ID, step.Name)
			}
		}
	}
}

// mayBeLeftOut names them, SECTION.STEP. Common practice, no source.
func mayBeLeftOut() []string {
	return []string{
		"identity.marked_range", "papers.made_mark",
		"look.bar_count", "look.fastenings", "look.hole_count", "look.hole_letters", "look.holes", "look.holes_counted", "look.marked_signs", "look.pick_teeth",
		"look.points", "look.range_marked", "look.rivets", "look.rows", "look.service_read", "look.shell_date", "look.stitch_blocks", "look.strength",
		"look.strength_long", "look.tag_read",
		"feel.arrow", "feel.arrow_felt", "feel.band_read", "feel.ends_felt", "feel.eye_layers", "feel.felt_letters", "feel.felt_marks", "feel.ferrule_letters",
		"feel.loop_layers", "feel.pack_layers", "feel.raised_letters", "feel.raised_sign", "feel.raised_words", "feel.seam_felt", "feel.side", "feel.way_sign",
		"measure.arm_lengths", "measure.axe_length", "measure.bar_hole", "measure.bore", "measure.own_length", "measure.thickness", "measure.wall_left",
		"function.bar_order", "function.buckle_count", "function.clicks", "function.end_marks", "function.fastenings", "function.gates_tried", "function.holes",
		"function.inside", "function.inside_letters", "function.line_length", "function.open_letters", "function.pins_counted", "function.positions",
		"function.ring_marks", "function.rivets", "function.strap_open", "function.turns",
		"on-rope.hung_from", "on-rope.leaned_on", "on-rope.test_line", "on-rope.test_rope",
	}
}
