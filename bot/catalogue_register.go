package bot

// What is said of spreadsheets.
const (
	registerName = "register.xlsx"
	registerHere = "Here is the register: %d items, each with what holds for it today. Nothing in this file counts once it has left; what I say does."
	registerNone = "The register is empty."

	importHow      = "Send the spreadsheet here as a file, .xlsx or .csv, a row an item, with a row of headings. I say what would come of each row, and take it in only after your yes. From the console: import kit.xlsx"
	importInRoom   = "Send a spreadsheet by itself, in the team's room."
	importWords    = "A spreadsheet goes by itself, or with the word import. Nothing was taken."
	importCant     = "%s: %s. Nothing was taken."
	importSheets   = "Which sheet of %s is the register?"
	importDates    = "%s, %s. Which number comes first in its days?"
	importDay      = "the day: 3/4/2026 is 3 April"
	importMonth    = "the month: 3/4/2026 is 4 March"
	importSums     = "%s, %d rows: to be taken in %d, already here %d."
	importRefused  = "%s: %d of %d rows can't be taken, so none was. Put them right and send it again."
	importMore     = "... and %d more rows, in the file before this."
	importAsk      = "Take it in? yes or no."
	importNo       = "Nothing was taken."
	importLeft     = "Left off. Nothing was taken."
	importMoved    = "The register has changed since, so nothing was taken yet. It is now:"
	importHeld     = "Of those come in held: %d, each to be released by itself after an inspection. Where a column is missing, like how long the maker lets it live, put it in first and answer no."
	importTaken    = "Taken in: %d of %d rows. What is new is not for use until inspected; \"due\" lists it."
	importNothing  = "%s has nothing that isn't in the register already. Nothing was taken."
	importFamilies = `"take in" lists them`

	importRowsName = "rows.txt"
	importRowsHere = "What would come of each row is in this file."
)
