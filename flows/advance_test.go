package flows

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"becket/flows/due"
)

// numbers reads readings for a test.
func numbers(texts ...string) []Number {
	var list []Number
	for _, text := range texts {
		list = append(list, MustNumber(text))
	}
	return list
}

func hookStart(t testing.TB) (*Flow, State) {
	t.Helper()
	f, d := hook(t, nil)
	return f, f.Start(Start{Item: d.Item.Item, Day: anExamDay(), Facts: d.Facts, Sheet: d.Sheet})
}

// What can't be taken is refused, says why, and changes nothing.
func TestAdvanceRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		answer Answer
		want   Why
	}{
		"no such step":               {Answer{Step: "look.bough", Clear: true}, NoSuchStep},
		"no such fact":               {Answer{Step: "facts.colour", Findings: []string{"red"}}, NoSuchStep},
		"no such choice":             {Answer{Step: "facts.catch", Findings: []string{"maybe"}}, NoSuchFinding},
		"two choices":                {Answer{Step: "facts.catch", Findings: []string{"yes", "no"}}, NoSuchFinding},
		"no such finding":            {Answer{Step: "look.bow", Findings: []string{"groove", "cracks"}}, NoSuchFinding},
		"not asked":                  {Answer{Step: "look.bend_line", Clear: true}, NotAsked},
		"nothing said of a check":    {Answer{Step: "look.bow"}, WrongForm},
		"clear and found":            {Answer{Step: "look.bow", Clear: true, Findings: []string{"groove"}}, WrongForm},
		"a number for a check":       {Answer{Step: "look.bow", Readings: numbers("1")}, WrongForm},
		"a text for a check":         {Answer{Step: "look.bow", Text: "ok"}, WrongForm},
		"unknown, and found":         {Answer{Step: "look.bow", Unknown: true, Findings: []string{"crack"}}, WrongForm},
		"taken back, and found":      {Answer{Step: "look.bow", Reopen: true, Findings: []string{"crack"}}, WrongForm},
		"clear for a reading":        {Answer{Step: "measure.gap", Clear: true}, WrongForm},
		"no readings":                {Answer{Step: "measure.gap"}, TooFew},
		"one reading of two":         {Answer{Step: "measure.gap", Readings: numbers("14")}, TooFew},
		"ten readings":               {Answer{Step: "measure.gap", Readings: numbers("14", "14", "14", "14", "14", "14", "14", "14", "14", "14")}, TooMany},
		"below nothing":              {Answer{Step: "measure.gap", Readings: numbers("14", "-14")}, OutOfRange},
		"beyond what can be meant":   {Answer{Step: "measure.gap", Readings: numbers("14", "101")}, OutOfRange},
		"more than twice new":        {Answer{Step: "measure.neck", Readings: numbers("12", "24.01")}, OutOfRange},
		"less than a quarter of new": {Answer{Step: "measure.neck", Readings: numbers("12", "2.99")}, OutOfRange},
		"an empty text":              {Answer{Step: "identity.serial", Text: "  "}, Nothing},
		"clear for a text":           {Answer{Step: "identity.serial", Clear: true}, WrongForm},
		"a place without a number":   {Answer{Step: PlaceStep("bow.groove"), Text: "left"}, NeedsNumber},
		"an empty place":             {Answer{Step: PlaceStep("bow.groove")}, Nothing},
	} {
		f, s := hookStart(t)
		before := fmt.Sprintf("%+v", s)
		next, effect, err := Advance(f, s, c.answer)
		var refused Refusal
		if !errors.As(err, &refused) || refused.Why != c.want || refused.Step != c.answer.Step {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if after := fmt.Sprintf("%+v", next); after != before || len(effect.Held) > 0 || effect.Again != "" {
			t.Errorf("%s was refused, and changed something: %s", name, after)
		}
	}
}

// Design rule 4: once held, nobody says clear of what he would have to hang on; what was found there counts.
func TestNotOnRopeOnceHeld(t *testing.T) {
	f, s := hookStart(t)
	s = answered(t, f, s, Answer{Step: "look.eye", Findings: []string{"pits"}})
	_, _, err := Advance(f, s, Answer{Step: "on-rope.hold", Clear: true})
	var refused Refusal
	if !errors.As(err, &refused) || refused.Why != LeftOut {
		t.Errorf("clear on rope while held: %v", err)
	}
	for _, q := range Plan(f, s) {
		if q.Section == "on-rope" {
			t.Errorf("held, and asked %v", q.Steps)
		}
	}
	s = answered(t, f, s, Answer{Step: "on-rope.hold", Findings: []string{"drop"}})
	if o := Judge(f, s); o.Verdict != Retire {
		t.Errorf("it let go, and is %s", o.Verdict)
	}
}

