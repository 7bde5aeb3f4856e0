package bot

// How Becket is, for the keeper.
const (
	statusHead       = "%s, %s:"
	statusNoNetwork  = "This conversation goes over no network."
	statusEncrypted  = "This room is encrypted."
	statusOpen       = "This room isn't encrypted: whoever runs the %s can read along. It can be switched on in the room's settings, for good."
	statusSigned     = "My device is signed by my own account, so that apps trust it."
	statusUnsigned   = "My device isn't signed by my own account, and many apps won't let me read along. Whoever runs me has to give the recovery key (\"recovery_key_file\")."
	statusHeard      = "The %s last answered on %s."
	statusWaits      = "Waiting to be said: %d here, %d in all."
	statusUnread     = "Messages here that I couldn't read: %d. Their senders were told."
	statusAside      = "Set aside because they failed again and again: %d."
	statusAsideOne   = "%s, %s: \"%s\""
	statusAsideOther = "and %d more"
	statusRecord     = "The record has %d entries, the last on %s."
	statusRoom       = "The disk has room."
	statusFull       = "The disk is nearly full: %d MB left. Make room, or nothing can be written soon."
	statusReworded   = "Of %d answers that a language model gave to rewording explanations, %d were accepted by every check; the others are never said. Without an answer: %d."
	statusEdition    = "Becket %s."
	statusNoEdition  = "Becket, a build without an edition."
)
