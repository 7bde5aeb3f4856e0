package flows

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"pgregory.net/rapid"
)

func TestParseNumber(t *testing.T) {
	for text, want := range map[string]string{
		"0.35":             "0.35",
		"0,35":             "0.35",
		" 7.50 ":           "7.50",
		"7,50\u00a0":       "7.50",
		"-0.02":            "-0.02",
		"−0.02":            "-0.02",
		"+3":               "3",
		"12":               "12",
		"007.5":            "7.5",
		"-0":               "0",
		"999999999.999999": "999999999.999999",
	} {
		n, err := ParseNumber(text)
		if err != nil || n.String() != want {
			t.Errorf("%q is %s (%v), want %s", text, n, err, want)
		}
	}
}

func TestParseNumberRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"":           "is not a number; write it in digits",
		"-":          "is not a number",
		"+-3":        "is not a number",
		"--3":        "is not a number",
		"1e3":        "is not a number",
		"1.234,5":    "is not a number",
		"1,234,567":  "is not a number",
		"1 234":      "is not a number",
		"1'234":      "is not a number",
		"7.":         "is not a number",
		".5":         "is not a number",
		"٧":          "is not a number",
		"7.5mm":      "is not a number",
		"NaN":        "is not a number",
		"Inf":        "is not a number",
		"0x10":       "is not a number",
		"1234567890": "is too long",
		"0.1234567":  "is too long",
	} {
		n, err := ParseNumber(text)
		if err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: got %s, %v; want an error with %q", text, n, err, says)
		}
	}
}

func TestParsePercent(t *testing.T) {
	for _, text := range []string{"75", "99.5", "0,1", "200"} {
		if _, err := ParsePercent(text); err != nil {
			t.Error(err)
		}
	}
	for _, text := range []string{"0", "-75", "200.1", "12.25", "most"} {
		if p, err := ParsePercent(text); err == nil {
			t.Errorf("%q was taken as %s", text, p)
		}
	}
}

func TestArithmeticIsExact(t *testing.T) {
	n := MustNumber
	for _, c := range []struct {
		name string
		got  Number
		want string
	}{
		{"0.1 + 0.2", n("0.1").Add(n("0.2")), "0.3"},
		{"7.5 + 0.04", n("7.5").Add(n("0.04")), "7.54"},
		{"7.54 - 0.04", n("7.54").Sub(n("0.04")), "7.50"},
		{"-(7.5)", n("7.5").Neg(), "-7.5"},
		{"|-7.5|", n("-7.5").Abs(), "7.5"},
		{"75 % of 1.0", n("1.0").Percent(n("75")), "0.75"},
		{"75 % of 0.35", n("0.35").Percent(n("75")), "0.2625"},
		{"50 % of 8.00", n("8.00").Percent(n("50")), "4.00"},
		{"99.5 % of 8", n("8").Percent(n("99.5")), "7.96"},
		{"3 times 0.35", n("0.35").Times(3), "1.05"},
		{"half of 0.35", n("0.35").Half(), "0.175"},
		{"half of 8.00", n("8.00").Half(), "4.00"},
	} {
		if c.got.String() != c.want {
			t.Errorf("%s is %s, want %s", c.name, c.got, c.want)
		}
	}
}

func TestOrderIsByValue(t *testing.T) {
	a, b := MustNumber("7.5"), MustNumber("7.50")
	if a.Cmp(b) != 0 || !a.Equal(b) || a.Less(b) || b.Less(a) {
		t.Error("7.5 and 7.50 differ in value")
	}
	if !MustNumber("-1").Less(MustNumber("0.5")) || MustNumber("1").Less(MustNumber("-2")) {
		t.Error("the order is wrong")
	}
	if (Number{}).Cmp(MustNumber("0.00")) != 0 || !MustNumber("-0.0").IsZero() || MustNumber("-0.1").Sign() != -1 {
		t.Error("zero or sign is wrong")
	}
	if !MustNumber("12.0").IsWhole() || MustNumber("12.5").IsWhole() {
		t.Error("whole is wrong")
	}
}

