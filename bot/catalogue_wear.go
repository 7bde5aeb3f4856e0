package bot

// What is said of wear over time.
const (
	wearHead      = "%s, %s."
	wearNothing   = "%s: nothing that was measured on it is signed yet, so there is nothing to show."
	wearSeries    = "%s, the worst of each time in %s, doubt %s either way:"
	wearOn        = "  %s: %s"
	wearEarlier   = "  and %d before"
	wearAnew      = "  Worked on since, and better than wear could make it, so a new part: what stands above tells nothing of it."
	wearHolds     = "%s at %s (%s)."
	wearOpenEnded = "No limit is known for it, so nothing is foretold."
	wearTooFew    = "Nothing is foretold yet: that takes at least three readings, on different days."
	wearNotShown  = "Nothing is foretold: readings like these differ as much without any wear."
	wearAway      = "The readings go away from the limit, which wear never does. Something was measured differently, so nothing is foretold."
	wearReached   = "The last reading is at the limit, or within its doubt of it. There is nothing to foretell."
	wearMore      = "About %s %s more in six months."
	wearLess      = "About %s %s less in six months."
	wearWhen      = "If it goes on in a straight line, it comes to the limit about %s, and may be there from %s on."
	wearFar       = "The limit isn't likely before %s. Beyond that nothing is said, since the readings go back no further."
	wearByNow     = "So %s was due by %s, not %s: inspect it before anybody uses it."
	wearSooner    = "So %s is due by %s, not %s."
	wearPlan      = "What is foretold may bring a due day nearer and never puts one off, and each inspection decides afresh."

	dueSooner      = "%s, not %s: the %s may be at its limit by then, as it has worn so far"
	dueSoonerIs    = "Due %s."
	foretoldHead   = "What was measured so far now brings due days nearer:"
	auditForetold  = "foretells %s for %s, and by its readings it doesn't follow"
	auditUnread    = "foretells a day for %s from readings that aren't in the record"
	foretoldSooner = "  %s is due by %s."

	pictureLimit   = "%s at %s %s"
	pictureReading = "the worst of each time, and its doubt either way"
	pictureGoes    = "where it goes, if it goes on in a straight line"
	pictureBand    = "95 of 100 further readings would lie between these"
	pictureSoonest = "may be there from %s"
)
