package bot

import "fmt"

// Every fixed sentence that Becket says stands in this file, and nowhere else. Short, plain, no blame; each says
// what to type. Where an order of words depends on the language, arguments can be taken by number.

// format puts values into a sentence of the catalogue.
func format(sentence string, args ...any) string { return fmt.Sprintf(sentence, args...) }

// Who is who, and who may.
const (
	nobodyYet    = "nobody yet"
	firstKeeper  = "You are the first here, so %s keeps the register. Type \"help\" for what you can do."
	notListed    = "%s isn't in this team's list, so you can only report a fault, like: quarantine D-02 rope creeps. %s can list you."
	mayNot       = "%s may not %s%s here. %s can."
	strangerIdle = "%s isn't in this team's list. You can report a fault, like: quarantine D-02 rope creeps."
)

// When a room is replaced by another.
const (
	roomMoved  = "%s goes on in this room now, with the whole register: items %d, holds %d, inspections under way %d. Nothing is lost. Please write here from now on."
	goesOnHere = "%s, your inspection of %s goes on here."
)

// When a message isn't understood.
const (
	tooLong       = "That message has %d characters, more than the %d I can take. Nothing was written. Send the answer alone, and the story as a note."
	notUnderstood = "I don't know what to do with \"%s\". Type \"help\" for what you can say."
	typedAlone    = "\"%s\" is typed alone, without \"%s\"."
	typedMark     = "Of %s what? Type: inspect %[1]s, check %[1]s, can I use %[1]s, history %[1]s, or fault %[1]s and what you see."
	didYouMean    = "I don't know what to do with \"%s\". If you mean it, type: %s"
	typedForItem  = "For %s: can I use %[1]s, history %[1]s, life %[1]s."
	faultAnyHow   = "For a fault: fault D-07 and what you see."
	otherInForm   = "That begins with %s. If something is wrong with it: fault %s. If it is the answer here, begin with another word."
	otherInAnswer = "That begins with %s, and the question is about %s. Nothing was written. If something is wrong with it: fault %s. If it is the answer, begin with another word."
	faultOfHow    = "Something wrong with %s? Nothing is reported yet. Type: fault %s and what you see."
	faultLikeHow  = "Nothing is held by that line yet. If you mean %s: fault %s."
	faultInHand   = "If it is %s, which you are inspecting, that isn't held by this line. Type: fault %s %s."
	faultNotHeld  = "Nothing is held by that line yet. If no mark can be read, like: fault blue pulley, catch sticks, no mark."
	setAside      = "That message couldn't be taken, though it was tried several times. Nothing was written. The keeper finds it set aside; please say it another way."
	hushed        = "%s, the last %d messages you sent within a minute changed nothing, so I stop answering such for a little while. What does something, like: quarantine D-02 rope creeps, is taken and answered as ever."
	emptyIdle     = "That was an empty line. Type \"help\" for what you can say."
	stopHow       = "Nothing was written. \"pause\" keeps it for later, \"leave off\" ends it unfinished."
	stopForm      = "Nothing was written by that. \"leave off\" stops this."
	stopNothing   = "Nothing of yours is open here, so there is nothing to stop."
	anyTime       = "Any time."
	nothingOpen   = "No question of yours is open here. Start with, for example: inspect D-07."
	noLongerOpen  = "That inspection is finished, so nothing was written. To look at the record: history and the mark. To start again: inspect and the mark."
	whichOne      = "You have more than one open: %s. Say which first, like: %s clear."
	notYoursLook  = "%s is being inspected by %s, and only their answers count. Nothing was written."
	notYours      = "%s is being inspected by %s, and only their answers count. Nothing was written. To go on in their place: take over."
)

// Finding an item.
const (
	whichMark     = "Which one? Give its mark, like: %s."
	noSuchMark    = "There is no %s here. %s"
	nearAre       = "Nearest: %s. Type the right mark, or \"take in\" for a new one."
	nearOne       = "%s (%s)"
	noneNear      = "Nothing like it is in the register. \"take in\" enters a new one."
	registerEmpty = "The register is empty. \"take in\" enters the first one."
	itemIs        = "%s: %s, %s."
	inTheStore    = "in the store"
	heldBy        = "with %s"
)

