package flows

import (
	"strings"

	"github.com/govalues/decimal"
)

// Errors are what an instrument's sheet says it may be off by, all in the reading's unit and none below 0. 0
// leaves a part out; Resolution is left out where the maker's limit already includes it.
type Errors struct {
	Limit      Number // half-width of the maker's error limit, anywhere within it equally likely
	Resolution Number // the smallest step it shows
	Setting    Number // a standard uncertainty, found by setting the instrument again and again
}

// Budget is the doubt of an instrument after JCGM 100:2008: each part as a standard uncertainty, their root of
// squares, and twice that. All but Doubt are rounded to 7 decimals, for people to check.
type Budget struct {
	From       Errors
	Limit      Number // From.Limit / √3 (4.3.7)
	Resolution Number // From.Resolution / √12 (F.2.2.1)
	Setting    Number // as given
	Combined   Number // u_c (5.1.2)
	Expanded   Number // U = 2 u_c (6.2.1)
	Doubt      Number // U rounded up to 3 decimals: the figure that readings are moved by
}

// Budget works out the doubt.
func (e Errors) Budget() Budget {
	limit, resolution, setting := square(e.Limit).over(3), square(e.Resolution).over(12), square(e.Setting)
	combined := limit.plus(resolution).plus(setting).root()
	expanded := orPanic(combined.Mul(decimal.MustNew(2, 0)))
	return Budget{
		From:       e,
		Limit:      shown(limit.root()),
		Resolution: shown(resolution.root()),
		Setting:    shown(setting.root()),
		Combined:   shown(combined),
		Expanded:   shown(expanded),
		Doubt:      Number{expanded.Ceil(3)},
	}
}

// variance is the square of a standard uncertainty, to 19 digits. Parts are added as squares, because a sum of
// squares that has a round root then keeps it, and isn't rounded up for nothing.
type variance struct{ d decimal.Decimal }

func square(n Number) variance { return variance{orPanic(n.d.Mul(n.d))} }

func (v variance) over(n int64) variance { return variance{orPanic(v.d.Quo(decimal.MustNew(n, 0)))} }

func (v variance) plus(w variance) variance { return variance{orPanic(v.d.Add(w.d))} }

func (v variance) root() decimal.Decimal { return orPanic(v.d.Sqrt()) }

// orPanic is for sums that can't fail: 9 digits before the point leave room for their squares.
func orPanic(d decimal.Decimal, err error) decimal.Decimal { return exactly(d, err).d }

func shown(d decimal.Decimal) Number { return Number{d.Round(7)} }

// Sentence says where the doubt comes from, for people who ask why.
func (b Budget) Sentence() string {
	var parts []string
	if !b.From.Limit.IsZero() {
		parts = append(parts, "error limit "+b.From.Limit.String()+" → "+b.Limit.brief())
	}
	if !b.From.Resolution.IsZero() {
		parts = append(parts, "step "+b.From.Resolution.String()+" → "+b.Resolution.brief())
	}
	if !b.From.Setting.IsZero() {
		parts = append(parts, "setting "+b.From.Setting.String())
	}
	if len(parts) == 0 {
		return "no error of the instrument is declared"
	}
	parts = append(parts, "together "+b.Combined.brief()+", doubled and rounded up "+b.Doubt.String()+" (JCGM 100)")
	return strings.Join(parts, "; ")
}

// brief is n to 4 decimals.
func (n Number) brief() string { return n.d.Round(4).String() }
