package bot

// The language in which somebody is answered.
const (
	languageHow     = "In which language shall I answer? Type %s."
	languageOther   = "I don't have that language. Type %s."
	languageEnglish = "In English from now on."
	languageNow     = "In %s from now on: the sentences of an inspection, as far as I have them. What the scripts ask, what is found and the rest stay English, and so does what you type: as it is shown. To change it back: language en."
	languageUnread  = "Nobody competent who speaks it has checked these sentences yet. Where one leaves a doubt, the English one counts: language en."
	languageRead    = "These sentences were checked by %s."

	guidanceByMachine = "Translated by a machine, and read by nobody. What counts is the English:"
)