// What an item's status is.
const (
	isFit          = "%s: fit when inspected on %s, due %s"
	isWatched      = "%s: watched; fit when inspected on %s, look again by %s"
	isHeld         = "%s is in quarantine: %s"
	isRetired      = "%s was retired on %s (%s). That is the end of it: keep it apart until it is destroyed."
	isNotForUse    = "%s is not for use until inspected: %s"
	holdReason     = "%s (%s, %s)"
	neverInspected = "it has never been inspected"
	notFitLast     = "it was not fit when inspected on %s"
	overdueSince   = "it was due on %s"
	lifeOver       = "its life ended on %s, %s"
	lifeUntold     = "nobody could say how long its maker lets it live"
	lifeUntoldHeld = "How long the maker lets %[1]s live isn't known, and that is no life without end: it is in quarantine until somebody has looked it up. Nothing in print? Then: ask maker %[1]s."
	lifeUnknown    = "its life is limited, and the date that counts isn't known"
	goodsOnlyWords = ". For goods only, never for people"
	goodsOnlyStop  = "For goods only, never for people."
	oneAtATime     = "One at a time, so that no answer is taken for another's: can I use %s."
	answerYes      = "Yes. %s."
	answerNo       = "No. %s."
	sealedUse      = "%s is being inspected by %s. Not until that is signed."
	sealedHeld     = "No. %s is in quarantine, and is being inspected by %s."
	cautionUse     = "Check it yourself before each use. The maker's instructions and local rules come first; if in doubt, out of service."
)

// Starting an inspection.
const (
	noScript           = "%s belongs to the family %q, and there is no script for that here. Ask the keeper."
	alreadyYours       = "You are inspecting %s already. Answer its question, or \"carry on\"."
	alreadyTheirs      = "%s is being inspected by %s. To go on in their place: take over %[1]s."
	sheetRef           = "%s, edition %s, %s"
	openingItem        = "%s, %s. For %s."
	openingLife        = "Life ends %s, %s."
	openingHeld        = "It is in quarantine. A clear inspection alone doesn't end that; somebody has to release it, in writing."
	openingDue         = "Due %s."
	openingUnconfirmed = "The figures of %s were typed by one person only, so nothing can come out fit by them. A second person: confirm sheet."
	openingJunior      = "You may do all of this; somebody competent for this family signs. I ask one thing at a time."
	haveReady          = "Have ready: %s."
	haveLight          = "good light"
	haveInstrument     = "caliper %s"
	haveNoInstrument   = "no caliper (none here is within its check date, so readings can't be taken)"
	haveSheet          = "the maker's sheet (%s)"
)

