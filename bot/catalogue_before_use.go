package bot

// The short check before use, and the length in which somebody is asked.
const (
	beforeUseHow = "%s, %s: before use, in your hands. Everything as it says here: type \"clear\". Anything else: its letter and what you see, like: b it sticks"

	beforeUseNeeds   = "Nothing is written down yet. When all of it is right, type \"clear\". Something wrong: its letter first and then what you see, like: b it sticks. Not sure of one: can't tell, and its letter."
	beforeUseUnsure  = "What you can't tell isn't clear. Type can't tell and the letter, like: can't tell b. It is held then until somebody has looked."
	beforeUseFast    = "That was faster than anybody can look at %d things. Nothing is written down yet: hold each one in your hands, then answer."
	beforeUseOld     = "That list of %s was asked for at %s, so it doesn't count any more. Look again now: check %s."
	beforeUseClear   = "Written down: %s checked before use by %s, %s, nothing found. That is no inspection: it is due %s, as before."
	beforeUseLeft    = "Left off. Nothing of that check before use is written down."
	beforeUseFound   = "before use, %s: %s"
	beforeUseUntold  = "can't be told"
	beforeUseNoWords = "not as it should be (%s)"
	beforeUseNot     = "%s. A check before use doesn't change that. If something is wrong with it: fault %s and what you see."
	beforeUseNoList  = "The script for %s has no list for before use. A fault goes at any time, like: fault %s and what you see."
	beforeUseBusy    = "You are in the middle of inspecting here. Answer that, or pause it, and then: check %s. A fault goes at any time: fault %s and what you see."
	beforeUseTheirs  = "%s is being inspected by %s. Wait for that. A fault goes at any time, like: fault %s and what you see."
	beforeUseEach    = "%s holds %s. Check each before use, like: check %s."
	moveBeforeUse    = "checked before use, nothing found"
	moveFoundBefore  = "checked before use, found something: %s"

	wordsHow       = "In which words shall I ask? Type words short, words usual, or words explained (with why it matters and how it is done)."
	wordsShort     = "In short words from now on, where you may sign. To change it back: words usual."
	wordsUsual     = "In the usual words from now on. With why it matters and how it is done: words explained."
	wordsExplained = "With why it matters and how it is done, from now on. Without: words usual."
)
