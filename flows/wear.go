package flows

import (
	"fmt"
	"slices"
	"strings"
)

// doubtIn is the doubt that moves a reading: the instrument's, but never less than the flow's own.
func (r *Reading) doubtIn(s State) Number {
	if r.Unit != "count" && r.Doubt.Less(s.Doubt) {
		return s.Doubt
	}
	return r.Doubt
}

// worst is the repeat that is judged. There is at least one.
func (r *Reading) worst(values []Number) Number {
	return slices.MaxFunc(values, func(a, b Number) int {
		if r.worse(a, b) {
			return 1
		}
		if r.worse(b, a) {
			return -1
		}
		return 0
	})
}

// worse tells whether a is worse than b for this reading.
func (r *Reading) worse(a, b Number) bool {
	if r.Harm == HarmDown {
		return a.Less(b)
	}
	return b.Less(a)
}

// reaches tells whether v is at the point or beyond it.
func (r *Reading) reaches(v, point Number) bool { return !r.worse(point, v) }

// moved is v moved by d in the direction of harm.
func (r *Reading) moved(v, d Number) Number {
	if r.Harm == HarmDown {
		return v.Sub(d)
	}
	return v.Add(d)
}

// value is the point's value on this sheet, where the sheet has it.
func (p Point) value(sheet map[string]Number) (Number, bool) {
	if p.Figure == "" {
		return p.Value, true
	}
	n, known := sheet[p.Figure]
	return n.Percent(p.Percent), known
}

// judge says what a set of readings means. It is enough when there are as many as asked and they can be
// true of something that only wears: metal that grew by more than the doubt was measured wrongly.
//
// The worst repeat at a limit has that limit's verdict. Within the doubt of it, it has that verdict or
// quarantine, whichever is milder. Where the sheet has no limit, the new value is the only thing to hold
// a reading against: loss beyond the doubt, or nothing to compare with, is quarantine.
func (r *Reading) judge(values []Number, s State) (rules []Rule, enough bool) {
	if len(values) == 0 {
		return nil, false
	}
	worst, doubt := r.worst(values), r.doubtIn(s)
	if r.grown(worst, s) {
		return nil, false
	}
	moved := r.moved(worst, doubt)
	nth := map[Verdict]int{}
	for _, l := range r.Limits {
		nth[l.Verdict]++
		point, known := l.At.value(s.Sheet)
		if !known {
			continue
		}
		rule := Rule{ID: fmt.Sprintf("%s.%s.%d", r.ID, l.Verdict, nth[l.Verdict]), Verdict: l.Verdict, Because: l.Because, Basis: l.Basis}
		switch {
		case r.reaches(worst, point):
			rules = append(rules, rule)
		case r.reaches(moved, point):
			rule.Verdict = min(rule.Verdict, Quarantine)
			rule.Because += alsoInDoubt
			rules = append(rules, rule)
		}
	}
	return append(rules, r.unlimited(worst, doubt, s)...), len(values) >= r.Repeat
}

// unlimited judges a reading for which the sheet gives no limit (safety rule 5).
func (r *Reading) unlimited(worst, doubt Number, s State) []Rule {
	if r.limited(s.Sheet) || r.published(s.Sheet) {
		return nil
	}
	asNew, known := r.asNew(s.Sheet)
	switch {
	case !known:
		return []Rule{{ID: r.ID + ".no-reference", Verdict: Quarantine, Because: becauseNoReference, Basis: r.Basis}}
	case r.worse(worst, r.moved(asNew, doubt)):
		return []Rule{{ID: r.ID + ".no-limit", Verdict: Quarantine, Because: becauseNoLimit, Basis: r.Basis}}
	}
	return nil
}

// limited tells whether the sheet has a limit for this reading, and every figure at which the reading takes the
// item out of use. Fixed limits, and shares of the new value, stand beside a maker's limit and not in its place;
// a reading that names neither a figure nor a new value has enough in them.
func (r *Reading) limited(sheet map[string]Number) bool {
	named, given := false, false
	for _, l := range r.Limits {
		if l.At.Figure == "" {
			continue
		}
		_, known := sheet[l.At.Figure]
		if !known && l.Verdict.Holds() {
			return false
		}
		if r.New == nil || l.At.Figure != r.New.Figure {
			named, given = true, given || known
		}
	}
	return given || !named && r.New == nil
}

// published tells whether a published limit counts that needs nothing of the maker's but the new value.
func (r *Reading) published(sheet map[string]Number) bool {
	return r.Published && slices.ContainsFunc(r.Limits, func(l Limit) bool {
		_, known := l.At.value(sheet)
		return known && l.Verdict.Holds() && (l.At.Figure == "" || r.New != nil && l.At.Figure == r.New.Figure)
	})
}