// Asking.
const (
	positionOf         = "%d of %d, %s"
	aloneBecause       = ", on its own because it matters most: "
	formChecks         = "send the letters you find, \"clear\", or \"can't tell\" with a letter and why."
	formChecksClear    = "send the letters you find, \"clear\" (%s), or \"can't tell\" and why."
	formCritical       = "send the letter of the worst you find, or \"can't tell\" and why."
	formChoice         = "send one letter."
	formReading        = "send it %s in %s, setting the instrument again each time, or \"can't tell\" and why."
	formPhoto          = "send the photo, or \"no photo\"."
	formMatch          = "type what you read, or \"can't tell\" and why."
	formNumber         = "type a number in %s, or \"can't tell\" and why."
	formCount          = "type how many, as a number, or \"can't tell\" and why."
	formReason         = "type why, in a few words."
	formRead           = "type what you see, in a few words, or \"can't tell\" and why."
	formNote           = "type it in a few words with a number, like: left plate by the hole, 0.6 mm."
	onceWord           = "once"
	timesWord          = "%d times"
	formPosition       = "%d of %d: %s"
	formLeft           = "Left off. Nothing was entered."
	helpForm           = "\"back\" goes to the question before; \"leave off\" stops, and nothing is entered."
	emptyForm          = "That was empty. Type an answer, \"?\" if it isn't known, \"back\", or \"leave off\"."
	chooseLetter       = "Type one letter, %s."
	oneOfTwo           = "%s or %s"
	oneOfThree         = "%s, %s or %s"
	oneFromTo          = "%s to %s"
	chooseByName       = "Type one letter, %s, or the name as it stands there, like: %s."
	letterNotNumber    = "\"%s\" is a number, and what is found goes by letters. Nothing was written: type the letter, %s."
	listAbove          = "Its letter from the list above, %s, or its name, like: %s. \"list\" shows them again."
	stillAsked         = "Nothing was written. This is what you are asked:"
	stillAskedOf       = "You are inspecting %s. Nothing was written. This is what you are asked:"
	nothingAsked       = "Nothing is asked of you here. \"due\" says what is to be done, \"help\" what can be typed."
	confirmHow         = "Type \"yes\" to enter it, \"back\" to change the last answer, or \"leave off\"."
	oneOnly            = "One only: %s"
	noSuchLetter       = "\"%s\" is none of the letters shown. Nothing was written: %s"
	emptyAnswer        = "That says nothing about it. Nothing was written: %s"
	nod                = "\"%s\" doesn't say what you saw. Nothing was written: %s"
	clearAndNot        = "Both \"%s\" and \"%s\" can't be. Send the letter of the worst."
	isPaused           = "%s is paused. \"carry on\" takes it up again."
	noInstrument       = "No instrument here is within its check date, so no reading can be taken. Enter one with \"instrument\" and start again, or say \"can't tell\" and why."
	helpInspection     = "You can always type: back, pause, leave off, put right (a position and the new answer), note, why, can't tell. Not sure: second opinion. Something wrong with another item: fault, its mark and what you see. Photos can be sent with any answer."
	takeBackWhy        = "You found this before: %s. If it is there too, send both letters. To take it back say why, like: clear because it was dirt and brushed off. It stays in quarantine until somebody else agrees."
	correctedAt        = "At %d, %s: %s"
	tapLate            = "That question isn't the open one any more, so the tap did nothing. To add to an answer or change it: put right, its position, and all of the new answer."
	putRightHow        = "Say which position, 1 to %d, and the new answer, like: put right 4 d e."
	putRightUnanswered = "Position %d has no answer yet. Answer what is asked now."
	nothingBefore      = "There is nothing before this."
	formBack           = "Back one."
	backTo             = "Back one. The answer it had stays in the record."
	editNothing        = "That message was no answer that can still be changed. Nothing was written."
	editThen           = "If they change what you found: quarantine %s, or inspect %[1]s again."
	editNote           = "Edited afterwards (%s): %s"
	editSigned         = "%s stays as it was closed; your words were added to it."
	noteHow            = "Type the note after the word, like: note came back wet from the gully."
)

// Taking an answer.
const (
	noted            = "Noted."
	photoKept        = "Photo kept."
	photoEarlier     = "With this comes the photo of the same place from %s, to compare."
	photoStays       = "There is a photo of the same place from %s. Its kind can't be freed of where it was taken, so it isn't sent; the keeper has it."
	notedText        = "Noted."
	notedClear       = "Clear."
	notedUnknown     = "Noted: can't tell. Unknown is not clear."
	notedThese       = "Noted: %s."
	notedAllUnknown  = "Noted: can't tell, for everything asked here, since no comma stands after \"%[1]s\". Unknown is not clear. If you meant %[1]s alone: put right %[2]d can't tell %[1]s, %[3]s"
	notedRestClear   = "Noted: can't tell (%s); the rest here is clear."
	notedBoth        = "Noted: %s; and can't tell: %s."
	matches          = "Matches."
	differsTwice     = "Twice not what the register has. Noted: it is to be cleared up before anybody uses it."
	heldNow          = "%s is held from now: it doesn't go on a rope today."
	mayLeaveOff      = "The rest of the bench checks make the record complete. Or \"leave off\"."
	asideDiffer      = "That isn't what the register has. Read it again, character by character."
	asideCount       = "That isn't what the sheet has. Count again."
	asideSame        = "All the same as last time, which is rare. Set the instrument afresh and measure once more."
	asideGrown       = "That is better than it can have become. Set the instrument afresh and measure once more."
	asideSpread      = "Those lie far apart. At the worst spot, measure once more."
	tooFew           = "That is %s of %s readings. Send all %[2]s in one message, with a space between."
	tooMany          = "That is %s readings where %s are enough. Send the last ones."
	outOfRange       = "%s can't be right here. Typed wrong? Send it again, all of it."
	needsNumber      = "\"%s\" has no number. Type it with one."
	measuredNotWords = "\"%s\" is numbers, and this is asked in words. Nothing was written. If that stands on it, say so with a word, like: %s on the back."
	needsNumberRead  = "\"%s\" has no number in it. Type what you read off the item, or \"can't tell\" and why."
	needsNumberAlone = "\"%s\" isn't one number by itself. Type the number alone, or \"can't tell\" and why."
	needsYear        = "\"%s\" has no year in full. Type all four digits of it, or \"can't tell\" and why."
	leftOutHeld      = "It is held, so it doesn't go on a rope. A fault you saw there still counts: send its letter."
	notAsked         = "That isn't asked of this one."
	cantTake         = "I can't take that for %s."
	wearWorst        = "Worst %s, doubt %s %s."
	wearNew          = " New %s."
	wearLimit        = " %s at %s (%s)."
	wearNoLimit      = " No limit is known."
	wearClear        = " Clear."
	wearLast         = " Last time %s."
	wearGrew         = "That is more wear than the doubt explains, and at %d you said \"still there, no worse\". If it is that place: put right %d %s."
	limitWatch       = "Watch"
	limitQuarantine  = "Quarantine"
	limitRetire      = "Limit"
)

