package bot

// What becomes of a message that its sender has deleted.
const (
	deletedWords   = "What you deleted is gone here too. That you sent it, and when, stays."
	deletedAnswer  = "The answer itself stays, and so does what follows from it. To change it: put right %d and the new answer."
	deletedClosed  = "The answer itself stays, and so does what follows from it. If it was wrong: quarantine %s, or inspect %[1]s again."
	deletedHold    = "%s stays out of use."
	deletedWritten = "What was said in writing stays: the record rests on it."
	deletedDone    = "You deleted a message; what it did stays done."
	deletedNotOwn  = "A message of %s's was deleted. Only its sender can have words and photos of theirs taken out of the record, so nothing was changed."
)
