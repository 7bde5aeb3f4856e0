package prompts

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
)

// goodPair is a rewording that may be used, and badOnes are some that may not.
type goodPair struct {
	From, To string
	Language string
}

type badOnes struct {
	From     string
	Language string
	Wrong    []map[string]string
}

func readTable[T any](t testing.TB, name string) (all []T) {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.Unmarshal(raw, &all); err != nil {
		t.Fatal(yaml.FormatError(err, false, true))
	}
	return all
}

// wrong is one rewording that may never be used.
type wrong struct{ from, to, language, what string }

func wrongOnes(t testing.TB) (all []wrong) {
	t.Helper()
	for _, list := range append(readTable[badOnes](t, "testdata/wrong.yaml"), readTable[badOnes](t, "testdata/wrong-german.yaml")...) {
		for _, one := range list.Wrong {
			for what, to := range one {
				all = append(all, wrong{strings.TrimSpace(list.From), to, languageOr(list.Language), what})
			}
		}
	}
	return all
}

func languageOr(l string) string {
	if l == "" {
		return English
	}
	return l
}

func checker(t testing.TB) *Checker {
	t.Helper()
	c, err := NewChecker()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestGoodRewordingsAreAccepted(t *testing.T) {
	// The checks were made with the first table. The second was written without a look at them, for the first instruction: 77 of its 108 were accepted at
	// first. The third was written blind for the instruction as it stands: 83 of its 110 were accepted at first, and 106 since what the checks misread was
	// mended. The fourth is like it and was held against the checks once they were done with: 96 of 110 at first, where 95 of 100 were wanted; little was
	// mended since. What is refused of the first three now breaks the instruction: it brings in a condition, a duty, a question or a word of its own, or another
	// order; of the fourth, four do, three more say "something" or "even", and the others are misread. The fifth was written blind under edition 3 of the
	// instruction: 109 of 130 at first, and 122 since what was misread was mended. The sixth was written blind for the checks as they are, and they weren't
	// touched until it was counted: 110 of 120, 95 of its 100 English ones and 15 of its 20 German ones. The seventh was held against edition 11 of the
	// checks: 112 of 120 at first, 63 of its 70 English ones and 49 of its 50 German ones. The eighth was held against
	// edition 19, once: 165 of 170, 116 of its 120 English ones and 49 of its 50 German ones; the checks were only tightened since, which cost one of them. Each share is what a table has
	// now.
	for table, share := range map[string]int{"testdata/good.yaml": 91, "testdata/fresh.yaml": 87, "testdata/blind-a.yaml": 96, "testdata/blind-b.yaml": 90, "testdata/blind-c.yaml": 96, "testdata/blind-d.yaml": 99, "testdata/blind-e.yaml": 97, "testdata/blind-f.yaml": 96} {
		t.Run(table, func(t *testing.T) { goodOnesAreAccepted(t, table, share) })
	}
}

// goodOnesAreAccepted wants a share of a table, in percent.
func goodOnesAreAccepted(t *testing.T, table string, share int) {
	c, all := checker(t), readTable[goodPair](t, table)
	accepted := 0
	for _, g := range all {
		if why := c.Objections(g.From, g.To, languageOr(g.Language)); len(why) == 0 {
			accepted++
		} else {
			t.Logf("refused: %s\n  %v", g.To, why)
		}
	}
	t.Logf("%d of %d good ones are accepted", accepted, len(all))
	if len(all) < 100 || accepted*100 < len(all)*share {
		t.Errorf("only %d of %d good ones are accepted", accepted, len(all))
	}
}

func TestWrongRewordingsAreRefused(t *testing.T) {
	c, all := checker(t), wrongOnes(t)
	if len(all) < 200 {
		t.Errorf("only %d wrong ones", len(all))
	}
	for _, w := range all {
		if why := c.Objections(w.from, w.to, w.language); len(why) == 0 {
			t.Errorf("%s, and nothing objects: %s", w.what, w.to)
		}
	}
}

// TestEachCheckIsNeeded wants for each check something wrong that it alone stands against: without it that would come through.
func TestEachCheckIsNeeded(t *testing.T) {
	c, all := checker(t), wrongOnes(t)
	through := map[string]int{} // what a single check stands against
	for _, w := range all {
		if why := c.Objections(w.from, w.to, w.language); len(why) == 1 {
			through[why[0].Check]++
		}
	}
	for _, name := range c.Checks() {
		t.Logf("without %q: %d come through", name, through[name])
		if through[name] == 0 {
			t.Errorf("nothing wrong comes through without %q, so no test holds it", name)
		}
	}
}

func TestOriginalsObjectToNothing(t *testing.T) {
	c := checker(t)
	for _, g := range readTable[goodPair](t, "testdata/good.yaml") {
		if why := c.Objections(g.From, g.From, English); len(why) > 0 {
			t.Errorf("%s: %v", g.From, why)
		}
	}
}

// "Must not" and "need not" are one word apart in German: "darf nicht", "muss nicht".
func TestMustNotIsNoNeedNot(t *testing.T) {
	c := checker(t)
	for to, good := range map[string]bool{"Die Platte darf nicht wackeln.": true, "Die Platte muss nicht wackeln.": false, "Die Platte darf wackeln.": false} {
		if why := c.Objections("The plate must not rock.", to, "de"); (len(why) == 0) != good {
			t.Errorf("%s: %v", to, why)
		}
	}
}

func TestHeldWordsComeBackOnceAndInOrder(t *testing.T) {
	l := checker(t).languages[English]
	original := `Type "can't tell" for C-2, then read 5 mm (or 0.35) twice.`
	masked, held := hold(original, l)
	if want := `Type ZQ1X for ZQ2X, then read ZQ3X (or ZQ4X) twice.`; masked != want {
		t.Errorf("masked %q, not %q", masked, want)
	}
	if back, err := release(masked, held); err != nil || back != original {
		t.Errorf("back: %q, %v", back, err)
	}
	for _, bad := range []string{
		"Type ZQ1X for ZQ2X, then read ZQ3X.", "Type ZQ1X for ZQ2X, then read ZQ3X (or ZQ4X, ZQ4X).",
		"Type ZQ2X for ZQ1X, then read ZQ3X (or ZQ4X).", "Type ZQ1X for ZQ2X, then read ZQ3X (or ZQ4X) ZQ5X.", "Type zq1x for ZQ2X, ZQ3X, ZQ4X.",
	} {
		if back, err := release(bad, held); err == nil {
			t.Errorf("%s came back as %s", bad, back)
		}
	}
}

// TestSpoiledGoodOnesAreRefused spoils each good rewording in ways that mislead.
func TestSpoiledGoodOnesAreRefused(t *testing.T) {
	c := checker(t)
	spoil := []func(string) string{
		func(s string) string { return strings.Replace(s, "n't ", " ", 1) },
		func(s string) string { return strings.Replace(s, " not ", " ", 1) },
		func(s string) string { return strings.Replace(s, "ever ", "ever not ", 1) },
		func(s string) string { return strings.Replace(s, " must ", " may ", 1) },
		func(s string) string { return strings.Replace(s, " should ", " may ", 1) },
		func(s string) string { return strings.Replace(strings.Replace(s, "only ", "", 1), "Only ", "", 1) },
		func(s string) string { return s + " It is safe then." },
		func(s string) string { return s + " You can leave that out when you are in a hurry." },
		func(s string) string { return s + " Oil it." },
		func(s string) string { return s + " 5 mm." },
		func(s string) string { return s + " Isn't it?" },
		func(s string) string { return s[:len(s)-1] },
		func(s string) string { return "<p>" + s + "</p>" },
		func(s string) string { return "Here you are: " + s + " @ana" },
		func(s string) string { return strings.Repeat(s+" ", 3) },
	}
	tried := 0
	for _, g := range append(readTable[goodPair](t, "testdata/good.yaml"), readTable[goodPair](t, "testdata/fresh.yaml")...) {
		for n, f := range spoil {
			bad := f(g.To)
			if bad == g.To || g.Language != "" || len(c.Objections(g.From, g.To, English)) > 0 {
				continue
			}
			tried++
			if len(c.Objections(g.From, bad, English)) == 0 {
				t.Error(fmt.Sprintf("way %d: ", n), bad)
			}
		}
	}
	t.Logf("%d spoiled ones were tried", tried)
	if tried < 1400 {
		t.Errorf("only %d were tried", tried)
	}
}

// TestSpoiledGermanOnesAreRefused spoils each German one in ways that mislead.
func TestSpoiledGermanOnesAreRefused(t *testing.T) {
	c := checker(t)
	spoil := [][2]string{
		{" nicht ", " "}, {" nicht.", "."}, {" nicht,", ","}, {" nie ", " "}, {" nie ", " nicht "}, {" keine", " eine"}, {" kein ", " ein "}, {"Niemand", "Jemand"}, {"niemand", "jemand"},
		{"Nichts", "Etwas"}, {"nichts", "etwas"}, {"ohne ", "mit "}, {" nur ", " "}, {" soll ", " kann "}, {" soll ", " muss "}, {" muss ", " kann "}, {" kann ", " muss "}, {" kann ", " soll "},
		{" darf ", " muss "}, {"jede ", "eine "}, {"jeden ", "einen "}, {"jedes ", "ein "}, {"beide", "die"}, {"dreimal", "zweimal"}, {"zehn", "neun"}, {"zwei ", "drei "}, {"Viertel", "Drittel"},
		{"Riss", "Rille"}, {"Seil", "Band"}, {"Platte", "Nocke"}, {"Nocke", "Platte"}, {"Schnapper", "Haken"}, {"Niet", "Schraub"}, {"Handschuhe aus", "Handschuhe an"},
		{"Wenn ", "Dass "}, {" wenn ", " weil "}, {" ist ", " ist nicht "}, {" ist ", " ist vielleicht "}, {" ist ", " ist fast "}, {"bevor", "nachdem"}, {"danach", "vorher"},
		{"Öffne", "Schließ"}, {"Schließ", "Öffne"}, {"drück ", "zieh "}, {" oben", " unten"}, {"links", "rechts"}, {" innen", " außen"}, {"trocken", "nass"}, {"weich", "hart"}, {"größte", "kleinste"},
		{". ", ", falls du magst. "}, {". ", ". Wenn du magst, "},
		{"$", " Öl es ein."}, {"$", " Dann ist es sicher."}, {"$", " 5 mm."}, {"$", " Das kannst du auslassen, wenn du es eilig hast."}, {"$", " Ist es nicht so?"}, {".$", ""},
	}
	tried := 0
	for _, table := range []string{"good", "fresh", "blind-a", "blind-b", "blind-c", "blind-d", "blind-e"} {
		for _, g := range readTable[goodPair](t, "testdata/"+table+".yaml") {
			if g.Language != "de" || len(c.Objections(g.From, g.To, "de")) > 0 {
				continue
			}
			for _, way := range spoil {
				bad := strings.TrimSuffix(strings.Replace(g.To+"$", way[0], way[1], 1), "$")
				// What is said twice may lose one, "any" isn't "each", and of two opposites only one can be missed.
				twice := strings.Count(strings.ToLower(g.To), "jed") > 1 || strings.Contains(g.To, "jeden Rost")
				if strings.Contains(strings.ToLower(g.To), strings.TrimSpace(strings.ToLower(way[1]))) && strings.TrimSpace(way[1]) != "" || strings.HasPrefix(way[0], "jede") && twice || bad == g.To {
					continue
				}
				tried++
				if len(c.Objections(g.From, bad, "de")) == 0 {
					t.Errorf("%q for %q: %s\n%s", way[1], way[0], g.From, bad)
				}
			}
		}
	}
	t.Logf("%d spoiled ones were tried", tried)
	if tried < 800 {
		t.Errorf("only %d were tried", tried)
	}
}

// A reply that could be read in very many ways is refused before all of them are looked at: those of the second would not be gone through
// before the tests are ended from outside.
func TestManyReadingsAreRefused(t *testing.T) {
	c := checker(t)
	from := "Nothing should move. Turn it once, then look if it can be read, and never file it."
	for _, to := range []string{
		strings.Repeat("Vor nach lässt über erst bis sofort stets lautlos mehr weniger unsichtbar. ", 20),
		strings.Repeat("vor und nach, lässt und über, erst und bis, sofort und stets, ", 30) + "nie.",
		strings.Repeat("Es. ", 400),
	} {
		if len(c.Objections(from, strings.TrimSpace(to), "de")) == 0 {
			t.Errorf("it is accepted: %.60s", to)
		}
	}
}