// A hold is told with the answer that brings it, once, and again only when it gets worse.
func TestHeldIsToldOnce(t *testing.T) {
	f, s := hookStart(t)
	for _, c := range []struct {
		answer Answer
		held   []string
	}{
		{Answer{Step: "look.bow", Findings: []string{"groove"}}, nil},
		{Answer{Step: "look.eye", Unknown: true}, nil}, // may still be told
		{Answer{Step: "look.eye", Findings: []string{"rust", "pits"}}, []string{"eye.pits"}},
		{Answer{Step: "look.eye", Findings: []string{"pits"}}, nil},
		{Answer{Step: "measure.gap", Readings: numbers("19.96", "19.96")}, []string{"gap.retire.1"}},
		{Answer{Step: "measure.gap", Readings: numbers("20", "20")}, []string{"gap.retire.1"}}, // in doubt before, now reached
		{Answer{Step: "measure.gap", Reopen: true}, nil},
		{Answer{Step: "measure.gap", Readings: numbers("14", "14")}, nil},
	} {
		next, effect, err := Advance(f, s, c.answer)
		if err != nil {
			t.Fatal(err)
		}
		var held []string
		for _, r := range effect.Held {
			held = append(held, r.ID)
		}
		if !slices.Equal(held, c.held) {
			t.Errorf("%+v: held by %v, want %v", c.answer, held, c.held)
		}
		s = next
	}
}

// A check may be called what a built-in rule begins with, and holds at once all the same.
func TestHoldingAtOnceGoesByWholeIDs(t *testing.T) {
	held := HoldingAtOnce(Outcome{Rules: []Rule{
		{ID: "life.torn", Verdict: Quarantine}, {ID: "sheet.gone", Verdict: Retire}, {ID: "bow.groove", Verdict: Watch},
		{ID: lifeOver, Verdict: Retire}, {ID: lifeUnknown, Verdict: Quarantine}, {ID: sheetUnconfirmed, Verdict: Quarantine}, {ID: "bow.unknown", Verdict: Quarantine},
	}})
	if len(held) != 2 || held[0].ID != "life.torn" || held[1].ID != "sheet.gone" {
		t.Errorf("held at once by %v", held)
	}
}

// Repeats too far apart, the same as last time or better than they can be are taken once more, and only once.
func TestSafety06_MeasureAgain(t *testing.T) {
	last := map[string][]Number{"gap": numbers("14.2", "14.3")}
	for _, c := range []struct {
		name, step    string
		last          map[string][]Number
		first, second []Number
		why           Again
		want          Verdict // of these readings alone
	}{
		{"too far apart", "measure.gap", nil, numbers("14", "14.21"), numbers("14", "14.5"), AgainSpread, Fit},
		{"four times the doubt is not too far", "measure.gap", nil, numbers("14", "14.2"), nil, "", Fit},
		{"the same as last time", "measure.gap", last, numbers("14.2", "14.30"), numbers("14.2", "14.3"), AgainSame, Fit},
		{"the same, the other way round", "measure.gap", last, numbers("14.3", "14.2"), nil, "", Fit},
		{"better than last time", "measure.gap", last, numbers("14.24", "14.24"), numbers("14.2", "14.2"), AgainGrown, Quarantine},
		{"better within the doubt", "measure.gap", last, numbers("14.25", "14.25"), nil, "", Fit},
		{"grown beyond new", "measure.neck", nil, numbers("12.06", "12.06"), numbers("12.1", "12.1"), AgainGrown, Quarantine},
		{"grown, then right", "measure.neck", nil, numbers("12.06", "12.06"), numbers("12", "12"), AgainGrown, Fit},
	} {
		f, s := hookStart(t)
		s.Last = c.last
		next, effect, err := Advance(f, s, Answer{Step: c.step, Readings: c.first})
		if err != nil || effect.Again != c.why || next.Answered(c.step) != (c.why == "") {
			t.Errorf("%s: set aside as %q, answered %v (%v), want %q", c.name, effect.Again, next.Answered(c.step), err, c.why)
			continue
		}
		if c.second != nil {
			next, effect, err = Advance(f, next, Answer{Step: c.step, Readings: c.second})
			if err != nil || effect.Again != "" || !next.Answered(c.step) {
				t.Errorf("%s: the second set is %q, answered %v (%v)", c.name, effect.Again, next.Answered(c.step), err)
			}
		}
		if worst := Judge(f, next).Worst(); worst != c.want {
			t.Errorf("%s: %s by %v, want %s", c.name, worst, ruled(Judge(f, next)), c.want)
		}
	}
}