// comparable tells whether the sheet has anything to hold this reading against.
func (r *Reading) comparable(sheet map[string]Number) bool {
	_, known := r.asNew(sheet)
	return known || slices.ContainsFunc(r.Limits, func(l Limit) bool {
		_, known := l.At.value(sheet)
		return known
	})
}

func (r *Reading) asNew(sheet map[string]Number) (Number, bool) {
	if r.New == nil {
		return Number{}, false
	}
	return r.New.value(sheet)
}

// grown tells whether a reading is better than new by more than the doubt, which wear never makes it.
func (r *Reading) grown(worst Number, s State) bool {
	asNew, known := r.asNew(s.Sheet)
	if !known {
		return false
	}
	doubt := r.doubtIn(s)
	if r.Harm == HarmDown {
		return asNew.Add(doubt).Less(worst)
	}
	return worst.Less(asNew.Sub(doubt))
}

// outgrows tells whether a reading is worse than the worst of last time by more than the doubt, and so much that as much
// again would reach a limit that takes the item out of use.
func (r *Reading) outgrows(values []Number, s State) bool {
	last := s.Last[r.ID]
	if len(values) == 0 || len(last) == 0 {
		return false
	}
	now, then := r.worst(values), r.worst(last)
	if !r.worse(now, r.moved(then, r.doubtIn(s))) {
		return false
	}
	next := now.Add(now).Sub(then)
	return slices.ContainsFunc(r.Limits, func(l Limit) bool {
		point, known := l.At.value(s.Sheet)
		return known && l.Verdict.Holds() && r.reaches(next, point)
	})
}

// Wear is a reading in words' reach: what it was, what it moved by, and what it is held against. It is only
// there once the reading is in.
type Wear struct {
	Name      string // the reading's id
	Worst     Number
	Doubt     Number
	Unit      Unit
	New, Last Number
	NewKnown  bool
	LastKnown bool
	Grew      bool // it is worse than last time by more than the doubt
	Limits    []WearLimit
}

// WearLimit is a limit in the reading's own unit.
type WearLimit struct {
	At      Number
	Verdict Verdict
	Basis   string
}

// WearOf describes a step's reading; false where the step has none that stands.
func WearOf(f *Flow, s State, step string) (Wear, bool) {
	st, ok := f.Step(step)
	a, given := s.Given(step)
	if !ok || !given || st.Reading == nil || len(a.Readings) == 0 {
		return Wear{}, false
	}
	r := st.Reading
	w := Wear{Name: r.ID, Worst: r.worst(a.Readings), Doubt: r.doubtIn(s), Unit: r.Unit}
	w.New, w.NewKnown = r.asNew(s.Sheet)
	if last := s.Last[r.ID]; len(last) > 0 {
		w.Last, w.LastKnown = r.worst(last), true
		w.Grew = r.worse(w.Worst, r.moved(w.Last, w.Doubt))
	}
	for _, l := range r.Limits {
		if at, known := l.At.value(s.Sheet); known {
			w.Limits = append(w.Limits, WearLimit{At: at, Verdict: l.Verdict, Basis: l.Basis})
		}
	}
	return w, true
}

// SheetDisorder says what is wrong with a sheet's figures taken together: a limit on the wrong side of new, or
// a milder limit beyond a stricter one. Empty: nothing is.
func (f *Flow) SheetDisorder(sheet map[string]Number) string {
	for _, step := range f.Steps() {
		r := step.Reading
		if r == nil {
			continue
		}
		asNew, newKnown := r.asNew(sheet)
		for _, l := range r.Limits {
			at, known := l.At.value(sheet)
			if known && newKnown && l.Verdict.Holds() && r.reaches(asNew, at) {
				return fmt.Sprintf("something new (%s) would already be at the limit of %s (%s); check both figures", asNew, strings.ReplaceAll(r.ID, "_", " "), at)
			}
			if figure := l.At.Figure; known && figure != "" && r.disordered(l, at, sheet) {
				return fmt.Sprintf("the limit %s (%s) comes before a milder one; check it", strings.ReplaceAll(figure, "_", " "), at)
			}
		}
	}
	return ""
}

// disordered tells whether a milder fixed limit lies beyond this stricter one from the sheet.
func (r *Reading) disordered(l Limit, at Number, sheet map[string]Number) bool {
	for _, other := range r.Limits {
		point, known := other.At.value(sheet)
		if known && other.Verdict < l.Verdict && r.worse(point, at) {
			return true
		}
	}
	return false
}
