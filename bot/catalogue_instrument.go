package bot

// Checking an instrument, and finding one out.
const (
	instrumentHow     = "%[1]s is listed. Say what about it, like: instrument %[1]s checked, or: instrument %[1]s out by 0.2 mm."
	instrumentNone    = "No instrument %[1]s here. There is: %[2]s. To enter %[1]s: instrument %[1]s."
	outUnit           = "%[2]s what? Say it with its unit, like: instrument %[1]s out by 0.2 mm."
	checkStart        = "%s, its check."
	askCheckedWith    = "What was it checked with, like: gauge block G-1, wiped and at room temperature?"
	askCheckedAgainst = "What does that measure, in mm?"
	askReads          = "What does the instrument read on it, in mm?"
	checkConfirm      = "%s against %s mm reads %s mm. Right? Type \"yes\"."
	checkKept         = "%s reads %s on %s mm, within its doubt. Its check holds until %s."
	checkFailed       = "%s is %s mm out, and its doubt is only %s. That is no good check."
	outMillimetres    = "%s mm"
	outHow            = "Say how far out, like: instrument %s out by 0.2 mm."
	outAlready        = "%s was found %s out already. A good check makes it count again: instrument %[1]s checked."
	outNothing        = "%s is out by %s, and isn't taken for readings from now. Nothing that stands was measured with it since its last good check."
	outHead           = "%s is out by %s, and isn't taken for readings from now. Measured with it since its last good check, %d:"
	leanedSigned      = "%s: %s, %s, record %s, by %s"
	leanedOpen        = "%[1]s: being inspected by %[5]s"
	outAfter          = "Each is not for use until it is inspected again with another instrument. A good check makes %[1]s count again: instrument %[1]s checked."
	misreadBy         = "it was measured with %s, which was found out since"
)
