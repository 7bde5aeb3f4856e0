package bot

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"becket/flows"
)

// Answers are read by fixed words only. Anything else is refused with what to type, and nothing is written.

// clearWord and the others are what can always be typed.
const (
	clearWord    = "clear"
	clearLetter  = "c" // in a line for several questions
	letterWord   = "letter "
	cantTellWord = "can't tell"
	noPhotoWord  = "no photo"
)

// complaint is a sentence that says what was wrong with an answer and what to type instead.
type complaint string

func (c complaint) Error() string { return string(c) }

// read turns a text into answers to a question, one for each of its steps that was answered.
func read(q flows.Question, text string, photos int) ([]flows.Answer, error) {
	text = strings.TrimSpace(text)
	if rest, ok := cantTell(text); ok {
		return readUnknown(q, rest)
	}
	if q.Section == "feel" && isGloved(text) {
		return nil, complaint(feelGloved)
	}
	switch q.Kind {
	case flows.KindChecks, flows.KindCritical:
		return readFindings(q, text)
	case flows.KindChoice:
		return readChoice(q, text)
	case flows.KindReading:
		return readReadings(q, text)
	case flows.KindPhoto:
		return readPhoto(q, text, photos)
	}
	if text == "" {
		return nil, complaint(format(emptyAnswer, form_(q)))
	}
	if isNod(text) {
		return nil, complaint(format(nod, clip(text, 20), form_(q)))
	}
	if q.Kind == flows.KindMatch && strings.ContainsAny(q.Expect, digits) && !strings.ContainsAny(text, digits) {
		return nil, complaint(format(needsNumberRead, clip(text, 30))) // a word for another question is no wrong serial
	}
	if q.Kind == flows.KindNote && (q.Unit == "" && saysNothing(text) || flows.IsReason(q.Steps[0]) && letters(text) < 3 || flows.IsPlace(q.Steps[0]) && letters(text) == 0) {
		return nil, complaint(format(emptyAnswer, form_(q)))
	}
	if q.Kind == flows.KindNote && q.Unit == "" && asksForWords(q) && readsMeasured(text) {
		return nil, complaint(format(measuredNotWords, clip(text, 30), clip(text, 30)))
	}
	return []flows.Answer{{Step: q.Steps[0], Text: text}}, nil
}

// asksForMark tells whether a question is answered by marks of kit.
func asksForMark(q flows.Question) bool {
	return strings.Contains(strings.ToLower(strings.Join(q.Asks, " ")), "mark")
}

// asksForWords tells whether a question is about what stands on an item, rather than how much of it there is, or which date.
func asksForWords(q flows.Question) bool {
	ask := strings.ToLower(strings.Join(q.Asks, " "))
	return !strings.HasPrefix(ask, "how ") && !strings.Contains(ask, "year") && !strings.Contains(ask, "date")
}

// readsMeasured tells whether a text is nothing but readings, as a gauge shows them: typed late, or too early.
func readsMeasured(text string) bool {
	words := strings.Fields(text)
	for _, w := range words {
		whole, part, decimal := strings.Cut(strings.Replace(strings.Trim(w, ",;"), ",", ".", 1), ".")
		if _, err := flows.ParseNumber(whole); err != nil || !decimal || part == "" || len(part) > 3 || strings.Trim(part, digits) != "" {
			return false
		}
	}
	return len(words) > 1 || strings.HasPrefix(text, "0.") || strings.HasPrefix(text, "0,")
}

// letters counts the letters of a text: a date or a number alone is no reason and no place.
func letters(text string) (n int) {
	for _, r := range text {
		if unicode.IsLetter(r) {
			n++
		}
	}
	return n
}

// saysNothing holds for what can't be a reading off an item: a letter, a dash, or the answer to another question.
func saysNothing(text string) bool {
	said := 0
	for _, r := range text {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			said++
		}
	}
	return said < 2 || sameWord(strings.Trim(text, "."), clearWord)
}

// digits are what every number has.
const digits = "0123456789"

// cantTell finds "can't tell" or "?" at the start of an answer, and what follows.
func cantTell(text string) (string, bool) {
	if rest, ok := strings.CutPrefix(text, "?"); ok {
		return strings.TrimSpace(rest), true
	}
	straight := strings.Map(straightened, text)
	for _, words := range []string{cantTellWord, "cant tell", "cannot tell", "can not tell", "can't say"} {
		if rest, ok := afterWords(straight, words); ok {
			return rest, true
		}
	}
	return "", false
}

// straightened is the plain apostrophe for each of those that telephones put in its place.
func straightened(r rune) rune {
	if strings.ContainsRune("’‘`", r) {
		return '\''
	}
	return r
}

