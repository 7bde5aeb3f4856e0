package bot

// A model's items judged again by figures that count from now.
const (
	sheetImported = "The sheet of %s, edition %s, came in with a file."
	againNothing  = "Items of this model: %d. Judged again by these figures, none is stricter than it was signed. Nothing that is out of use comes back by them."
	againMoved    = "Judged again by these figures: %d of %d items of this model."
	againHeld     = "  %s is in QUARANTINE. %s. Tag it and keep it apart."
	againWatch    = "  %s would have been watched. Look at it sooner, like: bring forward %s."
	againWhy      = "By the figures of %s, from what was found last time: %s"
)
