package bot

// Models whose figures the team hasn't got.
const (
	modelsHead     = "Models without figures of the maker that count:"
	modelsNone     = "  %[1]s %[2]s (%[3]s): no sheet. Kit: %[4]s. Type it in: sheet %[1]s, %[2]s"
	modelsByOne    = "  %[1]s %[2]s (%[3]s): typed by %[5]s alone. Kit: %[4]s. Somebody else types it too: confirm sheet %[1]s, %[2]s"
	modelsDisputed = "  %[1]s %[2]s (%[3]s): two people typed it differently, so neither counts. Kit: %[4]s. Type it anew: sheet %[1]s, %[2]s"
	modelsNameless = "  No maker or no model known (%s): %s. A sheet can't belong to it."
	modelsMeans    = "While figures wait for the second person, none of that kit comes out fit. Without a sheet, a reading has no limit to be held against. Nothing to be found in print? Then: ask maker and a mark."
	modelsAll      = "Every model in the register has figures that two people have typed."
	openNoSheet    = "Models without a maker's sheet"
)
