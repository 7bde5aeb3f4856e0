package bot

// What is open, in the digest and when the store is handed over.
const (
	dueWord         = "due"
	openCounted     = "%s: %s."
	openWho         = "%s - %s"
	openMore        = "and %d more: %s"
	openOthers      = "%s or %d others"
	openKind        = "%[2]s %[1]d"
	openMinutes     = "%d, about %d minutes (%s)"
	openHeld        = "In quarantine"
	openHeldFor     = "%s: %s"
	openOver        = "Not for use until inspected"
	openBring       = "%s. It is with you: have it inspected, or bring it back. It isn't for use until then."
	openNotSeen     = "Not seen"
	openBags        = "Bags to be looked through and sealed again"
	openSince       = "since %s"
	openFresh       = "Never inspected, so not for use"
	openSoon        = "Due by %s"
	openWatched     = "On watch"
	openWatchedBy   = "look again by %s"
	openUnfinished  = "Inspections begun and not finished"
	openBegun       = "since %s, %s"
	openLife        = "Life ends within 90 days"
	openOn          = "on %s"
	openUndestroyed = "Retired, and not known to be destroyed"
	openInstruments = "Instruments to check"
	openInstrument  = "(%s), %s"
	openCheckBy     = "by %s"
	openUnchecked   = "out of its check date, so no reading can be taken with it"
	openCheckIt     = "check it against the gauge block: instrument %s checked"
	openCompetence  = "Competence"
	openUntil       = "(%s), ends on %s"
	openEnded       = "(%s), ended on %s"
	openSheets      = "Makers' figures that a second person has to type, so that they count"
)

// The digest.
const (
	digestHead    = "%s, %s %s:"
	digestNothing = "Nothing is over, nothing is due this week, nothing is in quarantine and nothing else is open. Items in the register: %d."
	headPosted    = "%d entries, ends %s"
	headNumber    = "Record %s: %s."
	headNoNumber  = "No signed record yet: %s."
	whileAway     = "While I was away, from %s to %s:"
	whileAwayOn   = "While I was away, on %s:"
	awayDigests   = "Not told in time, the digest of: %s. This is how it stands now."
	andMore       = "%s and %d more"
)

// When it is told.
const (
	digestSet     = "%s at %s, time of %s, this room is told what is over, due, in quarantine and open. Next: %s. \"digest off\" ends it."
	digestInQuiet = "That lies in the quiet hours, %s to %s, so it comes at %s."
	digestNone    = "No digest is set. The keeper sets one with a day, an hour and a place, like: digest Monday 07:30 Europe/London."
	digestHow     = "I can't read \"%s\" there. Days, an hour and a place, like: digest Monday 07:30 Europe/London."
	digestEnded   = "No digest from now. What is over, due, in quarantine or left open is then told only to who asks (\"due\", \"handover\"), and the end of the record is posted nowhere."
	digestUntold  = "Nobody would be told of these by themselves:"
	everyDay      = "Every day"
	listAnd       = "%s and %s"
	zoneUnknown   = "I don't know the place \"%s\". Give one with its continent, like Europe/London."
	zoneMissing   = "By which place's clock? Add it, like: digest %s Europe/London."
	quietHow      = "I can't read \"%s\" there. Two hours, like: quiet 22:00 to 07:00. Or: quiet off."
	quietSet      = "From %s to %s, time of %s, nothing is said that nobody asked for, holds aside. It comes when the quiet hours end. \"quiet off\" ends them."
	quietNone     = "No quiet hours are set. The keeper sets them like: quiet 22:00 to 07:00."
)

// Asking one person.
const (
	askHead      = "%s, these wait for you alone:"
	askOne       = "%s: %s"
	askHow       = "When it is done: done %[1]s. To be asked another day: later %[1]s 3 days."
	askedNothing = "Nothing waits for you alone, %s."
	askedWhich   = "Which one? These wait for you: %s. Like: %s."
	askedNotThat = "You weren't asked about \"%s\". These wait for you: %s."
	doneIs       = "%s is done, by the record. Nothing more to ask."
	doneNot      = "The record doesn't show that yet for %s. What ends it: %s"
	laterHow     = "How much later? Up to %d days, like: later C-2 3 days."
	laterLongest = "%d days at the most. Like: later %s 7 days."
	laterThen    = "On %s %s I ask you about %s again. What is due stays due, and stays in the digest."
)

// Somebody alone with Becket.
const (
	aloneWhichTeam = "You are in more than one team. Say it in the room of the one that is meant."
	aloneOnly      = "Here, alone with you, I take: done, later, due, handover, can I use, history, quarantine and a mark. Everything else in the team's room, where the others can read it."
)

// Handing the store over.
const (
	handoverHead    = "Open on %[2]s, %[1]s. Items in the register: %[3]d. Kept by %[4]s."
	handoverNothing = "Nothing is in quarantine, over, due this week, on watch or left open."
)
