package bot

// What is said of kit that is cut into shorter pieces.
const (
	cutHow        = "Say where, in metres from one end, like: cut %s at 34 m."
	cutNotKind    = "%s (%s) isn't cut to length. If it has to go: retire %s and why."
	cutOut        = "%s is out with %s. First: return %[1]s."
	cutPart       = "%s is in %s. Take it out of that first."
	cutGoods      = "One number, in metres, like 34."
	askOtherPiece = "How long is the other piece, in metres? Lay it along the tape. \"scrap\" if it is thrown away."
	scrapWord     = "scrap"
	cutTooLong    = "%s m and %s m make more than %s has by its record, %s m. Read the tape again."
	askPieceMark  = "A new mark for the piece of %s m. %s isn't used again."
	cutSameMark   = "The other piece has that mark. Each needs its own."
	cutConfirm    = "%s, %s, serial %s, is cut for good: %s. Right?  (yes / back / leave off)"
	cutNow        = "%s is cut: %s. Its mark isn't used again."
	cutKeeps      = "Each keeps what was known of %s: maker, serial, when it was made and first used, and its life."
	cutMark       = "Mark both ends of each with its mark, its length and the serial, before you lay it down."
	cutScrapped   = "Cut the rest up, so that nobody picks it up as a rope."
	cutStillHeld  = "%s was in quarantine, and so is each piece: %s."
	cutInspect    = "Not for use until inspected: %s."
	whyCut        = "cut into %s"
	pieceIs       = "%s (%s m)"
	isCut         = "%s was %s on %s. Its mark isn't used again."
	historyCut    = "%s m, cut from %s; what was before: history %s."
	openingCut    = "It was cut from %s."
)
