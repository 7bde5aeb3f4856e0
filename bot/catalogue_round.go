package bot

// What is said in a round, in lines, and of the plan for a year.

// A line: several answers in one message.
const (
	lineHow      = "%s, in one line with commas between, \"c\" for clear, \"more\" for anything else:"
	lineBeside   = "All of this in one line with commas between, \"clear\" or \"more\" for the checks; or one after the other."
	lineOr       = "Or %d at once in one line: \"list\" shows how."
	lineCount    = "That is %d parts, and the line has %d. Nothing was written. Send it again, or the serial number alone and one thing at a time."
	linePart     = "Part %d: %v"
	lineWords    = "\"%s\" isn't taken in a line. \"c\" for clear, \"more\" to be asked for it by itself, or can't tell and why without a comma. Nothing was written."
	lineTaken    = "All %d written down."
	lineTakenBut = "Written down: %d. To be asked by itself: %d."
	lineCommas   = "The number is right, and the rest of it can't be told apart. Nothing was written. Send the %d parts again with commas between, or the number alone."
	lineStopped  = "Nothing after the serial number was taken, in case it was said of another item."
)

// Beginning a round.
const (
	roundHow     = "Say which, like: round due; round K-01 to K-40; round K-01, K-02; round connectors; round store."
	roundRange   = "%s to %s isn't a row of marks. It needs the same beginning and rising numbers, like: round K-01 to K-40."
	roundEmpty   = "There is nothing here for a round."
	roundIs      = "Items: %d, %s of looking."
	minutesAbout = "about %d minutes"
	minutesRange = "%d to %d minutes"
	roundLong    = "That is more than a day's careful looking (%d minutes). The round can wait overnight: \"pause\", and \"carry on\" in the morning."
	roundBench   = "First the bench, once for all of them."
	roundWithout = "Left out: %s"
	waitsForYou  = "%s is done and waits for your signature: sign %[1]s, and the verdict. To look again: carry on %[1]s."
	roundBegins  = "The order is mixed, so that the eye stays awake. To take another: type its mark. Not there: \"not seen\" and the mark."
)

// Setting up the bench.
const (
	askLight           = "Good light, and a small one to look into things with?"
	lightFirst         = "Then light first: what isn't seen isn't looked at. Type \"yes\" when it is there, or \"leave off\"."
	askBenchInstrument = "Which caliper lies there? Its mark, or \"none\"."
	instrumentNever    = "%s has never been checked, so readings with it don't count. Another one's mark, or \"none\": then no reading is taken."
	instrumentOver     = "%s was to be checked by %s, so readings with it don't count. Another one's mark, or \"none\": then no reading is taken."
	instrumentUnknown  = "There is no \"%s\" among the instruments (%s). Its mark, or \"none\"."
	askRope            = "Which test rope? Its mark, or \"none\"."
	ropeUnknown        = "There is no \"%s\" in the register, so nobody can say whether it is fit to test on."
	ropeIsNone         = "%s is no rope: it is of the kind %s."
	ropeInstead        = "With it, nothing is tried on a rope in this round. Another rope's mark, or \"none\": then what goes on a rope waits."
	askSecond          = "Who stands by while something is on the rope? A name, or \"none\"."
	secondNotYou       = "Somebody else has to stand by. A name, or \"none\": then what goes on a rope waits."
	secondWho          = "A name, or \"none\": then what goes on a rope waits."
	askInstructions    = "The makers' instructions for all of these within reach? Type \"yes\" when they are."
	instructionsFirst  = "Fetch them first, then type \"yes\"; or \"leave off\"."
	ropeHow            = "Say which rope and who stands by, like: rope R-13 with @ben."
	ropeNow            = "The test rope is %s from now, and %s stands by."
	ropeNone           = "No test rope lies on the bench."
	secondNone         = "Nobody stands by."
	ropeWaits          = "%s: all done that needs no rope. The rest waits. %s When there is a rope that is fit, and somebody: rope R-13 with @ben."
)

// Within a round.
const (
	roundItem      = "%d of %d: %s, %s. For %s."
	roundAgain     = "Back to %s."
	roundDone      = "%s by the rules: %s. It is signed at the end of the round."
	roundUsable    = "%s is done. It is signed at the end of the round."
	roundCap       = "That makes about %d minutes of looking today: a day's work. Better \"pause\" here and \"carry on\" tomorrow."
	roundSerial    = "By its serial number that is %s. Its own label has to say so too."
	roundNotClear  = "\"c\" is clear in a line for several; here it is \"%s\". Nothing was written: type \"clear\", or \"letter c\" for what you see."
	roundFinish    = "%s isn't finished, so %s wasn't begun. Answer what is open, or \"leave off\"."
	roundHasBeen   = "%s has had its turn: it is %s. Nothing was written."
	roundIdle      = "Your round is open, and no question is. Type \"next\", the mark of an item, or \"close round\"."
	noRound        = "No round of yours is open. Begin one with, for example: round due."
	unseenAnswered = "%s has answers in this round, so somebody saw it. Nothing was written."
	backToItem     = "Back to %s. The answer it had stays in the record."
	ownRound       = "You have a round of your own open. \"close round\" first."
	restBefore     = "After a rest the one before it once more, to get your eye in."
)

