package flows

import "fmt"

// Verdict is what the rules make of an item, in rising order of strictness. Its zero value is Incomplete, so
// that a forgotten field is never fit; Incomplete is never usable and stands outside the order.
type Verdict uint8

const (
	Incomplete Verdict = iota
	Fit
	Watch
	Quarantine
	Retire
)

func (v Verdict) String() string {
	switch v {
	case Incomplete:
		return "incomplete"
	case Fit:
		return "fit"
	case Watch:
		return "watch"
	case Quarantine:
		return "quarantine"
	case Retire:
		return "retire"
	}
	return fmt.Sprintf("verdict %d", uint8(v))
}

// Usable tells whether an item with this verdict may be used.
func (v Verdict) Usable() bool { return v == Fit || v == Watch }

// Holds tells whether a rule with this verdict takes the item out of use.
func (v Verdict) Holds() bool { return v >= Quarantine }

// ParseVerdict reads a verdict's word.
func ParseVerdict(word string) (Verdict, error) {
	for v := Incomplete; v <= Retire; v++ {
		if v.String() == word {
			return v, nil
		}
	}
	return Incomplete, fmt.Errorf("%q is no verdict; it is one of fit, watch, quarantine, retire", word)
}

// MarshalText writes the verdict's word.
func (v Verdict) MarshalText() ([]byte, error) { return []byte(v.String()), nil }

// UnmarshalText reads the verdict's word.
func (v *Verdict) UnmarshalText(text []byte) error {
	w, err := ParseVerdict(string(text))
	*v = w
	return err
}