// How somebody works. Never blame.
const (
	quickOnce       = "That came faster than anybody can look. It is written down; take the time it needs, nobody is waiting."
	quickTwice      = "That came faster than anybody can look, for the second time here. So this part is asked again, from its start."
	restNow         = "You have been at it for %d minutes. A short rest now keeps the eye sharp: \"pause\", and \"carry on\" when you are back."
	digitsForKeeper = "For you as keeper, nobody else is told: %d of the last %d readings by %s end in 0, where about %d would. They may be rounded. A look at how the instrument is read would help; no blame in it."
	clockNoted      = "The sender's clock said"
	clockAsk        = "Your clock says %s, ours says %s. Dates here go by ours. Is yours right? Tell the keeper if ours is wrong."
	feelHands       = "Bare, warm hands. Gloved or numb: \"pause\" and warm them; it isn't done until it is felt."
	feelGloved      = "Then it isn't felt, so it isn't done. Warm your hands and answer, or \"pause\"."
)

// Pausing, carrying on, taking over, leaving off.
const (
	pausedBecause   = "Paused: %s"
	paused          = "%s is paused at %d of %d. \"carry on %s\" takes it up again."
	carryingOnLate  = "Carrying on, after more than 12 hours: identity, what has happened to it, and all that was seen and felt is done again; after a week, everything."
	carryingOnFresh = "Carrying on."
	carryingOn      = "Carrying on. The last one once more, to get your eye in."
	notPaused       = "It isn't paused; here is the question."
	nothingPaused   = "Nothing of yours is paused here."
	whichPaused     = "Paused: %s. Say which, like: carry on %s."
	longAgo         = "The last answer is more than 12 hours old, so what you sent wasn't taken. Identity, what has happened to it, and all that was seen and felt is done again; after a week, everything."
	takenOver       = "You go on with %s in place of %s. What was felt or worked by hand is done again by you."
	nothingToTake   = "Nobody is inspecting that here. \"inspect\" and the mark starts one."
	leftToSign      = "Left off. Not looked at: %d; the record will say so."
	leftHeld        = "Left off. %s stays in quarantine. Not looked at: %d."
	leftOff         = "Left off, not looked at: %[2]d. So no verdict, and %[1]s counts as not inspected this time. \"inspect %[1]s\" starts afresh."
)

