package bot

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unicode"

	"becket/flows"
)

// readable is a question of every kind. The group has as many letters as a question may have.
func readable() []flows.Question {
	options := func(check string, labels ...string) (list []flows.Option) {
		for n, l := range labels {
			list = append(list, flows.Option{Check: check, ID: fmt.Sprintf("%s_%d", check, n), Label: l, Verdict: flows.Quarantine})
		}
		return list
	}
	return []flows.Question{
		{Kind: flows.KindMatch, Section: "identity", Steps: []string{"identity.serial"}, Expect: "22-1180"},
		{
			Kind: flows.KindChecks, Section: "feel", Steps: []string{"feel.plates", "feel.path", "feel.rivets", "feel.dirt"},
			Options: slices.Concat(
				options("plates", "bent", "a crack however short", "stamped, drilled, engraved or changed", "edge raised"),
				options("path", "a blunt groove", "a sharp groove; or a notch"),
				options("rivets", "moved", "loose & turning", "gone and not to be found"),
				options("dirt", "grit", "salt", "more than 80 °C"),
			),
		},
		{Kind: flows.KindCritical, Section: "look", Steps: []string{"look.cam"}, Clear: "even and smooth", Options: options("cam", "a groove", "pits", "a crack")},
		{Kind: flows.KindChoice, Section: "facts", Steps: []string{"facts.lock"}, Options: options("lock", "yes", "no")},
		{Kind: flows.KindReading, Section: "measure", Steps: []string{"measure.pin"}, Unit: "mm", Repeat: 3},
		{Kind: flows.KindPhoto, Section: "closing", Steps: []string{"closing.photo"}},
		{Kind: flows.KindNote, Section: "closing", Steps: []string{"closing.place"}},
		{Kind: flows.KindNote, Section: "look", Steps: []string{"look.teeth"}, Unit: "count"},
	}
}

// FuzzRead reads any text as the answer to a question of any kind.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"", " ", "\u00a0", ".", ",", "and", "+&;", "clear", "Clear.", "a", "k", "L", "d e", "de", "a and c", "a,b", "1", "z", "aaaaa", "ok", "👍", "yes", "same",
		"can't tell", "can’t tell b", "can't tell b, c", "can't tell b, c: too dark", "can't tell, because it is too dark", "?", "? b", "d, can't tell b", "clear, can't tell a",
		"a crack however short", "stamped, drilled, engraved or changed", "7.74 7.71 7.72", "7,74 7,71", "7.74 mm", "1e9", "-0", "٣", "22-1180", "no photo", "numb",
		"clear because it was dirt", "left plate by the hole, 0.6 mm", "\xff", "can't tell \xff", "%d %s", strings.Repeat("a ", 2000),
	} {
		for kind := range readable() {
			f.Add(uint8(kind), text, uint8(0))
		}
	}
	f.Add(uint8(5), "", uint8(2))
	f.Fuzz(func(t *testing.T, kind uint8, text string, photos uint8) {
		questions := readable()
		q := questions[int(kind)%len(questions)]
		answers, err := read(q, text, int(photos))
		if err != nil {
			var wrong complaint
			if !errors.As(err, &wrong) || wrong == "" || strings.Contains(string(wrong), "%!") && !strings.Contains(text, "%") {
				t.Errorf("%q is refused with %q", text, err)
			}
			return
		}
		if len(answers) == 0 {
			t.Fatalf("%q is taken for nothing", text)
		}
		var steps []string
		for _, a := range answers {
			if !slices.Contains(q.Steps, a.Step) || slices.Contains(steps, a.Step) {
				t.Errorf("%q answers %s of %v", text, a.Step, q.Steps)
			}
			steps = append(steps, a.Step)
			wellFormed(t, q, text, a)
		}
		if q.Kind == flows.KindChecks && len(steps) != len(q.Steps) {
			t.Errorf("%q leaves checks open: %v", text, answers)
		}
		neverSilent(t, q, text, answers, photos > 0)
	})
}