// readUnknown takes "can't tell", with a letter where only one of several checks is meant, and a reason.
func readUnknown(q flows.Question, rest string) ([]flows.Answer, error) {
	letters, reason := lettersFirst(q, rest)
	chosen, err := pick(q, letters)
	if err != nil && reason == "" { // "can't tell the bar is stuck": all of it is the reason
		chosen, reason = nil, strings.TrimSpace(rest)
	} else if err != nil {
		return nil, err
	}
	checks := map[string]bool{}
	for _, o := range chosen {
		checks[o.Check] = true
	}
	answers := make([]flows.Answer, 0, len(q.Steps))
	for _, step := range q.Steps {
		if len(checks) > 0 && !checks[checkOf(step)] {
			answers = append(answers, flows.Answer{Step: step, Clear: true})
			continue
		}
		answers = append(answers, flows.Answer{Step: step, Unknown: true, Reason: reason})
	}
	return answers, nil
}

// lettersFirst cuts "b, c: too dark" into the letters that it begins with, all of them, and the reason after them.
func lettersFirst(q flows.Question, text string) (letters, reason string) {
	breaks := regexp.MustCompile(`[,:;]\s*because\b|[,:;]|\bbecause\b`).FindAllStringIndex(text, -1)
	if _, err := pick(q, text); err == nil || len(breaks) == 0 {
		return text, ""
	}
	last := breaks[0]
	for _, b := range breaks[1:] {
		if _, err := pick(q, text[:b[0]]); err == nil {
			last = b
		}
	}
	return text[:last[0]], strings.TrimSpace(text[last[1]:])
}

// readFindings takes letters of findings, or "clear". In a group, a check of which nothing was found is clear.
func readFindings(q flows.Question, text string) ([]flows.Answer, error) {
	switch {
	case text == "":
		return nil, complaint(format(emptyAnswer, form_(q)))
	case isNod(text) && !isLetter(q, text):
		return nil, complaint(format(nod, clip(text, 20), form_(q)))
	}
	for i, r := range text { // "d, e, can't tell b"
		if rest, ok := cantTell(strings.TrimSpace(text[i+1:])); r == ',' && ok {
			return readBoth(q, text[:i], rest)
		}
	}
	chosen, err := pick(q, text)
	if err != nil {
		return nil, err
	}
	if len(chosen) == 0 && bare(text) != clearWord { // "," or "and" names nothing
		return nil, complaint(format(emptyAnswer, form_(q)))
	}
	if q.Kind == flows.KindCritical && len(chosen) > 1 && chosen[0].ID == clearWord {
		return nil, complaint(format(clearAndNot, chosen[0].Label, chosen[1].Label))
	}
	answers := make([]flows.Answer, len(q.Steps))
	for n, step := range q.Steps {
		answers[n] = flows.Answer{Step: step, Clear: true}
		for _, o := range chosen {
			if o.Check == checkOf(step) && o.ID != clearWord {
				answers[n].Clear = false
				answers[n].Findings = append(answers[n].Findings, o.ID)
			}
		}
	}
	return answers, nil
}

// readBoth takes findings of some checks and "can't tell" of others.
func readBoth(q flows.Question, found, unknown string) ([]flows.Answer, error) {
	answers, err := readFindings(q, found)
	if err != nil {
		return nil, err
	}
	more, err := readUnknown(q, unknown)
	if err != nil {
		return nil, err
	}
	for n := range answers {
		if more[n].Unknown && answers[n].Clear {
			answers[n] = more[n]
		}
	}
	return answers, nil
}

func readChoice(q flows.Question, text string) ([]flows.Answer, error) {
	chosen, err := pick(q, text)
	if err != nil {
		return nil, err
	}
	if len(chosen) != 1 {
		return nil, complaint(format(oneOnly, form_(q)))
	}
	return []flows.Answer{{Step: q.Steps[0], Findings: []string{chosen[0].ID}}}, nil
}

func readReadings(q flows.Question, text string) ([]flows.Answer, error) {
	if text == "" || isNod(text) || strings.EqualFold(text, clearWord) {
		return nil, complaint(format(emptyAnswer, form_(q)))
	}
	values, err := flows.ParseReadings(text, q.Unit)
	if err != nil {
		return nil, complaint(sentence(err.Error()))
	}
	return []flows.Answer{{Step: q.Steps[0], Readings: values}}, nil
}

func readPhoto(q flows.Question, text string, photos int) ([]flows.Answer, error) {
	switch {
	case photos > 0:
		return []flows.Answer{{Step: q.Steps[0], Text: "photo"}}, nil
	case strings.EqualFold(strings.Trim(text, "."), noPhotoWord):
		return []flows.Answer{{Step: q.Steps[0], Text: noPhotoWord}}, nil
	}
	return nil, complaint(format(emptyAnswer, form_(q)))
}

