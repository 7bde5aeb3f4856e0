package table

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"becket/flows/due"
)

// Order is which of two numbers in a date is the day.
type Order string

// Unsaid: 3/4/2026 can't be told.
const (
	Unsaid     Order = ""
	DayFirst   Order = "day-first"
	MonthFirst Order = "month-first"
)

// ErrTwoWays is that nobody can tell which of two numbers is the day, unless an Order says so.
var ErrTwoWays = errors.New("can be read two ways")

// Date reads a day as people write it: 2026-04-03, 3 April 2026, 3 Apr 2026, April 2026, 04/2026, 2026, 3.4.2026, 3/4/2026.
// With numbers alone, which of them is the day has to be plain or said by order.
func Date(text string, order Order) (due.Date, error) {
	if day, _, found := strings.Cut(text, " 00:00"); found { // midnight is what spreadsheets add
		text = day
	}
	d, err := due.Parse(text)
	if _, written := time.Parse(time.DateOnly, text); written == nil || err == nil {
		return d, err
	}
	parts := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ./-,", r) })
	numbers, month := make([]int, 0, 3), time.Month(0)
	for _, part := range parts {
		if n, err := strconv.Atoi(strings.TrimRight(part, "stndrh")); err == nil {
			numbers = append(numbers, n)
			continue
		}
		m, ok := monthOf(part)
		if !ok || month != 0 {
			return due.Date{}, notADate(text)
		}
		month = m
	}
	year := len(numbers) - 1
	switch {
	case len(numbers) == 0 || numbers[year] < 1000:
		return due.Date{}, notADate(text)
	case month != 0 && len(numbers) == 1:
		return due.Parse(fmt.Sprintf("%04d-%02d", numbers[0], month))
	case month != 0 && len(numbers) == 2:
		return due.Parse(fmt.Sprintf("%04d-%02d-%02d", numbers[1], month, numbers[0]))
	case month == 0 && len(numbers) == 2:
		return due.Parse(fmt.Sprintf("%04d-%02d", numbers[1], numbers[0]))
	case month != 0 || len(numbers) != 3:
		return due.Date{}, notADate(text)
	}
	first, second := numbers[0], numbers[1]
	switch {
	case first > 12 && order == MonthFirst, second > 12 && order == DayFirst:
		return due.Date{}, fmt.Errorf("%q isn't %s, as the dates of this file were said to be", short(text), order)
	case first == second, first > 12, second <= 12 && order == DayFirst:
	case second > 12, order == MonthFirst:
		first, second = second, first
	default:
		return due.Date{}, fmt.Errorf("%q %w", short(text), ErrTwoWays)
	}
	return due.Parse(fmt.Sprintf("%04d-%02d-%02d", numbers[2], second, first))
}

func monthOf(word string) (time.Month, bool) {
	word = strings.ToLower(word)
	for m := time.January; m <= time.December; m++ {
		name := strings.ToLower(m.String())
		if word == name || word == name[:3] || word == "sept" && m == time.September {
			return m, true
		}
	}
	return 0, false
}

func notADate(text string) error {
	return fmt.Errorf("%q is not a date; write it like 2020-02-29, 29 February 2020, 2020-02 or 2020, the year in four digits", short(text))
}
