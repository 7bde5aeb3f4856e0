package bot

// What is said of calendars, and in them.
const (
	calendarName           = "becket-due.ics"
	calendarHere           = "Here is what falls due, for a calendar. Days in it: %d, the first: %s on %s."
	calendarWithout        = "Not in it, because they may not be used before somebody looks at them: %d%s. \"due\" names them."
	calendarHeld           = " (in quarantine: %s)"
	calendarLater          = "It doesn't follow by itself: after inspections, ask again. A later file moves the days that are there. What Becket says counts."
	calendarEmpty          = "Nothing has a day on which it falls due. Not to be used before somebody looks at them: %d%s."
	calendarDue            = "%s to be inspected"
	calendarLife           = "%s: last day of its life"
	calendarCheck          = "%s to be checked"
	calendarCompetence     = "%s: competence for %s ends"
	calendarCompetenceText = "Until that day, that day included."
)
