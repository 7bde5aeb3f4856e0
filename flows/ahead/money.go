package ahead

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Money is an amount in hundredths of whatever the team pays in.
type Money int64

// ErrNoPrice tells that a text isn't a price.
var ErrNoPrice = errors.New("write a price in digits, like 180 or 62.50")

// mostDigits is how long the part before the point may be: ten million is a slip of the finger.
const mostDigits = 7

// ParseMoney reads "180", "62.50" or "62,5": no sign, no mark of a currency, no thousands.
func ParseMoney(text string) (Money, error) {
	whole, part, pointed := strings.Cut(strings.Replace(strings.TrimSpace(text), ",", ".", 1), ".")
	if pointed && (part == "" || len(part) > 2) || whole == "" || len(whole) > mostDigits {
		return 0, ErrNoPrice
	}
	n, err := strconv.ParseUint(whole+(part + "00")[:2], 10, 63)
	if err != nil {
		return 0, ErrNoPrice
	}
	return Money(n), nil
}

// String writes whole amounts without a point, others with two digits after it.
func (m Money) String() string {
	if m%100 == 0 {
		return strconv.FormatInt(int64(m/100), 10)
	}
	return fmt.Sprintf("%d.%02d", m/100, m%100)
}