// 0,35 and 0.35 are the same; 35 for 0.35 is out of range.
func TestSafety06_Commas(t *testing.T) {
	comma, err := ParseReadings("14,25 14,26", "mm")
	if err != nil {
		t.Fatal(err)
	}
	f, s := hookStart(t)
	s = answered(t, f, s, Answer{Step: "measure.gap", Readings: comma})
	if given, _ := s.Given("measure.gap"); !given.Readings[0].Equal(MustNumber("14.25")) {
		t.Errorf("14,25 became %s", given.Readings[0])
	}
	if _, _, err := Advance(f, s, Answer{Step: "measure.gap", Readings: numbers("1425", "1426")}); err == nil {
		t.Error("1425 was taken for a mouth of 14.25 mm")
	}
}

// A number that differs is asked for once more before it counts, and then holds.
func TestDifferentNumberIsAskedAgain(t *testing.T) {
	f, s := hookStart(t)
	next, effect, err := Advance(f, s, Answer{Step: "identity.serial", Text: "26-0471"})
	if err != nil || effect.Again != AgainDiffer || next.Answered("identity.serial") {
		t.Fatalf("set aside as %q (%v)", effect.Again, err)
	}
	if o := Judge(f, next); o.Held() {
		t.Errorf("set aside, and held by %v", ruled(o))
	}
	if o := Judge(f, answered(t, f, next, Answer{Step: "identity.serial", Text: "26-0417"})); o.Held() {
		t.Errorf("read again and right, and held by %v", ruled(o))
	}
	if o := Judge(f, answered(t, f, next, Answer{Step: "identity.serial", Text: "26-0471"})); !o.Held() {
		t.Error("read twice and wrong, and not held")
	}
}

// A fact that can't be told closes nothing, even where the sheet knew it.
func TestUnknownFactClosesNothing(t *testing.T) {
	f, s := hookStart(t)
	s.Facts = map[string]string{"catch": "no"}
	if _, _, err := Advance(f, s, Answer{Step: "look.spring", Clear: true}); err == nil {
		t.Error("the catch was looked at that isn't there")
	}
	s = answered(t, f, s, Answer{Step: "facts.catch", Unknown: true})
	if !slices.Contains(Judge(f, s).Missing, "look.spring") {
		t.Error("nobody can tell whether there is a catch, and nobody is asked to look at it")
	}
}

// The year of make that is read off an item is the register's, however it is written, or it is asked for once more and then holds.
func TestYearOfMakeAgreesWithTheRegister(t *testing.T) {
	library, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	const step = "papers.made_mark"
	for _, f := range library {
		for made, read := range map[string]map[string]string{
			"2022-03": {"2022": "", "03/2022": "", "week 14 of 2022": "", "2022-03-09": "", "2012": "differs", "12/2002": "differs", "22": "refused", "03/22": "refused", "a blur": "refused"},
			"":        {"2012": "", "22": "refused"}, // the register doesn't know
		} {
			start := Start{Item: Item{Serial: "26-0417"}}
			if made != "" {
				if start.Item.Made, err = due.Parse(made); err != nil {
					t.Fatal(err)
				}
			}
			for text, want := range read {
				next, effect, err := Advance(f, f.Start(start), Answer{Step: step, Text: text})
				var no Refusal
				switch refused := errors.As(err, &no) && no.Why == NeedsYear; {
				case refused != (want == "refused"), err != nil && !refused:
					t.Errorf("%s, made %s, read %q: %v", f.ID, made, text, err)
				case (effect.Again == AgainDiffer) != (want == "differs"):
					t.Errorf("%s, made %s, read %q: set aside as %q", f.ID, made, text, effect.Again)
				case want == "differs":
					if o := Judge(f, answered(t, f, next, Answer{Step: step, Text: text})); !o.Held() {
						t.Errorf("%s, made %s, read %q twice, and not held", f.ID, made, text)
					}
				}
			}
		}
	}
}
