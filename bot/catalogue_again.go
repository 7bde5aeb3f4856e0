package bot

// Judged again, by figures, facts or scripts that count from now.
const (
	sheetImported     = "The sheet of %s, edition %s, came in with a file."
	againNothing      = "Items of this model: %d. Judged again by these figures, none is stricter than it was signed. Nothing that is out of use comes back by them."
	againMoved        = "Judged again by these figures: %d of %d items of this model."
	againHeld         = "  %s is in QUARANTINE. %s. Tag it and keep it apart."
	againSealed       = "  %s is in QUARANTINE. Tag it and keep it apart. Why is said when %s has inspected it."
	againWatch        = "  %s would have been watched. Look at it sooner, like: bring forward %s."
	againWhy          = "By the figures of %s, from what was found last time: %s"
	againWhyScript    = "By the script for %s, edition %d, from what was found last time: %s"
	againUnasked      = "nobody looked at it then (%s)"
	againToldWhy      = "the maker's figures of %s are stricter in edition %s"
	againToldAll      = "the scripts or the makers' figures are stricter now"
	againStore        = "Judged again by the scripts and the makers' figures of today, from what was found last time, items: %d. These move:"
	againStoreNone    = "Nothing to judge again: no item that is in use has a signed record yet."
	againStoreNothing = "Judged again by the scripts and the makers' figures of today, from what was found last time, items: %d. None is stricter than it was signed. Nothing that is out of use comes back by it."
	againLeft         = "  and %d more: in quarantine"
	againAsksMore     = "The script for %s, edition %d, asks what wasn't asked of %d items. It is asked at their next inspection."
	againStale        = "%s, edition %d (items: %d)"
	againEditions     = "Scripts are in a newer edition than the one that items here were last judged by: %s. %s can have them judged again by it: judge again. Nothing moves until then."
	againLine         = "  QUARANTINE since %s. %s."
)
