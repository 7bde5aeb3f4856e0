package bot

import (
	"slices"
	"strings"

	"becket/flows"
)

// command is something that can be typed. Exactly one of run and within is set.
type command struct {
	words  []string // how it begins; the first is how it is spoken of
	bare   bool     // nothing follows it
	act    act
	named  bool     // in the middle of an inspection, understood only with a mark behind it: people answer in such words too
	alone  bool     // also taken from somebody alone with Becket, outside the team's room
	always bool     // understood even where an answer takes any words
	report bool     // understood there too where it names something in the register, or says that no mark can be read
	whom   bool     // a person is named behind it; by itself it may be an answer in words
	asks   bool     // only about what is asked: whatever is half typed or offered stays as it is
	then   []string // what may follow it so that it is understood even where an answer takes any words
	run    func(t *turn, args string) error
	within func(t *turn, i *inspection, args string) error // needs an open inspection of the speaker's
}

// commands is all that can be typed besides answers.
func commands() []command {
	return []command{
		{words: []string{"inspect"}, act: actInspect, run: (*turn).inspect},
		{words: []string{"quarantine", "fault"}, report: true, act: actReport, alone: true, run: (*turn).quarantine},
		{words: []string{"check", "before use"}, named: true, act: actBeforeUse, run: (*turn).beforeUse},
		{words: []string{"incident"}, report: true, act: actReport, run: (*turn).incident},
		{words: []string{"it was"}, named: true, act: actReport, run: (*turn).itWas},
		{words: []string{"wrong one"}, act: actReport, run: (*turn).wrongOne},
		{words: []string{"strike"}, act: actLook, run: (*turn).strike},
		{words: []string{"cut"}, named: true, act: actTakeIn, run: (*turn).cut},
		{words: []string{"goods only"}, act: actLook, run: (*turn).goodsOnly},
		{words: []string{"release"}, act: actLook, run: (*turn).release},
		{words: []string{"countersign"}, act: actCounter, run: (*turn).countersign},
		{words: []string{"photo"}, named: true, act: actReport, run: (*turn).photo},
		{words: []string{"paper"}, named: true, act: actTell, run: (*turn).paper},
		{words: []string{"retire"}, named: true, act: actTell, run: (*turn).retire},
		{words: []string{"destroyed"}, named: true, act: actTell, run: (*turn).destroyed},
		{words: []string{"replaced"}, named: true, act: actTell, run: (*turn).replaced},
		{words: []string{"bring forward"}, act: actTell, run: (*turn).bringForward},
		{words: []string{"conditions"}, report: true, act: actTell, run: (*turn).conditions},
		{words: []string{"notice"}, act: actTell, run: (*turn).notice},
		{words: []string{"have it", "have got"}, named: true, act: actTell, alone: true, run: (*turn).haveIt},
		{words: []string{"haven't got", "haven’t got", "havent got", "have not got"}, named: true, act: actTell, alone: true, run: (*turn).haventGot},
		{words: []string{"in quarantine", "holds", "to replace"}, bare: true, act: actLook, alone: true, run: (*turn).inQuarantine},
		{words: []string{"can i use"}, act: actLook, alone: true, run: (*turn).canIUse},
		{words: []string{"history"}, act: actLook, alone: true, run: (*turn).history},
		{words: []string{"tags"}, act: actLook, run: (*turn).tags},
		{words: []string{"calendar"}, bare: true, act: actLook, run: (*turn).calendar},
		{words: []string{"due", "overdue"}, bare: true, act: actLook, alone: true, run: (*turn).due},
		{words: []string{"why"}, act: actLook, run: (*turn).why},
		{words: []string{"take in"}, act: actTakeIn, run: (*turn).takeIn},
		{words: []string{"borrow", "visitor's item", "visitors item"}, act: actTakeIn, run: (*turn).borrow},
		{words: []string{"sent back"}, named: true, act: actIssue, run: (*turn).sentBack},
		{words: []string{"correct"}, named: true, act: actLook, run: (*turn).correctRegister},
		{words: []string{"life"}, named: true, act: actLook, run: (*turn).life},
		{words: []string{"cause"}, named: true, act: actTell, run: (*turn).cause},
		{words: []string{"causes"}, bare: true, act: actLook, run: (*turn).causes},
		{words: []string{"price"}, named: true, act: actTakeIn, run: (*turn).price},
		{words: []string{"budget"}, bare: true, act: actLook, run: (*turn).budget},
		{words: []string{"wear"}, named: true, act: actLook, run: (*turn).wear},
		{words: []string{"report"}, named: true, act: actLook, run: (*turn).report},
		{words: []string{"my details"}, bare: true, act: actLook, run: (*turn).myDetails},
		{words: []string{"swl", "safe working load"}, named: true, act: actLook, run: (*turn).safeLoad},
		{words: []string{"standard"}, named: true, act: actLook, run: (*turn).standardOf},
		{words: []string{"scheme"}, named: true, act: actTakeIn, run: (*turn).schemeOf},
		{words: []string{"last examined"}, named: true, act: actLook, run: (*turn).lastExamination},
		{words: []string{"bought"}, named: true, act: actLook, run: (*turn).bought},
		{words: []string{"papers"}, act: actLook, run: (*turn).papers},
		{words: []string{"find"}, act: actLook, run: (*turn).findItems},
		{words: []string{"who has", "what has"}, act: actLook, run: (*turn).whoHas},
		{words: []string{"issue"}, act: actIssue, run: (*turn).issue},
		{words: []string{"return"}, named: true, act: actIssue, run: (*turn).giveBack},
		{words: []string{"not seen"}, always: true, act: actIssue, run: (*turn).notSeen},
		{words: []string{"found"}, named: true, act: actIssue, run: (*turn).foundAgain},
		{words: []string{"set"}, named: true, act: actIssue, run: (*turn).set},
		{words: []string{"swap"}, named: true, act: actTakeIn, run: (*turn).swap},
		{words: []string{"add part"}, named: true, act: actTakeIn, run: (*turn).addPart},
		{words: []string{"take out"}, named: true, act: actTakeIn, run: (*turn).takeOut},
		{words: []string{"seal"}, named: true, act: actTakeIn, run: (*turn).seal},
		{words: []string{"open"}, named: true, act: actIssue, run: (*turn).open},
		{words: []string{"confirm sheet"}, act: actSheet, run: (*turn).confirmSheet},
		{words: []string{"sheet"}, act: actSheet, run: (*turn).sheet},
		{words: []string{"models without sheet", "models without sheets", "models without a sheet"}, bare: true, act: actLook, run: (*turn).modelsWithoutSheet},
		{words: []string{"judge again"}, bare: true, act: actJudge, run: (*turn).judgeStore},
		{words: []string{"instrument"}, act: actInstrument, run: (*turn).instrument},
		{words: []string{"digest"}, then: []string{"monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "weekdays", "daily", "off"}, act: actLook, alone: true, run: (*turn).digestWhen},
		{words: []string{"quiet"}, then: []string{"off"}, act: actLook, alone: true, run: (*turn).quiet},
		{words: []string{"done"}, named: true, act: actLook, alone: true, run: (*turn).done},
		{words: []string{"later"}, named: true, act: actLook, alone: true, run: (*turn).later},
		{words: []string{"handover"}, bare: true, act: actLook, alone: true, run: (*turn).handover},
		{words: []string{"nothing more since"}, act: actAccount, run: (*turn).nothingMore},
		{words: []string{"second opinion"}, act: actInspect, always: true, run: (*turn).secondOpinion},
		{words: []string{"third opinion"}, act: actInspect, run: (*turn).thirdOpinion},
		{words: []string{"supervise"}, act: actLook, run: (*turn).supervise},
		{words: []string{"maintained"}, act: actInspect, run: (*turn).maintained},
		{words: []string{"team"}, bare: true, act: actLook, run: (*turn).people},
		{words: []string{"add"}, whom: true, act: actPeople, run: (*turn).add},
		{words: []string{"competent"}, whom: true, act: actPeople, run: (*turn).competent},
		{words: []string{"not competent"}, whom: true, act: actPeople, run: (*turn).notCompetent},
		{words: []string{"agree"}, whom: true, act: actAgree, run: (*turn).agree},
		{words: []string{"keeper"}, whom: true, act: actPeople, run: (*turn).makeKeeper},
		{words: []string{"not keeper"}, whom: true, act: actPeople, run: (*turn).notKeeper},
		{words: []string{"remove"}, whom: true, act: actPeople, run: (*turn).remove},
		{words: []string{"ask maker", "ask the maker"}, named: true, act: actTell, run: (*turn).askMaker},
		{words: []string{"sent to maker", "sent to the maker"}, named: true, act: actTell, run: (*turn).sentToMaker},
		{words: []string{"maker says", "the maker says"}, named: true, act: actTell, run: (*turn).makerSays},
		{words: []string{"ask"}, whom: true, act: actPeople, run: (*turn).askSomebody},
		{words: []string{"words"}, then: []string{"short", "usual", "explained"}, act: actLook, run: (*turn).chooseWords},
		{words: []string{"language", "sprache"}, then: []string{"en", "de", "english", "german", "deutsch"}, act: actLook, run: (*turn).chooseLanguage},
		{words: []string{"status"}, bare: true, act: actStatus, run: (*turn).status},
		{words: []string{"log"}, act: actLook, run: (*turn).log},
		{words: []string{"round"}, then: []string{"due"}, act: actInspect, run: (*turn).roundOf},
		{words: []string{"repeat"}, then: []string{"1", "off"}, act: actInspect, run: (*turn).repeat},
		{words: []string{"practice", "practise"}, then: []string{"results"}, act: actLook, alone: true, run: (*turn).practice},
		{words: []string{"import"}, act: actImport, run: (*turn).importHow},
		{words: []string{"export register", "export"}, bare: true, act: actLook, run: (*turn).exportRegister},
		{words: []string{"evidence pack", "evidence"}, bare: true, act: actEvidence, run: (*turn).evidencePack},
		{words: []string{"agreement"}, bare: true, act: actAgreement, run: (*turn).agreement},
		{words: []string{"plan", "workload"}, then: []string{"spread"}, act: actLook, run: (*turn).plan},
		{words: []string{"next"}, bare: true, act: actInspect, run: (*turn).next},
		{words: []string{"close round"}, bare: true, act: actInspect, always: true, run: (*turn).closeRound},
		{words: []string{"rope"}, act: actInspect, run: (*turn).newRope},
		{words: []string{"help"}, act: actReport, alone: true, always: true, asks: true, run: (*turn).help},
		{words: whatNow(), bare: true, act: actReport, alone: true, always: true, asks: true, run: (*turn).askedNow},

		{words: []string{"back"}, bare: true, act: actInspect, always: true, within: (*turn).back},
		{words: []string{"pause"}, act: actInspect, always: true, within: (*turn).pause},
		{words: []string{"carry on"}, act: actInspect, always: true, run: (*turn).carryOn},
		{words: []string{"take over"}, act: actInspect, always: true, run: (*turn).takeOver},
		{words: []string{"leave off"}, bare: true, act: actInspect, always: true, within: (*turn).leaveOff},
		{words: []string{"put right"}, act: actInspect, always: true, within: (*turn).putRight},
		{words: []string{"put"}, named: true, act: actTell, run: (*turn).put},
		{words: []string{"note"}, act: actInspect, always: true, within: (*turn).note},
		{words: []string{"list"}, bare: true, act: actInspect, always: true, within: (*turn).listInFull},
		{words: []string{"sign"}, act: actInspect, run: (*turn).signing},
	}
}

// shaped tells whether what follows a command's word can't well be an answer: a mark, in the register or not, a person, a verdict to
// be signed, or words of its own.
func (c command) shaped(args string) bool {
	word, _ := firstWord(args)
	_, err := flows.ParseVerdict(strings.ToLower(word))
	switch {
	case c.words[0] == "sign":
		return err == nil || sameWord(word, "round")
	case slices.ContainsFunc(c.then, func(w string) bool { return sameWord(strings.TrimRight(word, ".?"), w) }):
		return true
	}
	if _, _, err := readWall(word); err == nil && c.words[0] == "quiet" {
		return true
	}
	return aMark(word) || strings.HasPrefix(word, "@") && len(word) > 1
}

// commandIn finds the command that a text begins with, and what follows it.
func commandIn(text string) (command, string, bool) {
	text = strings.TrimSpace(text)
	for _, c := range commands() {
		for _, w := range c.words {
			rest, ok := afterWords(text, w)
			if ok && (!c.bare || strings.Trim(rest, ".") == "") {
				return c, rest, true
			}
		}
	}
	return command{}, "", false
}

// A slip in a command's first word is one letter in a short one, and two in a longer one.
const (
	shortWord = 4
	longWord  = 6
)

// mistyped is a text with its first word as a command has it, where that is off by a letter or two and no other command is as
// near; empty: it isn't. It is for a person to type: nothing acts by itself.
func (t *turn) mistyped() string {
	word, rest := firstWord(t.m.Text)
	word = strings.ToLower(strings.Trim(word, ".:,?"))
	if len(word) < shortWord {
		return ""
	}
	slips, meant := 1, ""
	if len(word) >= longWord {
		slips = 2
	}
	near := slips + 1
	for _, c := range commands() {
		for _, w := range c.words {
			first, _ := firstWord(w)
			n := distance(word, first)
			switch {
			case len(first) < shortWord || n == 0 || c.bare && rest != "":
			case n < near:
				near, meant = n, first
			case n == near && first != meant:
				meant = ""
			}
		}
	}
	if meant == "" {
		return ""
	}
	return strings.TrimSpace(meant + " " + rest)
}

// typedAlone tells whether a text is a command that takes nothing after it, with something after it.
func (t *turn) typedAlone() (alone, rest string, is bool) {
	for _, c := range commands() {
		for _, w := range c.words {
			if after, begins := afterWords(t.m.Text, w); c.bare && begins && len(w) > len(alone) {
				alone, rest, is = w, after, true
			}
		}
	}
	return alone, rest, is
}

// afterWords is what follows words at the start of a text, letters' case and doubled spaces aside.
func afterWords(text, words string) (string, bool) {
	rest := text
	for _, w := range strings.Fields(words) {
		var first string
		first, rest = firstWord(rest)
		if !strings.EqualFold(strings.TrimRight(first, ".:,?"), w) {
			return "", false
		}
	}
	return strings.TrimSpace(rest), true
}

// firstWord cuts a text after its first word.
func firstWord(text string) (word, rest string) {
	text = strings.TrimSpace(text)
	i := strings.IndexAny(text, " \t\n")
	if i < 0 {
		return text, ""
	}
	return text[:i], strings.TrimSpace(text[i:])
}

// clip shortens a person's text for quoting.
func clip(text string, n int) string {
	r := []rune(strings.Join(strings.Fields(text), " "))
	if len(r) <= n {
		return string(r)
	}
	return string(r[:n]) + "…"
}
