package bot

// What is said of where items are: finding them, handing them out, taking them back, not seeing them.

// Finding.
const (
	findHow      = "Say what to look for, any part of a mark, serial, maker, model, place or holder, like: find dunlin rack 2."
	findNone     = "Nothing in the register has all of that: %s. Fewer words find more."
	findFound    = "Found: %d."
	findLine     = "  %s: %s; %s; %s"
	findKept     = "not held; how it came out last time isn't said before it has been looked at"
	findMore     = "And %d more. Add a word to narrow it down."
	isFitShort   = "fit when inspected on %s, due %s"
	isWatchShort = "watched; fit when inspected on %s, look again by %s"
	isHeldShort  = "in quarantine"
	isGoneShort  = "retired"
	isNotShort   = "not for use: %s"
	personHas    = "%s has %d: %s."
	personNone   = "%s has nothing of ours."
	whoHasHow    = "Say which, or whose, like: who has D-07, or: what has @isla."
	hasSince     = "%s has %s since %s."
	hasAlways    = "%s has %s, says the register it came with."
	hasVisitor   = "For the visitor %s."
	hasNobody    = "Nobody has %s: it is in the store%s."
	hasUnseen    = "It hasn't been seen since %s."
	atPlace      = ", %s"
	usualPlace   = "Its place is %s."
)

// Handing out and taking back.
const (
	issueHow       = "Say what and to whom, like: issue D-07 to @isla, or: issue D-07, K-12 to @isla. Add \"for goods\" for what only carries goods."
	issueNobody    = "%s isn't in this team's list, so nothing was issued. Listed: %s. For somebody else: issue D-07 to visitor Tom Hale with @isla, who answers for it."
	issueVisitor   = "A visitor can't be asked about it later. Say who of the team answers for it, like: issue D-07 to visitor Tom Hale with @isla."
	issuedOne      = "%s has %s from now, for %s."
	issuedVisitor  = "It is for the visitor %s; %s answers for it."
	issuedLast     = "%s: %s."
	issuedTold     = "You have %s from now, says %s."
	issueRefused   = "Nothing was issued."
	issueLine      = "  %s: %s"
	issueWithout   = "The rest could go: issue %s to %s."
	issueBusy      = "it is being inspected by %s; not until that is signed"
	issueSheet     = "the figures of %s were typed by one person only; a second one types them: confirm sheet %s, %s"
	issueGoodsOnly = "it is for goods only and never carries people; for goods: issue %s to %s for goods"
	issueHasIt     = "%s has it already"
	issueSealed    = "it is sealed in %s; issue the bag, or open it first: open %[1]s"
	issuePart      = "it is part of %s; issue that, or take it out first: take out %s of %[1]s"
	issueOther     = "%s has it since %s"
	issueOtherAsk  = "%s. Does it go to %s now? %s will be told.  (yes / leave off)"
	issueOneHolder = "More than one person has these. Issue what each has by itself, so that each is asked about."
	beforeRecord   = "before this record began"
	issueFrom      = "%s went from you to %s, says %s."
	returnWhere    = "%[1]s came into the register as being out with %[2]s, so I don't know where it is kept. Say where it is now, like: return %[1]s rack 2."
	returnedOne    = "%s is back, %s."
	returnNobody   = "%s wasn't out: it is in the store%s. To say where it is now: return %s and the place."
	placedOne      = "%s: %s from now."
	returnUnseen   = "%s wasn't seen since %s. If you have it: found %s and where."
	noPlaceYet     = "in the store"
	placeForm      = "A place is a few words, like: rack 2."
)

// What an item's history says of where it went.
const (
	moveLine    = "%s: %s (%s)."
	moveIssued  = "issued to %s, for %s"
	moveVisitor = ", for the visitor %s"
	moveBack    = "taken back"
	movePlaced  = "in the store, %s"
	moveUnseen  = "not seen"
	moveFound   = "found, %s"
	moveGoods   = "goods only from then: %s"
)

// Not seen, and found again.
const (
	notSeenNow    = "%s: not seen since %s. It stays in the list, due as before, until somebody finds it: found %s and where."
	notSeenAgain  = "%s was looked for again; it hasn't been seen since %s."
	notSeenHolder = "%s has it, says the register: ask there."
	notSeenReason = "it hasn't been seen since %s"
	foundHow      = "Say where it was, like: found K-12 in the east hut."
	foundNow      = "%s is found, %s. Nobody knows what happened to it since %s, so it is not for use until inspected: inspect %[1]s."
	foundNotLost  = "%s wasn't missing. To say where it is now: return %[1]s and the place."
	foundReason   = "it was out of sight from %s to %s, and nobody has looked at it since"
	sealReason    = "the seal of its bag wasn't as it was left, on %s, and nobody has looked at it since"
	inspectUnseen = "%s wasn't seen since %s. If you have it, say first where it was: found %s and where."
	dueUnseenHead = "Not seen:"
	dueUnseen     = "%s: since %s%s"
	dueUnseenDue  = ", due %s"
)
