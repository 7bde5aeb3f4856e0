//go:build goolm

package matrix

// What people in a room are told by the transport itself.
const (
	sayUnread     = "I can't read a message of yours from %s: its key hasn't reached me. I have asked your device for it. Leave the app open for a moment, or send the message again."
	sayReadLate   = "Now I can read your message from %s: %q. You have said something else since, so I didn't take it. Send it again if it still holds."
	sayOpen       = "Your message from %s wasn't encrypted, and this room is. I didn't take it. Send it again from an app that encrypts."
	sayNotYours   = "A message from %s came with keys that don't belong to you. I didn't take it. If you sent it, send it again from a device that is signed in as you."
	sayFileFailed = "%s couldn't be fetched (%s)."
	sayFileKind   = "%s is no photo that I know (JPEG, PNG, GIF, WebP or HEIC)."
	sayNoCopy     = "%s can't be sent: it isn't there any more, or it is damaged."
	sayNotTaken   = "%s can't be sent: the homeserver doesn't take it."
	sayContinued  = "(continued)"
)

// What the operator is told.
const (
	tellRecoveryKey  = "Becket's recovery key, shown this once: %s\nKeep it where you keep passwords. It is needed when %s is lost, so that people see the new device as Becket's own."
	tellUnsigned     = "Becket's device isn't signed by Becket's own account: many apps will not send it their keys. Give the recovery key that was shown at the first start under \"recovery_key_file\", and start again."
	tellLoggedOut    = "the homeserver has ended the login of this device (%s). Move %s aside and start again: Becket then logs in as a new device; have the recovery key at hand"
	tellKeysDiffer   = "the homeserver has other keys for this device (%s) than %s. It is a copy, or an old one. Move it aside and start again: Becket then logs in as a new device; have the recovery key at hand"
	tellIsCopy       = "%[1]s is a copy, made on %[2]s, and not the record itself. Move it aside with its photos, say to copy.db and copy.db-photos, and type: becket restore copy.db --db %[1]s. Then the team is asked what happened since"
	tellOlder        = "%[1]s isn't the record that was last spoken from here: entry %[2]d isn't in it as it was. If an older one was put in its place, move it aside with its photos, say to copy.db and copy.db-photos, move %[3]s aside too, and type: becket restore copy.db --db %[1]s. Then the team is asked what happened since"
	tellAway         = "The homeserver can't be reached (%v). Becket goes on trying; nothing is lost."
	tellBack         = "The homeserver is reached again."
	tellDeclined     = "%s invited Becket into %s and isn't allowed to; it was declined."
	tellJoined       = "%s invited Becket into %s; it has joined."
	tellNotJoined    = "%s invited Becket into %s, and that failed: %v. Invite it again."
	tellNotSent      = "A reply can't be sent to %s: %v. It is kept and tried again."
	tellNotPlain     = "%s was encrypted, and the homeserver says now that it isn't. Nothing is sent there in the open. Make a new room, or find out who changed it."
	tellNotShown     = "The apps in %s aren't told what can be typed: %v. Everything works without it."
	tellNotUploaded  = "%s couldn't be sent: %v. The room is told so."
	tellAside        = "The message %s was set aside: %v"
	tellMoved        = "The room %s was replaced by %s; Becket has gone along, with the whole register."
	tellNotFollowed  = "%s says that the room %s is replaced by %s, and hasn't the power there to do that. Nothing was moved. If it is right, somebody who may has to replace the room."
	tellNotYetThere  = "The room %s is replaced by %s, and Becket can't go on there yet: %v. It looks again by itself; where it isn't in that room, invite it."
	tellNoSuccessor  = "The room %s doesn't say of itself that it replaces %s. Nothing was moved."
	tellTwoRegisters = "The room %s is replaced by %s, and both have a register. Nothing was moved: two registers can't become one."
	tellWaits        = "%s invited Becket into %s, which says that it replaces %s. Becket has joined and moves the register once the old room says so too."
)
