package flows

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
)

// Unit is what a number counts, by its symbol: "mm", "kN", "count".
type Unit string

// unitNames is a unit with the words that people write for it. Whole units are only counted, never measured.
type unitNames struct {
	unit  Unit
	names []string // in lower case, besides the symbol
	whole bool
}

func units() []unitNames {
	return []unitNames{
		{unit: "µm", names: []string{"um", "μm", "micron", "microns", "micrometre", "micrometres"}},
		{unit: "mm", names: []string{"millimetre", "millimetres", "millimeter", "millimeters"}},
		{unit: "cm", names: []string{"centimetre", "centimetres", "centimeter", "centimeters"}},
		{unit: "m", names: []string{"metre", "metres", "meter", "meters"}},
		{unit: "g", names: []string{"gram", "grams", "gramme", "grammes"}},
		{unit: "kg", names: []string{"kilo", "kilos", "kilogram", "kilograms"}},
		{unit: "N", names: []string{"newton", "newtons"}},
		{unit: "daN", names: []string{"decanewton", "decanewtons"}},
		{unit: "kN", names: []string{"kilonewton", "kilonewtons"}},
		{unit: "Nm", names: []string{"newton-metre", "newton-metres"}},
		{unit: "s", names: []string{"sec", "second", "seconds"}},
		{unit: "min", names: []string{"minute", "minutes"}},
		{unit: "h", names: []string{"hour", "hours"}},
		{unit: "days", names: []string{"day"}, whole: true},
		{unit: "months", names: []string{"month"}, whole: true},
		{unit: "years", names: []string{"year"}},
		{unit: "°", names: []string{"deg", "degree", "degrees"}},
		{unit: "°C", names: []string{"celsius"}},
		{unit: "%", names: []string{"percent", "per-cent"}},
		{unit: "turns", names: []string{"turn"}},
		{unit: "count", names: []string{"pc", "pcs", "pieces"}, whole: true},
	}
}

func (u unitNames) called(word string) bool {
	return strings.EqualFold(string(u.unit), word) || slices.Contains(u.names, strings.ToLower(word))
}

func (u Unit) whole() bool {
	return slices.ContainsFunc(units(), func(n unitNames) bool { return n.unit == u && n.whole })
}

// ParseUnit reads a unit's symbol or name, whatever its letters' case.
func ParseUnit(text string) (Unit, error) {
	word := strings.TrimSpace(text)
	var known []string
	for _, u := range units() {
		if u.called(word) {
			return u.unit, nil
		}
		known = append(known, string(u.unit))
	}
	return "", fmt.Errorf("%q is no unit used here; write one of %s", text, strings.Join(known, ", "))
}

// ParseReadings reads one or more readings of the asked unit, in the order given. Spaces, semicolons, new lines
// and commas with a space after them stand between readings; a comma between digits is a decimal comma. A number
// may carry the asked unit. Whatever could mean something else is refused with how to write it.
func ParseReadings(text string, unit Unit) ([]Number, error) {
	var readings []Number
	named := true // the last number has its unit, or there is none yet
	for _, part := range readingParts(text) {
		digits, word := splitDigits(part)
		if inInches(part, word) {
			return nil, fmt.Errorf("inches and fractions are not taken; measure in %s, and write it in digits with a point", unit)
		}
		if digits != "" {
			numbers, err := parseRun(digits)
			if err != nil {
				return nil, err
			}
			readings, named = append(readings, numbers...), false
		}
		if word == "" {
			continue
		}
		if named {
			return nil, fmt.Errorf("%q is not a number; write only the readings, in digits with spaces between", part)
		}
		if err := unit.mustBe(word); err != nil {
			return nil, err
		}
		named = true
	}
	if len(readings) == 0 {
		return nil, fmt.Errorf("there is no reading in that; write the number in %s, in digits", unit)
	}
	for _, n := range readings {
		if unit.whole() && !n.IsWhole() {
			return nil, fmt.Errorf("%s is not a whole number; %s are counted, so write them without a point", n, unit.plural())
		}
	}
	return readings, nil
}

func (u Unit) plural() string {
	if u == "count" {
		return "these"
	}
	return string(u)
}

// mustBe refuses a word that isn't this unit.
func (u Unit) mustBe(word string) error {
	given, err := ParseUnit(word)
	switch {
	case err != nil:
		return fmt.Errorf("%q is neither a number nor a unit; write only the readings, in %s", word, u)
	case given != u:
		return fmt.Errorf("this is asked in %s, not in %s; measure in %s and write only the numbers", u, given, u)
	}
	return nil
}

// readingParts cuts text at everything that can only stand between readings.
func readingParts(text string) []string {
	runes := []rune(text)
	var marked strings.Builder
	for i, r := range runes {
		if r == ';' || (r == ',' && separates(runes, i)) {
			r = ' '
		}
		marked.WriteRune(r)
	}
	return strings.Fields(marked.String())
}

// separates tells whether the comma at i stands after a reading and not within one. A comma at the very end
// or before the first digit doesn't: half a number may have been lost there.
func separates(runes []rune, i int) bool {
	if i == 0 || i == len(runes)-1 {
		return false
	}
	before, after := runes[i-1], runes[i+1]
	return unicode.IsSpace(after) || !unicode.IsDigit(before) && !unicode.IsSpace(before)
}

// splitDigits cuts "7.74mm" into what belongs to the number and the rest.
func splitDigits(part string) (digits, rest string) {
	rest = strings.TrimLeft(part, "0123456789.,+-−")
	return strings.TrimSuffix(part, rest), rest
}

// parseRun reads what was written without a space: one number, or several that a comma can only separate
// because each has a point of its own.
func parseRun(run string) ([]Number, error) {
	if strings.Count(run, ",") == 0 || (strings.Count(run, ",") == 1 && !strings.Contains(run, ".")) {
		n, err := ParseNumber(run)
		return []Number{n}, err
	}
	var numbers []Number
	for piece := range strings.SplitSeq(run, ",") {
		n, err := ParseNumber(piece)
		if err != nil || !strings.Contains(piece, ".") {
			return nil, fmt.Errorf("%q can be read in more than one way; put a space between the readings", run)
		}
		numbers = append(numbers, n)
	}
	return numbers, nil
}

// inInches tells whether a part is in inches or in fractions, which is how inches are written.
func inInches(part, word string) bool {
	switch strings.ToLower(strings.TrimRight(word, ".")) {
	case "in", "ins", "inch", "inches":
		return true
	}
	for _, mark := range []string{`"`, "″", "”", "“", "''", "′′", "’’"} {
		if strings.Contains(part, mark) {
			return true
		}
	}
	over, under, slashed := strings.Cut(part, "/")
	return slashed && endsInDigit(over) && startsWithDigit(under) || strings.ContainsFunc(part, isVulgarFraction)
}

func endsInDigit(s string) bool     { return s != "" && isDigits(s[len(s)-1:]) }
func startsWithDigit(s string) bool { return s != "" && isDigits(s[:1]) }

// isVulgarFraction holds for ½, ¼, ⅜ and their like.
func isVulgarFraction(r rune) bool {
	return r >= '¼' && r <= '¾' || r >= '⅐' && r <= '⅟'
}
