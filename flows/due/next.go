package due

// Next is the day an item is due again after an examination: the corresponding day so many months on. It counts
// from the day on which the item was examined, not from when it was due, so that an early examination starts
// afresh.
func Next(exam Date, months int) Date { return exam.AddMonths(months) }

// Half is the day to look again after half an interval, in whole months rounded down; half of one month is 15
// days.
func Half(exam Date, months int) Date {
	if months == 1 {
		return exam.AddDays(15)
	}
	return exam.AddMonths(months / 2)
}

// Overdue tells whether the day it was due has passed; on the day itself it hasn't. An item whose due day is
// unknown is overdue.
func Overdue(today, due Date) bool { return today.After(due) }

// Nearer is the day an item is due again where wear has been foretold for a day of its own: the earlier of the two. A foretold
// day that isn't after the examination was answered by it and moves nothing. Zero, where nothing is foretold or the item has
// no day to be due again, stays zero.
func Nearer(plain, foretold, exam Date) Date {
	if foretold.After(exam) && foretold.Before(plain) {
		return foretold
	}
	return plain
}
