package flows

// What the rules say by themselves, whatever the script. Everything else that a person reads of an inspection
// stands in the script, or in the conversation's own catalogue.
const (
	commonPractice = "common practice"
	modelSheet     = "model sheet"
	printedOnIt    = "printed on it by the maker"
	ownRule        = "the team's own rule"

	becauseLifeOver    = "Its life ended on %s."
	becauseUnconfirmed = "The figures of %s were typed by one person only."
	askGone            = "Found before and gone now: %s. What was done?"
	askSince           = "Found before: %s. How is it now?"
	becauseLifeUnknown = "Its life is limited, and a date that the life counts from is not known."
	becauseUntold      = "It couldn't be told, and unknown is not clear."
	becauseStillThere  = "What was found before is still there."
	becauseGrown       = "What was watched has grown."
	becauseOutgrown    = "It has worn so much since last time that as much again reaches the limit: somebody has to decide."
	becauseGone        = "A mark that goes by itself may be another item."
	becauseNoReference = "There is no limit on the sheet and nothing new to compare with."
	becauseNoLimit     = "It has worn, and the sheet gives no limit: ask the maker."
	becauseNoPlace     = "A watch without a place and a number is no watch."
	alsoTakenBack      = " Answered otherwise later: a second competent person has to agree."
	alsoInDoubt        = " The reading is within its doubt of that."
	askPhoto           = "A photo of it, please: it goes with the record."
	askPlace           = ": where, and how much? With a number, so that the next one finds the same."
	askReason          = "Why couldn't this be told: "
	titleClosing       = "Before signing"
	titleFacts         = "About it"
	titleSince         = "Since last time"
	labelSame          = "still there, no worse"
	labelWorse         = "worse than before"
	labelGone          = "not to be found, nobody knows why"
	clearGone          = "gone, and it is known why"
	becauseThreeTimes  = "Watched three times running: somebody has to decide."
)
