package flows

import (
	"strings"
	"testing"
)

func TestParseUnit(t *testing.T) {
	for text, want := range map[string]Unit{
		"mm": "mm", "MM": "mm", " millimetres ": "mm", "kn": "kN", "N": "N", "Kg": "kg", "deg": "°", "°": "°",
		"°c": "°C", "%": "%", "minutes": "min", "Turns": "turns", "count": "count", "µm": "µm", "μm": "µm",
	} {
		if got, err := ParseUnit(text); err != nil || got != want {
			t.Errorf("%q is %q (%v), want %q", text, got, err, want)
		}
	}
	for _, text := range []string{"", "in", "furlong", "lb"} {
		if got, err := ParseUnit(text); err == nil || !strings.Contains(err.Error(), "mm, cm, m") {
			t.Errorf("%q: got %q, %v; want an error that lists the units", text, got, err)
		}
	}
}

func TestUnitWordsAreUnique(t *testing.T) {
	whose := map[string]Unit{}
	for _, u := range units() {
		for _, word := range append(u.names, strings.ToLower(string(u.unit))) {
			if other, taken := whose[word]; taken {
				t.Errorf("%q means both %s and %s", word, other, u.unit)
			}
			whose[word] = u.unit
		}
	}
}

func inOneLine(numbers []Number) string {
	var words []string
	for _, n := range numbers {
		words = append(words, n.String())
	}
	return strings.Join(words, " ")
}

func TestParseReadings(t *testing.T) {
	for _, c := range []struct {
		text string
		unit Unit
		want string
	}{
		{"7.74 7.71 7.72", "mm", "7.74 7.71 7.72"},
		{"7,74 7,71 7,72", "mm", "7.74 7.71 7.72"},
		{"7.74, 7.71, 7.72", "mm", "7.74 7.71 7.72"},
		{"7,74, 7,71, 7,72", "mm", "7.74 7.71 7.72"},
		{"7.74 , 7.71", "mm", "7.74 7.71"},
		{"7.74,7.71,7.72", "mm", "7.74 7.71 7.72"},
		{"7.74mm 7.71 mm 7.72", "mm", "7.74 7.71 7.72"},
		{"7.74mm,7.71mm", "mm", "7.74 7.71"},
		{"7.74 7.71 7.72 MM", "mm", "7.74 7.71 7.72"},
		{"7.74; 7.71;7.72", "mm", "7.74 7.71 7.72"},
		{"7.74\n7.71\n", "mm", "7.74 7.71"},
		{"-0.02", "mm", "-0.02"},
		{"0,35", "mm", "0.35"}, // safety rule 6: the same as 0.35
		{"0.350", "mm", "0.350"},
		{"12", "count", "12"},
		{"12 pcs", "count", "12"},
		{"75%", "%", "75"},
		{"10° 11 degrees", "°", "10 11"},
		{"2.5 turns", "turns", "2.5"},
	} {
		got, err := ParseReadings(c.text, c.unit)
		if err != nil || inOneLine(got) != c.want {
			t.Errorf("%q in %s: got %q, %v; want %q", c.text, c.unit, inOneLine(got), err, c.want)
		}
	}
}

func TestParseReadingsRefuses(t *testing.T) {
	const inches = "inches and fractions are not taken; measure in mm"
	for _, c := range []struct {
		text, says string
		unit       Unit
	}{
		{"0.3 in", inches, "mm"},
		{"0.3in", inches, "mm"},
		{"0.3 inch", inches, "mm"},
		{"0.3 Inches.", inches, "mm"},
		{`0.3"`, inches, "mm"},
		{"0.3″", inches, "mm"},
		{"0.3”", inches, "mm"},
		{"0.3''", inches, "mm"},
		{"1/4", inches, "mm"},
		{"5 1/4", inches, "mm"},
		{"¼", inches, "mm"},
		{"1⅜", inches, "mm"},
		{"0.77 cm", "this is asked in mm, not in cm; measure in mm", "mm"},
		{"7.74mm 0.77cm", "not in cm", "mm"},
		{"12 mm", "this is asked in count, not in mm", "count"},
		{"about 7.74", `"about" is not a number`, "mm"},
		{"7.74 or so", `"or" is neither a number nor a unit`, "mm"},
		{"7.74 mm mm", `"mm" is not a number`, "mm"},
		{"mm", `"mm" is not a number`, "mm"},
		{"clear", `"clear" is not a number`, "mm"},
		{"7,74,7,71", "more than one way; put a space between", "mm"},
		{"7.74,7", "more than one way", "mm"},
		{"1.234,56", "more than one way", "mm"},
		{"7.74-7.71", "is not a number", "mm"},
		{"7.74 .71", "is not a number", "mm"},
		{"7.74 ,71", "is not a number", "mm"},
		{",35", "is not a number", "mm"},
		{"7,", "is not a number", "mm"},
		{"7.74.", "is not a number", "mm"},
		{"7.74,, 7.71", "more than one way", "mm"},
		{"1e3", "neither a number nor a unit", "mm"},
		{"1234567890", "is too long", "mm"},
		{"3,4", "3.4 is not a whole number; these are counted", "count"},
		{"", "there is no reading in that", "mm"},
		{" ; ", "there is no reading in that", "mm"},
	} {
		got, err := ParseReadings(c.text, c.unit)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q in %s: got %q, %v; want an error with %q", c.text, c.unit, inOneLine(got), err, c.says)
		}
	}
}

// What is taken reads the same when it is written plainly, and has no digits that weren't typed.
func FuzzParseReadings(f *testing.F) {
	for _, seed := range []string{"7.74 7.71 7.72", "7,74, 7,71", "7.74mm,7.71mm", "7,74,7,71", "1/4", `0.3"`, "-0.02;+3", ",35", "12 pcs", "7.74 −1"} {
		f.Add(seed, "mm")
		f.Add(seed, "count")
	}
	f.Fuzz(func(t *testing.T, text, unit string) {
		got, err := ParseReadings(text, Unit(unit))
		if err != nil {
			if strings.TrimSpace(err.Error()) == "" {
				t.Fatalf("%q is refused without a word", text)
			}
			return
		}
		plain := inOneLine(got)
		again, err := ParseReadings(plain, Unit(unit))
		if err != nil || inOneLine(again) != plain {
			t.Fatalf("%q is %q, which reads as %q, %v", text, plain, inOneLine(again), err)
		}
		if countDigits(plain) > countDigits(text) {
			t.Fatalf("%q became %q, with digits that nobody typed", text, plain)
		}
	})
}

func countDigits(s string) int {
	n := 0
	for _, r := range s {
		if r >= '0' && r <= '9' {
			n++
		}
	}
	return n
}