// The bounds that the type promises: none of these may panic, and each has every digit.
func TestLargestNumbersStayExact(t *testing.T) {
	largest := MustNumber("999999999.999999")
	share := largest.Percent(MustNumber("199.9"))
	sum := share
	for range 7 {
		sum = sum.Add(largest)
	}
	for _, c := range []struct {
		got  Number
		want string
	}{
		{share, "1998999999.999998001"}, // by hand: 1999000000 less 1.999 millionths
		{sum, "8998999999.999991001"},   // by hand: seven more, each a millionth short of 10⁹
		{largest.Times(1000), "999999999999.999000"},
		{largest.Neg().Half(), "-499999999.9999995"},
	} {
		if c.got.String() != c.want {
			t.Errorf("got %s, want %s", c.got, c.want)
		}
	}
}

func TestOutgrownNumberPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a sum beyond all bounds was given")
		}
	}()
	n := MustNumber("999999999.999999")
	for range 20 {
		n = n.Add(n)
	}
}

func TestNumberInJSON(t *testing.T) {
	var sheet map[string]Number
	if err := json.Unmarshal([]byte(`{"a":7.50,"b":"0,35","c":-3,"d":"8"}`), &sheet); err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(sheet)
	if err != nil {
		t.Fatal(err)
	}
	if want := `{"a":"7.50","b":"0.35","c":"-3","d":"8"}`; string(got) != want {
		t.Errorf("got %s, want %s", got, want)
	}
	for _, text := range []string{`{"a":null}`, `{"a":1e3}`, `{"a":true}`, `{"a":""}`, `{"a":[1]}`, `{"a":0.30000000000000004}`} {
		if err := json.Unmarshal([]byte(text), &sheet); err == nil {
			t.Errorf("%s was taken", text)
		}
	}
}

func TestNumberInYAML(t *testing.T) {
	var sheet map[string]Number
	text := "a: 7.50 # new\nb: \"0,35\"\nc: -3\nd: '8'\ne: 0.000001\nf: 123456789.123456\n"
	if err := yaml.Unmarshal([]byte(text), &sheet); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string]string{"a": "7.50", "b": "0.35", "c": "-3", "d": "8", "e": "0.000001", "f": "123456789.123456"} {
		if sheet[id].String() != want {
			t.Errorf("%s is %s, want %s", id, sheet[id], want)
		}
	}
	for _, text := range []string{"a: 1e3", "a: 0x10", "a: [1]", "a: much"} {
		if err := yaml.Unmarshal([]byte(text), &sheet); err == nil {
			t.Errorf("%s was taken", text)
		}
	}
}

func anyNumber() *rapid.Generator[Number] {
	return rapid.Custom(func(t *rapid.T) Number {
		return MustNumber(rapid.StringMatching(`-?[0-9]{1,9}(\.[0-9]{1,6})?`).Draw(t, "number"))
	})
}

func TestSumsUndoThemselves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyNumber().Draw(t, "a"), anyNumber().Draw(t, "b")
		if back := a.Add(b).Sub(b); !back.Equal(a) {
			t.Fatalf("%s + %s - %s is %s", a, b, b, back)
		}
		if twice := a.Half().Times(2); !twice.Equal(a) {
			t.Fatalf("twice half of %s is %s", a, twice)
		}
		p := MustNumber(rapid.StringMatching(`1?[0-9]{1,2}(\.[0-9])?`).Draw(t, "percent"))
		if whole := a.Percent(p).Add(a.Percent(MustNumber("100").Sub(p))); !whole.Equal(a) {
			t.Fatalf("%s %% and the rest of %s make %s", p, a, whole)
		}
		if a.Cmp(b) != a.Sub(b).Sign() {
			t.Fatalf("%s and %s: the order and the difference disagree", a, b)
		}
	})
}

func TestFloatIsTheNearest(t *testing.T) {
	for text, want := range map[string]float64{"0": 0, "0.35": 0.35, "-7.50": -7.5, "999999999.999999": 999999999.999999} {
		if got := MustNumber(text).Float(); got != want {
			t.Errorf("%s is %v", text, got)
		}
	}
}
