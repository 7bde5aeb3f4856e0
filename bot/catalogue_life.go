package bot

// What is said of how long an item may live.
const (
	lifeHead      = "%s, %s: by"
	lifeNone      = "%s: no limit to its life is known. It lives as long as it is fit when inspected. A date on it: life %[1]s printed March 2030."
	lifeFromMade  = "  %d years from when it was made, %s: until %s"
	lifeFromUse   = "  %d years from its first use, %s: until %s"
	lifePrinted   = "  the date printed on it, %s: until %s"
	lifeOwn       = "  our own rule: until %s"
	lifeOpen      = "  %d years from a date that isn't known"
	lifeEarliest  = "The earliest counts: %s, %s."
	lifeHow       = "Say the date, like: life D-07 printed March 2030. Or our own limit and why: life D-07 own limit 1 March 2030 five years wet. A date that wasn't known: life D-07 made March 2020 by its label, or: life D-07 first used 1 May 2026."
	lifeWhy       = "Say after the date where it is from, or why, like: life %s %s 1 March 2020, by the label inside."
	lifeKnown     = "The register has that date already, %[3]s. If it is wrong: correct %[1]s %[2]s, the right date, and after a colon why."
	lifeLater     = "That is later than what is written down already, %s. An end of life isn't put off here."
	lifeKept      = "Written down."
	boundMade     = "counted from when it was made"
	boundFirstUse = "counted from its first use"
	boundPrinted  = "as printed on it"
	boundOwn      = "by our own rule"
)