// wellFormed tests that an answer says one thing, and nothing that wasn't asked.
func wellFormed(t *testing.T, q flows.Question, text string, a flows.Answer) {
	t.Helper()
	says := 0
	for _, one := range []bool{a.Clear, len(a.Findings) > 0, len(a.Readings) > 0, a.Text != "", a.Unknown} {
		if one {
			says++
		}
	}
	if says != 1 || a.Reopen {
		t.Errorf("%q is taken as %+v", text, a)
	}
	for n, id := range a.Findings {
		known := slices.ContainsFunc(q.Options, func(o flows.Option) bool { return o.Check == checkOf(a.Step) && o.ID == id })
		if !known || slices.Contains(a.Findings[:n], id) {
			t.Errorf("%q finds %s at %s", text, id, a.Step)
		}
	}
	if a.Clear && q.Kind != flows.KindChecks && q.Kind != flows.KindCritical {
		t.Errorf("%q is clear where nothing can be", text)
	}
}

// neverSilent tests that silence, punctuation and nods answer nothing, and that clear is said, not understood.
func neverSilent(t *testing.T, q flows.Question, text string, answers []flows.Answer, photo bool) {
	t.Helper()
	saysSomething := strings.ContainsFunc(text, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsNumber(r) || r == '?' })
	free := q.Kind == flows.KindNote || q.Kind == flows.KindMatch
	if !saysSomething && !photo && !free {
		t.Errorf("%q is taken as %+v", text, answers)
	}
	if strings.TrimSpace(text) == "" && !photo {
		t.Errorf("silence is taken as %+v", answers)
	}
	allClear := !slices.ContainsFunc(answers, func(a flows.Answer) bool { return !a.Clear })
	said := strings.ToLower(strings.Trim(text, " .\t\n\v\f\r\u0085\u00a0"))
	if allClear && q.Kind == flows.KindChecks && said != clearWord {
		t.Errorf("%q is taken as all clear", text)
	}
	if _, unknown := cantTell(text); isNod(text) && !unknown && q.Kind != flows.KindChoice && !photo && keyIndex(said) < 0 {
		t.Errorf("the nod %q is taken as %+v", text, answers)
	}
}

// Whatever is shown can be typed: each option's letter and each option's own words give that option and no other.
func TestEveryOptionCanBeTyped(t *testing.T) {
	for _, q := range readable() {
		for n, o := range optionsOf(q) {
			for _, text := range []string{key(n), strings.ToUpper(key(n)), key(n) + ".", " " + key(n) + " ", o.Label, strings.ToUpper(o.Label), o.ID} {
				answers, err := read(q, text, 0)
				if err != nil {
					t.Errorf("%s, %q: %v", q.Kind, text, err)
					continue
				}
				for _, a := range answers {
					mine := a.Step == q.Steps[0] && len(q.Steps) == 1 || checkOf(a.Step) == o.Check
					if want := mine && o.ID != clearWord; want != slices.Contains(a.Findings, o.ID) || a.Clear == want {
						t.Errorf("%s, %q: %s is %+v", q.Kind, text, a.Step, a)
					}
				}
			}
		}
	}
}

// Unknown is not clear: of every check that somebody can't tell, and names by a letter, none comes out clear.
func TestCanNotTellTakesSeveralLetters(t *testing.T) {
	q := readable()[1]
	for text, want := range map[string]string{
		"can't tell":                       "plates path rivets dirt:",
		"can't tell, too dark":             "plates path rivets dirt:too dark",
		"can't tell because it is dark":    "plates path rivets dirt:it is dark",
		"can't tell the bar is stuck":      "plates path rivets dirt:the bar is stuck",
		"can't tell a crack from a scrape": "plates path rivets dirt:a crack from a scrape",
		"can't tell b":                     "plates:",
		"can't tell b: too dark":           "plates:too dark",
		"can't tell b g":                   "plates rivets:",
		"can't tell b and g because wet":   "plates rivets:wet",
		"can't tell b, g":                  "plates rivets:",
		"can't tell b, g, j":               "plates rivets dirt:",
		"can't tell b, g because wet":      "plates rivets:wet",
		"can't tell b, g: wet, and dark":   "plates rivets:wet, and dark",
		"can't tell b, because wet":        "plates:wet",
		"e, can't tell b, g":               "plates rivets:",
	} {
		answers, err := read(q, text, 0)
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		var unknown []string
		reason := ""
		for _, a := range answers {
			if a.Unknown {
				unknown, reason = append(unknown, checkOf(a.Step)), a.Reason
			}
		}
		if got := strings.Join(unknown, " ") + ":" + reason; got != want {
			t.Errorf("%q: got %q, wanted %q", text, got, want)
		}
	}
}
