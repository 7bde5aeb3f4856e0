// Package calendar writes days on which something falls due as calendars read them: RFC 5545, an event of its own for each, since
// a rule that repeats would go on of itself where people have to look again.
package calendar

import (
	"fmt"
	"strings"
	"time"

	ics "github.com/arran4/golang-ical"

	"becket/flows/due"
)

// Event is a day on which something falls due.
type Event struct {
	// Key is the same for as long as it is about the same thing, so that a later file moves the day instead of adding another.
	Key   string
	Day   due.Date
	Title string
	Text  string
	// Before says how many days earlier people are reminded, at nine in the morning.
	Before []int
}

// nine is when a reminder comes. It is counted from the midnight with which the day begins (RFC 5545, 3.3.6 and 3.6.6).
const nine = 9 * time.Hour

// File is a calendar of all these. At is when it was made; count is higher for one made later, so that the later one counts
// (RFC 5545, 3.8.7.4). The same events make the same file.
func File(name string, events []Event, at time.Time, count int64) []byte {
	cal := ics.NewCalendarFor(name)
	cal.SetMethod(ics.MethodPublish)
	for _, e := range events {
		event := cal.AddEvent(e.Key)
		event.SetDtStampTime(at.UTC())
		event.SetSequence(int(count))
		event.SetProperty(ics.ComponentPropertyDtStart, plain(e.Day), ics.WithValue("DATE"))
		event.SetProperty(ics.ComponentPropertyDtEnd, plain(e.Day.AddDays(1)), ics.WithValue("DATE"))
		event.SetSummary(e.Title)
		event.SetDescription(e.Text)
		event.SetTimeTransparency(ics.TransparencyTransparent) // nobody is busy all day because of it
		for _, days := range e.Before {
			alarm := event.AddAlarm()
			alarm.SetAction(ics.ActionDisplay)
			alarm.SetTrigger(trigger(days))
			alarm.SetDescription(e.Title)
		}
	}
	return []byte(cal.Serialize(ics.WithNewLineWindows)) // CRLF, RFC 5545, 3.1
}

// plain is a day as calendars write it, like 20261130.
func plain(d due.Date) string { return strings.ReplaceAll(d.String(), "-", "") }

// trigger is nine in the morning, so many days before the day begins.
func trigger(days int) string {
	before := time.Duration(days)*24*time.Hour - nine
	if before < 0 {
		return fmt.Sprintf("PT%dH", int(-before/time.Hour))
	}
	return fmt.Sprintf("-P%dDT%dH", int(before/(24*time.Hour)), int(before%(24*time.Hour)/time.Hour))
}