// Ending and signing.
const (
	leftSummary      = "Left off. "
	allAsked         = "All asked. "
	counted          = "%d looked at: %d clear, %d with findings, %d not to be told; %d not done. To watch: %d."
	ruleLine         = "  %s: %s (%s)"
	placeSaid        = "There: %s."
	byTheRules       = "By the rules: %s."
	nextDueOn        = "Next due %s."
	lookAgainBy      = "Look again by %s: half the usual interval."
	newerSheet       = "The sheet of this model changed meanwhile (now %s); judged by both, the stricter stands."
	notDoneWhileHeld = "Left out because it is held: %d on the rope."
	retireDecide     = "You decide. \"sign retire\" signs it so. It is the end for this item."
	youDecide        = "You decide. \"sign %s\" signs it so; a stricter verdict with why is yours to say."
	cautionSign      = "The maker's instructions and local rules come first. In doubt, out of service. This is no strength test."
	signTooSoon      = "Not yet: you are at %d of %d, and the rest is still to answer."
	signHow          = "Type \"sign %s\" to sign by the rules, or a stricter verdict with why, like: sign quarantine because the spring feels weak."
	signMilder       = "I can't: the rules say %s, and nobody can go milder than the rules. \"sign %s\", or stricter."
	signWhy          = "%s is stricter than the rules, and yours to say. Add why, like: sign %[1]s because the spring feels weak."
	signNotYou       = "You aren't listed as competent for %s today, so you can't sign. %s can, after doing by hand what was felt and worked: take over %s. Whoever of them watched you at it can close it as an interim inspection: supervise %[3]s."
	signedAs         = "Signed, %s, %s, record %s: %s."
	afterFit         = "%s: fit when inspected on %s, due %s."
	stillHeld        = "But %s is STILL IN QUARANTINE: %s. Leave the tag on. Released in writing only, like: release %[1]s cleaned, and locks every time."
	afterWatch       = "%s: watched; fit when inspected on %s, look again by %s."
	afterQuarantine  = "Tag it: QUARANTINE %s, %s, record %s. Keep it apart."
	afterRetire      = "Tag it: RETIRED %s, %s, record %s. Keep it apart until it is destroyed, with a witness."
	cautionRecord    = "This speaks for the moment of the inspection. Check before each use, as always."
)

// The record.
const (
	recordHead    = "Record %s: %s, %s, examined %s."
	recordSigned  = "Signed by %s: %s."
	recordReason  = "  Stricter than the rules, because: %s"
	recordReading = "  %s: worst %s %s, doubt %s"
	recordNotDone = "  Not done: %s"
	recordOthers  = "  Examined in part by %s."
	recordNote    = "  Note: %s"
	recordFlow    = "  Script %s, edition %d; photos: %d"
)

// Quarantine and release.
const (
	noReasonGiven       = "no reason given"
	quarantined         = "%s is in quarantine from now, by %s, %s. Don't use it."
	provisionalHold     = "%s isn't in this team's list, so this hold is provisional; the keeper is called to look."
	toldWhom            = "Told %s."
	toldHeld            = "%s (%s) is in quarantine, reported by %s: %s."
	quarantineTag       = "Tag it: QUARANTINE %s."
	quarantineWrong     = "Not the one you meant? Type: wrong one %s, it is - and the right mark."
	quarantineWho       = "%s can release it, after a complete new inspection."
	quarantineOutside   = "Nobody here could release it: somebody competent from elsewhere writes, and a keeper countersigns."
	neverReleased       = "%s is retired. Retired is the end; nobody can release it."
	notHeld             = "%s isn't in quarantine, so there is nothing to release."
	whichHold           = "%s has more than one hold, and each is released by itself:"
	whichHoldHow        = "Say which and why, like: release %s 1 cleaned, and checked against the maker's sheet."
	releaseInWriting    = "Say in writing why it may go back, like: release %s it was grit; cleaned, and locks every time."
	releaseInspectFirst = "First a complete new inspection of %s after it was held, on rope included, that comes out usable: inspect %s."
	releaseNotReporter  = "%s reported this alone, so somebody else has to release it."
	releaseNotHolder    = "You hold %s, so somebody else has to release it."
	releaseUnanswered   = "The last inspection didn't find this gone: %s. Inspect it again and answer that."
	released            = "%s: one hold released by %s (%s)."
)