// pick finds the options that a text names by letter, digit, or in words.
func pick(q flows.Question, text string) ([]flows.Option, error) {
	options := optionsOf(q)
	typed, text := text, bare(strings.TrimPrefix(bare(text), letterWord))
	if text == clearWord && q.Kind != flows.KindChoice {
		return clearOptions(options), nil
	}
	for _, o := range options {
		if text == strings.ToLower(o.Label) || text == strings.ToLower(o.ID) {
			return []flows.Option{o}, nil
		}
	}
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune(" ,;+&", r) })
	words = slices.DeleteFunc(words, func(w string) bool { return w == "and" })
	if len(words) == 1 && isLetters(words[0], len(options)) {
		words = strings.Split(words[0], "")
	}
	var chosen []flows.Option
	for _, w := range words {
		n := keyIndex(w)
		if _, err := flows.ParseNumber(w); err == nil && len(options) > 0 { // a count that was typed late is no finding
			return nil, complaint(format(letterNotNumber, clip(w, 20), keySpan(len(options))))
		}
		if n < 0 || n >= len(options) {
			if slices.ContainsFunc(words, func(w string) bool { return len(w) > 2 }) { // no slip of a letter, but words
				w = typed
			}
			return nil, complaint(format(noSuchLetter, clip(w, 30), form_(q)))
		}
		if !slices.Contains(chosen, options[n]) {
			chosen = append(chosen, options[n])
		}
	}
	slices.SortStableFunc(chosen, func(a, b flows.Option) int { return slices.Index(options, a) - slices.Index(options, b) })
	return chosen, nil
}

// bare is a text without the full stop, spaces and capitals that people put in or leave out.
func bare(text string) string { return strings.ToLower(strings.Trim(strings.TrimSpace(text), ".")) }

// isLetter tells whether a text is the letter of one of a question's options.
func isLetter(q flows.Question, text string) bool {
	n := keyIndex(bare(text))
	return n >= 0 && n < len(optionsOf(q))
}

func clearOptions(options []flows.Option) []flows.Option {
	if len(options) > 0 && options[0].ID == clearWord {
		return options[:1]
	}
	return nil
}

// optionsOf are a question's options as they are shown: a critical check's clear state first.
func optionsOf(q flows.Question) []flows.Option {
	if q.Kind != flows.KindCritical {
		return q.Options
	}
	clearState := flows.Option{Check: checkOf(q.Steps[0]), ID: clearWord, Label: q.Clear, Verdict: flows.Fit}
	return append([]flows.Option{clearState}, q.Options...)
}

// key is the letter of the nth option; after z come aa, ab and so on, which only lists of families are long enough for.
func key(n int) string {
	const letters = 26
	if n >= letters {
		return key(n/letters-1) + key(n%letters)
	}
	return string(rune('a' + n))
}

// keySpan says the letters of so many options: "a, b or c", "a to f".
func keySpan(options int) string {
	switch options {
	case 1:
		return key(0)
	case 2:
		return format(oneOfTwo, key(0), key(1))
	case 3:
		return format(oneOfThree, key(0), key(1), key(2))
	}
	return format(oneFromTo, key(0), key(options-1))
}

// keyIndex is the option that a letter means; -1 for anything else. A digit is never a letter: it may be the
// count or the reading that was asked for before.
func keyIndex(w string) int {
	if len(w) == 1 && w[0] >= 'a' && w[0] <= 'z' {
		return int(w[0] - 'a')
	}
	return -1
}

// isLetters tells whether a word is letters of options written together, like "de".
func isLetters(w string, options int) bool {
	before := rune('a' - 1)
	for _, r := range w {
		if r <= before || int(r-'a') >= options {
			return false // out of order it is a word, like "bad"
		}
		before = r
	}
	return len(w) > 1 && len(w) <= 4
}

func checkOf(step string) string {
	_, check, _ := strings.Cut(step, ".")
	return check
}

// shades follow a picture and choose its style or the colour of its skin.
const shades = "\ufe0e\ufe0f\U0001f3fb\U0001f3fc\U0001f3fd\U0001f3fe\U0001f3ff"

// isNod tells whether an answer agrees without saying what was seen. Silence and nods are never "clear".
func isNod(text string) bool {
	word := strings.ToLower(strings.Trim(text, " .!👍✅🆗👌🙂😀"+shades))
	switch word {
	case "", "ok", "okay", "k", "yes", "y", "yep", "fine", "good", "all good", "looks good", "looks fine", "done", "same", "as last time", "same as last time", "all clear", "no problem", "safe", "pass":
		return true
	}
	return false
}

// isGloved tells whether an answer says that nothing could be felt.
func isGloved(text string) bool {
	switch strings.ToLower(strings.Trim(text, " .")) {
	case "gloves", "gloved", "numb", "cold hands", "with gloves", "gloves on":
		return true
	}
	return false
}

func sameWord(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }
