package bot

// Going on from a copy of the record.
const (
	copyAsk      = "This record was put back from a copy, and is as it was on %s. What happened since? Type again what was put in quarantine, retired or taken in since, like: quarantine D-02 rope creeps. What was inspected since is due as if it hadn't been. Once nothing is left, %s closes with: nothing more since %s. Until then \"can I use\" never says yes, and nothing is issued."
	copyNotSaid  = "This record was put back from a copy, and what happened since %s isn't all said. Look for a tag on it, and ask %s."
	copyOpen     = "This record was put back from a copy, and what happened since %s isn't all said. When it is, %s types: nothing more since %[1]s."
	copyIssue    = "what happened since the copy of %s isn't all said; when it is, %s types: nothing more since %[1]s"
	copyWhen     = "The copy is as of %s. When all that happened since has been typed: nothing more since %[1]s."
	copyNothing  = "Nothing is asked here about an older copy. Nothing was written."
	copyClosed   = "Written down: nothing more since %s, by %s. The record counts again."
	openCopy     = "Not known: what happened since the copy that this record was put back from"
	openCopyName = "copy"
	openCopyOf   = "of %s"
	openCopyDo   = "what happened since isn't all said. Type it again, and then: nothing more since %s."
	answerCopy   = "Not known. By the copy, %s."
)