// Reports on the wrong mark, mistaken retirements, and goods only.
const (
	noReportOfYours = "There is no report of yours on %s that could be moved. If it should be held: quarantine and the right mark."
	moved           = "%s is in quarantine from now. %s isn't any more, but it is not for use until somebody has inspected it."
	movedLook       = "a fault was reported of it by mistake, and nobody has looked since"
	notRetired      = "%s isn't retired, so there is nothing to strike."
	strikeInWriting = "Say in writing what was mistaken, like: strike %s the record was meant for D-41."
	strikeFirst     = "Written down. %s stays retired until a second person who may sign for it says the same: strike %s and why."
	strikeSecond    = "You said so already. Somebody else who may sign for %s has to say it too."
	struck          = "The retirement of %s is struck, by %s and %s. It stays in the record. Not for use until inspected: inspect %s."
	goodsWhy        = "That is for good: %s never carries people again. Say why, like: goods only %[1]s worn, kept for hauling."
	goodsAlready    = "%s is for goods only already."
	goodsTold       = "%s, which you have, is for goods only from now, says %s, and never for people again."
	goodsDue        = "It stays due on %s, as it was. From the next inspection on, the interval is that for goods."
	goodsStillOut   = "It stays out of use as before, for goods too: \"in quarantine\" says why."
	goodsNow        = "%s is for goods only from now, and never for people again. Mark it so, where everybody sees it."
	heldSince       = "%s, signed here on %s, is in quarantine since %s. What was said here no longer holds."
)

// Looking things up.
const (
	historyHead     = "%s, %s, serial %s. For %s."
	historyNone     = "No inspections yet."
	historyUnsigned = "%s: begun by %s, %s, no verdict."
	historyHold     = "%s: %s, %s (%s): %s."
	holdStands      = "stands"
	holdReleasedBy  = "released by %s, %s: %s"
	holdReleasedOn  = "released by %s, %s, on the statement of %s: %s"
	holdDocument    = " (with %s)"
	holdMovedBy     = "moved to %s by %s, %s"
	holdStruckBy    = "struck by %s and %s, %s: %s"
	holdReleased    = "released"
	sealedHistory   = "%s is being inspected by %s. What was found before is kept back until the readings are in, so that it can't steer them."
	dueHead         = "On %s:"
	dueOverHead     = "Not for use until inspected:"
	dueSoonHead     = "Due within 30 days:"
	dueHeldHead     = "In quarantine:"
	dueOver         = "%s: %s"
	dueFresh        = "Never inspected: %s"
	dueSoon         = "%s: %s"
	dueHeld         = "%s: %s"
	dueNothing      = "Nothing is due within 30 days, nothing is over and nothing is in quarantine. Items in the register: %d."
	fellDue         = "Over on %s, so not for use until inspected:"
	dueHow          = "To start, for example: inspect %s."
	sectionNone     = "%s none."
	sinceToday      = "since today"
	sinceYesterday  = "since yesterday"
	forDays         = "for %d days"
	whyHead         = "%s, by the rules: %s."
	whySoFar        = "%s, as far as it is answered:"
	whyNothing      = "  No rule applied: nothing was found."
	whyNever        = "%s has no signed record yet."
	whyDoubt        = "The doubt is that of caliper %s: %s mm."
	whyDoubtParts   = "The doubt is that of caliper %s, in mm: %s."
	endOfLifeBinds  = "That is the end of its life, which comes before its interval."
	whyInterval     = "The interval is %d months: %s."
	whyFlow         = "Script %s, edition %d."
	helpStranger    = "You can report a fault, like: quarantine D-02 rope creeps when I stop. The keeper can list you for more."
)

// Taking in an item.
const (
	takeInStart     = "A new item. \"?\" where something isn't known, \"back\" to change an answer, \"leave off\" to stop."
	askMark         = "Its mark: our own label on it, like D-12."
	askFamily       = "What kind of device is it?"
	askMaker        = "The maker's name."
	askModel        = "The model."
	askSerial       = "The maker's serial number, off the item, or \"?\"."
	askSerialAgain  = "The serial number once more, off the item."
	askBatch        = "The batch or lot, or \"?\"."
	askMade         = "When was it made? Like 2026-03 or March 2026, or \"?\"."
	askFirstUse     = "When was it first used? A date, or \"not yet\"."
	askUse          = "What will hang on it?"
	usePeople       = "people"
	useGoods        = "goods only, never people again"
	askInterval     = "Its own interval between inspections in months, or \"usual\"."
	askLifeMade     = "Its longest life from manufacture in years, by the maker, or \"no limit\"."
	askLifeUse      = "Its longest life from first use in years, by the maker, or \"no limit\"."
	askFirstReading = "As it is now: %s (%s, in %s, or \"?\")."
	markForm        = "A mark has up to 20 letters, digits and dashes, without spaces, like D-12."
	markTaken       = "%s is in the register already, and a mark is never used again, not even a retired one's. Choose another."
	markAlike       = "%s is easily taken for %s, which is in the register. Choose one that nobody can mix up with it."
	serialDiffers   = "The two serial numbers differ. Read it once more off the item, or \"back\"."
	sameSerialEarly = "The serial %s of that maker and model is in the register already, as %s, and a new mark doesn't make it another item. Read it again, or \"leave off\"."
	sameSerial      = "The serial %s of that maker and model is in the register already, as %s. A new mark doesn't make it another item. Nothing was entered."
	dateAhead       = "%s is still to come. Type a date up to today, or \"?\"."
	wholeNumber     = "Type a whole number from %d to %d, or \"usual\" for no limit of its own."
	madeWord        = "made"
	firstUseWord    = "first used"
	dateUnknown     = "%s: not known"
	notKnownWord    = "not known"
	takeInConfirm   = "%s, %s, serial %s, %s, for %s. Enter it?  (yes / back / leave off)"
	takenIn         = "%s is in the register. Not for use until inspected: inspect %s."
	madeUnknown     = "Without its date of manufacture it can't be issued where its life is limited."
)

