package flows

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/govalues/decimal"
)

// Number is an exact decimal; its zero value is 0. Compare with Cmp, never with ==, since 7.5 and 7.50 are kept
// as they were written.
//
// No operation rounds. A Number that was read has at most 9 digits before the point and 6 after, and the type
// carries 19: there is room for one Percent, Half or Times of such a number and for sums of up to eight of the
// results. Anything that outgrew this would be a mistake in the program, and panics rather than round.
type Number struct{ d decimal.Decimal }

const (
	digitsBefore = 9
	digitsAfter  = 6
)

// asTyped is a point for a comma, and the minus of a keyboard for that of a printer.
func asTyped(r rune) rune {
	switch r {
	case ',':
		return '.'
	case '−':
		return '-'
	}
	return r
}

// ParseNumber reads a number as people type it: "0.35", "0,35", "-0.02", "+3", spaces around it trimmed.
// Exponents, thousands signs and a leading or trailing point are refused, so that half a number is never taken
// for a whole one.
func ParseNumber(text string) (Number, error) {
	plain := strings.Map(asTyped, strings.TrimSpace(text))
	unsigned := strings.TrimPrefix(plain, "+")
	if unsigned == plain {
		unsigned = strings.TrimPrefix(plain, "-")
	}
	whole, fraction, pointed := strings.Cut(unsigned, ".")
	switch {
	case whole == "" && pointed && isDigits(fraction):
		return Number{}, fmt.Errorf("%q is not a number; write a digit before its point, like 0.%s", text, fraction)
	case !isDigits(whole), pointed && !isDigits(fraction):
		return Number{}, fmt.Errorf("%q is not a number; write it in digits, with one point or comma at most", text)
	case len(whole) > digitsBefore, len(fraction) > digitsAfter:
		return Number{}, fmt.Errorf("%q is too long; write at most %d digits before the point and %d after", text, digitsBefore, digitsAfter)
	}
	d, err := decimal.Parse(plain)
	if err != nil {
		return Number{}, fmt.Errorf("%q could not be read as a number: %w", text, err)
	}
	return Number{d}, nil
}

func isDigits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }

// ParsePercent reads the share that Percent takes: more than 0, at most 200, with at most one decimal.
func ParsePercent(text string) (Number, error) {
	p, err := ParseNumber(text)
	if err != nil {
		return Number{}, err
	}
	if p.Sign() <= 0 || MustNumber("200").Less(p) || p.d.Scale() > 1 {
		return Number{}, fmt.Errorf("%q is not a usable percentage; write more than 0 and at most 200, with one decimal at most", text)
	}
	return p, nil
}

// MustNumber is ParseNumber for constants and tests; it panics where that refuses.
func MustNumber(text string) Number {
	n, err := ParseNumber(text)
	if err != nil {
		panic("flows: " + err.Error())
	}
	return n
}

// exactly takes a result of the decimal library, whose exact operations fail instead of rounding.
func exactly(d decimal.Decimal, err error) Number {
	if err != nil {
		panic(fmt.Sprintf("flows: a number outgrew its bounds: %v", err))
	}
	return Number{d}
}

// String writes the digits as they were given, with a decimal point.
func (n Number) String() string { return n.d.String() }

// Cmp is -1, 0 or +1 as n is less than, equal to or more than m.
func (n Number) Cmp(m Number) int { return n.d.Cmp(m.d) }

// Equal tells whether the values are the same, however they were written.
func (n Number) Equal(m Number) bool { return n.Cmp(m) == 0 }

// Less tells whether n is less than m.
func (n Number) Less(m Number) bool { return n.Cmp(m) < 0 }

// Float is the nearest float, for sums that decide nothing: forecasts, and how far people agree.
func (n Number) Float() float64 {
	f, _ := n.d.Float64() // every decimal has a nearest float
	return f
}

// Sign is -1, 0 or +1.
func (n Number) Sign() int { return n.d.Sign() }

// IsZero tells whether the value is 0.
func (n Number) IsZero() bool { return n.d.IsZero() }

// IsWhole tells whether the value has nothing behind the point.
func (n Number) IsWhole() bool { return n.d.IsInt() }

// Neg is -n.
func (n Number) Neg() Number { return Number{n.d.Neg()} }

// Abs is n without its sign.
func (n Number) Abs() Number { return Number{n.d.Abs()} }

// Add is n + m.
func (n Number) Add(m Number) Number {
	return exactly(n.d.AddExact(m.d, max(n.d.Scale(), m.d.Scale())))
}

// Sub is n - m.
func (n Number) Sub(m Number) Number { return n.Add(m.Neg()) }

// Percent is p hundredths of n, for a p as ParsePercent reads it.
func (n Number) Percent(p Number) Number {
	hundredth := Number{decimal.MustNew(1, 2)}
	return n.times(p).times(hundredth).trimmed(n)
}

// Times is n taken often times, for often between -1000 and 1000.
func (n Number) Times(often int) Number { return n.times(exactly(decimal.New(int64(often), 0))) }

// Half is n / 2.
func (n Number) Half() Number { return n.times(Number{decimal.MustNew(5, 1)}).trimmed(n) }

func (n Number) times(m Number) Number {
	return exactly(n.d.MulExact(m.d, n.d.Scale()+m.d.Scale()))
}

// trimmed drops zeros at the end that the number worked on didn't have.
func (n Number) trimmed(like Number) Number { return Number{n.d.Trim(like.d.Scale())} }

// MarshalText writes the digits; in JSON that is a string.
func (n Number) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads what ParseNumber reads.
func (n *Number) UnmarshalText(text []byte) (err error) {
	*n, err = ParseNumber(string(text))
	return err
}

// UnmarshalJSON reads a string or a number, by its digits in either case. null is refused, since a limit of 0 is
// not the same as none.
func (n *Number) UnmarshalJSON(text []byte) error {
	digits := string(text)
	if strings.HasPrefix(digits, `"`) {
		if err := json.Unmarshal(text, &digits); err != nil {
			return fmt.Errorf("a number could not be read: %w", err)
		}
	}
	return n.UnmarshalText([]byte(digits))
}

// UnmarshalYAML reads a number, quoted or not, by the digits in the file. Without it the YAML library would pass
// them through a float: 7.50 would come back as 7.5, and 0.000001 as 1e-06. The library never asks it about null,
// which leaves the number as it was.
func (n *Number) UnmarshalYAML(text []byte) error {
	digits, _, _ := strings.Cut(string(text), "#")
	return n.UnmarshalText([]byte(strings.Trim(digits, " \n\"'")))
}
