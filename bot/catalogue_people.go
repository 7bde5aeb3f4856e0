package bot

// Who is here, and who may sign for what.
const (
	peopleHere      = "%d people here:"
	peopleHow       = "To change it: add @eli; competent @eli for pulley until 30 June 2027: on what evidence; not competent @eli for pulley; keeper @eli; not keeper @eli; remove @eli."
	personIs        = "%s, %s"
	idAndName       = "%s (%s)"
	competentFor    = "; competent for %s until %s"
	competenceEnded = "; was competent for %s until %s"
	onOwnWord       = " (on their own word, nobody else was there)"
	claimsFor       = "; says to be competent for %s, and somebody else has to agree: agree %s"
	askedOneByOne   = "; asked one thing at a time"
	addHow          = "Say who, like: add @eli, add @eli called Eli Marwick, or add @eli as keeper."
	alreadyListed   = "%s is listed already. \"team\" shows the list."
	added           = "%s is listed now, and may look things up, inspect and report. To let them sign: competent %s for a family, until a day, and on what evidence."
	whichPerson     = "Who? Give their id, like: %s."
	notInList       = "%s isn't in this team's list. \"team\" shows who is; \"add\" lists somebody."
	isKeeperAlready = "%s keeps the register already."
	isNoKeeper      = "%s doesn't keep the register."
	nowKeeper       = "%s keeps the register too, from now."
	noLongerKeeper  = "%s doesn't keep the register any more, and stays listed as a member."
	lastKeeper      = "%s is the only keeper. Make somebody else keeper first, like: keeper @ben."
	notYetRemoved   = "%s is still listed, because of what isn't settled:"
	stillHas        = "  has %s; take it back first, or issue it to somebody else."
	stillInspects   = "  is inspecting %s; somebody takes it over, or it is left off."
	removeYourself  = "That takes you yourself off the list, and you can't put yourself back: another keeper would have to. Sure?  (yes / no)"
	stillListed     = "%s stays on the list."
	notRemoved      = "You stay on the list."
	removed         = "%s is off the list, and can only report faults from now. What they signed and said stays in the record."
	askSomebodyHow  = "Say how, like: ask %s one by one, or: in groups."
	nowOneByOne     = "%s is asked one thing at a time, from the next inspection on."
	nowInGroups     = "%s is asked in groups again, from the next inspection on, where they may sign."

	competentExample = "competent @ben for pulley, connector until 30 June 2027: course in May, paper 12"
	competentHow     = "Say for which families, until when, and on what evidence, like: %s."
	untilPast        = "%s is over. Give a day that is still to come."
	noSuchFamily     = "There is no family called \"%s\" here. There are: %s."
	granted          = "%s is competent for %s until %s, that day included. Evidence: %s"
	grantedOwnWord   = "%s is competent for %s until %s, on their own word, since nobody else is listed. The record says so. Better: list somebody who can agree."
	claimed          = "Nobody makes themselves competent. It is written down; somebody else has to agree: %s, with \"agree %s\". Until then nothing changes."
	nothingClaimed   = "%s has said nothing that waits for somebody to agree."
	agreeWho         = "Whoever agrees that %s is competent has to be so themselves: %s."
	agreeNotSelf     = "Somebody else has to agree to it, not you."
	endedNow         = "%s isn't competent for %s any more, from now. What was signed before stays."

	logHead = "Examined by %s under supervision:"
	logLine = "%s, %s, %s: %s, supervised by %s, record %s"
	logSum  = "%d of %s."
)

// What somebody examined under another's eyes.
const (
	superviseExample   = "supervise D-07 fit"
	superviseHow       = "By the rules it is %s. Type: supervise %s %s, or a stricter verdict and why."
	nothingToSupervise = "Nobody is inspecting %s now. Whoever examines it answers everything first; then you supervise it."
	superviseOwn       = "You examined %s yourself. Then it is signed, not supervised: sign, in its own conversation."
	superviseTooSoon   = "%s isn't finished: it is at %d of %d."
	superviseStale     = "The answers on %s are too old to be closed. %s carries on first, and does again what was seen and felt."
	superviseThen      = "You weren't competent for this on %s, the day it was examined, so you can't have supervised it."
	supervisedAs       = "Written down: %s, examined by %s, supervised by %s, on %s, record %s: %s.\nIt counts as an interim inspection: it puts no date off, and what it found holds. A full one is signed by whoever felt and worked it with their own hands."
	recordSupervised   = "Examined by %s, supervised by %s: %s. An interim inspection; it moves no date."
)

// What is said beside a signature, and never refused.
const (
	warnOnlyUser   = "A word for the record: you hold %s yourself. Better somebody inspects it who doesn't use it (sufficiently independent and impartial: LOLER 1998, guidance)."
	warnMaintainer = "A word for the record: you worked on %s yourself (%s, %s). Better somebody else inspects it: otherwise nobody independent has looked (LOLER 1998, guidance)."
	maintainedHow  = "Say what was done, like: maintained D-07 new captive bar, by the maker's method."
	maintainedKept = "Written down: %s, %s. It isn't inspected by that; it is due as before, and whoever worked on it had better not be the one who inspects it."
)