// A maker's sheet, and an instrument.
const (
	sheetStart        = "A maker's figures for one model. Type them from the sheet in your hand; \"?\" where the sheet gives none."
	askDocument       = "The document's name."
	askEdition        = "Its edition or date."
	askPage           = "The page or table."
	askFigure         = "%s, in %s, or \"?\" where the sheet gives none."
	countWords        = "whole numbers"
	oneNumber         = "Type one number, or \"?\"."
	sheetConfirm      = "Enter these?  (yes / back / leave off)"
	sheetKept         = "Kept. The figures of %s count once a second person has typed them too: confirm sheet %s, %s."
	sheetNoFlow       = "%s belongs to the family %q, and there is no script for that here"
	sheetNoFigure     = "%s: its family has no figure %q"
	sheetNegative     = "%s: %s is below nothing"
	sheetNoFact       = "%s: %s can't be %q for its family"
	sheetDisorder     = "%s: %s"
	confirmSheetHow   = "Say which, with a comma between maker and model, like: confirm sheet Skerry Works, Dunlin."
	noSuchSheet       = "There is no sheet for %s. \"sheet\" enters one."
	sheetCounts       = "Two people have typed the figures of %s already. They count."
	sheetYours        = "You typed the figures of %s yourself. Somebody else has to type them again."
	confirmStart      = "Type the figures of %s again from the sheet itself (%s, edition %s, %s). \"?\" where it gives none."
	sheetDiffers      = "The figures of %s differ from what was typed first: %s. Neither counts. Look at the sheet together, then enter it anew: sheet %s, %s."
	sheetDisputed     = "Two people typed the figures of %s differently, so they don't count. Enter it anew, from the sheet: sheet %s, %s."
	sheetConfirmed    = "The figures of %s count from now: typed by %s and by %s."
	instrumentStart   = "An instrument that readings are taken with."
	askInstrumentMark = "Its mark, like C-2."
	askInstrumentKind = "What is it? Like: digital caliper."
	askErrorLimit     = "Its error limit by its own sheet, in mm, like 0.03."
	askResolution     = "The smallest step it shows, in mm, like 0.01; 0 if the error limit includes it."
	askSetting        = "How much repeated settings on one piece differ, as a standard deviation in mm, like 0.01; 0 if never tried."
	askCheckBy        = "Until which day does its own check hold? Like 2027-03-31."
	instrumentConfirm = "%s: %s Enter it?  (yes / back / leave off)"
	instrumentKept    = "%s is entered. Readings with it are doubted by %s mm, until %s."
)

// DemoWelcome greets whoever starts the demo.
const DemoWelcome = `This is the invented rope team of the bird observatory on Fulmar Holm.
You are @me, its keeper, and may sign for everything here. Try, one line after another:
  due
  inspect D-07
and answer what is asked. With no device in your hand: its serial number is 22-1180, a
new wear pin has 8.00, it has 6 rivets and 4 handle positions.
"help" lists the rest. Nothing here is real, and this is no training.`

// DemoWelcomeAs greets whoever starts the demo as somebody else of its team.
const DemoWelcomeAs = `This is the invented rope team of the bird observatory on Fulmar Holm.
You are %s in it. "help" lists what you can type. Nothing here is real, and this is no training.`
