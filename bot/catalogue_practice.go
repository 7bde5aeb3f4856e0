package bot

// Practice, and what is said of how many faults somebody catches: to them alone.
const (
	practiceInRoom   = "Practice is between you and me. I've written to you alone; type \"practice\" there."
	practiceInvite   = "Twelve pieces of invented kit, half of them with a fault, and what was what at the end. Nobody else is told. Type \"practice\" to begin."
	practiceStart    = "Practice on invented kit; nothing of it goes into the register. Some have a fault, some don't. \"leave off\" stops."
	practiceAsk      = "%s. %s\nWhat you find: %s"
	practiceHow      = "Type one letter, \"clear\", or \"can't tell\"."
	practiceClear    = "clear, nothing wrong here"
	practiceUnknown  = "can't tell"
	practiceLeft     = "Left off. Nothing of the practice is kept."
	practiceDone     = "Practice done. Of %d faults you caught %d; of %d without a fault you took %d for faulty."
	practiceAll      = "None got past you."
	practiceMissed   = "Missed, %d of %d, %s: %s\nIt is: %s. %s"
	practiceFalse    = "Nothing was wrong at %d of %d, %s. %s"
	practiceSoFar    = "In the last year, in practice and in second looks: %d of %d faults caught. That puts your share between %d and %d in 100."
	practiceNone     = "Nothing to go by yet: no practice and no second look in the last year."
	practiceCareful  = "From the next inspection on I ask you one thing at a time: that is how people miss less. It ends by itself when you catch more, in practice or in second looks."
	practiceToldCare = "I ask you one thing at a time for now: in practice and second looks of the last year, %d of %d faults were caught. That is how people miss less. \"practice\" here helps; it ends by itself. Nobody else is told."
)