// The end of a round, and signing it.
const (
	roundOpen        = "Your round is open."
	roundClosed      = "The round is closed."
	roundUnfinished  = "%s isn't finished. Answer what is open, or \"leave off\" first."
	roundLeft        = "\"close round\" ends it as it stands."
	roundCount       = "Items: %d; complete: %d."
	standsLine       = "%s: %s, %s"
	standsHeld       = "Not for use:"
	standsUntold     = "Not to be told:"
	standsWatch      = "To watch:"
	standsUnseen     = "Not seen, and still due: %d (%s)."
	standsWaiting    = "Begun and not done: %d (%s). \"carry on\" and the mark goes on with one."
	standsNotBegun   = "Not begun, and still due: %d (%s)."
	standsOthers     = "Done by %[2]s, and theirs to sign: %[1]d."
	standsSigned     = "Signed already: %d."
	standsUsable     = "Fit or to watch: %d. Which is which went to you alone, since somebody here may be asked for a second look."
	usableAlone      = "Your round, by the rules:"
	standsFit        = "FIT by the rules: %d (%s)."
	howUsable        = "\"sign round fit\" signs what is fit, and \"sign round watch\" what is to be watched, each with its own record."
	howHeld          = "The others one by one, like: sign %s, and the verdict."
	signRoundHow     = "Type \"sign round fit\" or \"sign round watch\". Others are signed one by one: sign, the mark, and the verdict."
	signRoundNone    = "Nothing of yours that waits for a signature comes out %s by the rules. Nothing was signed."
	signRoundNotYou  = "Not signed: %s. You aren't listed as competent for this (%s)."
	signRoundRest    = "Not signed, since the rules say otherwise: %d."
	signRoundStale   = "Not signed, since more than 12 hours have gone by: %s. Identity, what has happened to it, and all that was seen and felt is done again."
	signedRound      = "Signed, %d: %s, %s, %s."
	signedRoundAlone = "Each has its own record; the list went to you alone."
	signedRoundLine  = "%s, record %s: when inspected on %s, due %s."
)

// The plan for a year.
const (
	planHow         = "Type \"plan\" for the coming year, or \"plan spread\" for what could be done earlier."
	planHead        = "The year from %s, %s of looking:"
	planHours       = "%d to %d hours"
	planNow         = "now, over or never inspected"
	planEmpty       = "Nothing falls due in the coming year."
	planSooner      = "Before their interval ends:"
	planSoonerOne   = "%s by %s"
	planSoonerMore  = "and %d more"
	planSource      = "Minutes for each kind are common practice, without writing up. \"plan spread\" shows what could be done earlier."
	spreadHead      = "The fullest week has about %d minutes; done like this, %d. To be done earlier, in the week from:"
	spreadWeek      = "%s: %d, about %d minutes: %s"
	spreadMore      = ", and %d more"
	spreadMoreWeeks = "  and %d more weeks; ask again when these are done"
	spreadOnly      = "These are proposals: no due date moves by them, and nothing is ever put later than it is due."
	spreadNothing   = "Nothing comes in bunches: there is nothing to be done earlier."
)

// The second look, blind.
const (
	repeatHow          = "Type \"repeat 1 in 15\" with a number from 2 to 100, or \"repeat off\"."
	repeatSet          = "Of the items signed in rounds, one in %d is inspected again from now, by somebody else who isn't told what the first found."
	repeatOff          = "Nothing is inspected twice from now. How often faults are missed is measured by nothing else."
	repeatNone         = "No second look is asked for."
	repeatList         = "Second looks asked for:"
	repeatLine         = "%s, by %s: repeat %[1]s"
	repeatNotAsked     = "No second look at %s is asked for. To look at it as usual: inspect %[1]s."
	repeatNotYou       = "You had the first look at %s, so somebody else has the second."
	repeatNotCompetent = "%s isn't listed as competent for %s today. %s can."
	repeatAnother      = "The second look at %s is asked of %s. A keeper can give it to you: repeat %[1]s %[3]s."
	repeatPlease       = "A second look, please, at %s, by you alone. Type in the team's room: repeat %[1]s. What the first look found is kept from you until yours is signed; don't ask, and don't read its round's conversation."
	repeatOpening      = "%s, %s. For %s. A second look: the same questions as the first time."
	repeatKept         = "You are asked for a second look at %s, so what was found before is kept from you until yours is signed: repeat %[1]s."
	repeatUse          = "Yes, %s may be used. You are asked for a second look at it, so no more is said: repeat %[1]s."
	pairSame           = "The first look, by %s, came out %s too."
	pairMilder         = "The first look, by %s, came out %s. The stricter of the two stands."
	pairStricter       = "The first look, by %s, came out %s, and the stricter of the two stands:"
	openRepeats        = "Second looks, asked for and not done"
	openRepeat         = "asked for %s"
	openRepeatIt       = "have a second look: repeat %s"
)
