package bot

import (
	"cmp"
	"encoding/json"
	"fmt"
	"strings"

	"becket/flows"
)

// form is a handful of questions that end in one entry: taking in an item, a maker's sheet, an instrument. What
// is half typed is kept beside the record, and nothing of it counts before the last answer.
type form struct {
	Kind  string            `json:"kind"`
	Given map[string]string `json:"given"`
	Order []string          `json:"order"`
	// Offer marks a question that may be left alone: whatever else is typed goes its own way, and the offer lapses.
	Offer bool `json:"offer,omitempty"`
	// Passing marks one that is over with whatever command comes next: nobody has to leave it off.
	Passing bool   `json:"passing,omitempty"`
	Thread  string `json:"-"`
	// Again marks a question that is put once more: a long list isn't, with it.
	Again bool   `json:"-"`
	Said  string `json:"-"` // what an answer brought about, said before the next question
}

// field is one question of a form.
type field struct {
	id      string
	ask     string
	kind    flows.Kind
	choices []Choice
	photos  bool // a photo alone is an answer
	kit     bool // marks of the register are what is asked for
	// read turns a text into the value kept; an error says what to type instead.
	read func(text string) (string, error)
}

// script is a form's questions, as they follow from what is given, and what its end does.
type script struct {
	fields func(t *turn, f *form) ([]field, error)
	finish func(t *turn, f *form) error
	// took, where there is one, writes an answer down at once; left is then what leaving off means.
	took func(t *turn, f *form, id string) error
	left string
}

func scripts() map[string]script {
	return map[string]script{
		openByCode:      {fields: (*turn).codeFields, finish: (*turn).finishCode},
		practising:      {fields: (*turn).practiceFields, finish: (*turn).finishPractice, left: practiceLeft},
		"take in":       {fields: (*turn).takeInFields, finish: (*turn).finishTakeIn},
		"sheet":         {fields: (*turn).sheetFields, finish: (*turn).finishSheet},
		"confirm sheet": {fields: (*turn).confirmFields, finish: (*turn).finishConfirm},
		borrowing:       {fields: (*turn).borrowFields, finish: (*turn).finishBorrow},
		correcting:      {fields: (*turn).correctFields, finish: (*turn).finishCorrect, left: correctLeft},
		"cut":           {fields: (*turn).cutFields, finish: (*turn).finishCut},
		handOver:        {fields: (*turn).handOverFields, finish: (*turn).finishHandOver},
		"check":         {fields: (*turn).checkFields, finish: (*turn).finishCheck},
		beforeUse:       {fields: (*turn).beforeUseFields, finish: (*turn).finishBeforeUse, left: beforeUseLeft},
		"instrument":    {fields: (*turn).instrumentFields, finish: (*turn).finishInstrument},
		"round":         {fields: (*turn).roundFields, finish: (*turn).finishRound},
		"it was":        {fields: (*turn).itWasFields, finish: (*turn).finishItWas},
		"destroyed":     {fields: (*turn).destroyedFields, finish: (*turn).finishDestroyed},
		"bring forward": {fields: (*turn).bringForwardFields, finish: (*turn).finishBringForward},
		"incident":      {fields: (*turn).incidentFields, finish: (*turn).finishIncident, took: (*turn).addToIncident, left: incidentLeft},
		"conditions":    {fields: (*turn).conditionsFields, finish: (*turn).finishConditions},
		"notice":        {fields: (*turn).noticeFields, finish: (*turn).finishNotice},
		"ask maker":     {fields: (*turn).askMakerFields, finish: (*turn).finishAskMaker},
		"report":        {fields: (*turn).reportFields, finish: (*turn).finishReport},
		"team details":  {fields: (*turn).reportDetailFields, finish: (*turn).finishReportDetails},
		"my details":    {fields: (*turn).myDetailFields, finish: (*turn).finishMyDetails},
		removing:        {fields: (*turn).removingFields, finish: (*turn).finishRemoving, left: notRemoved},
		importing:       {fields: (*turn).importFields, finish: (*turn).finishImport, took: (*turn).importTook, left: importLeft},
		opinionForm:     {fields: (*turn).opinionFields, finish: (*turn).finishOpinion},
	}
}

// openForm finds what the speaker is half-way through entering in this conversation.
func (t *turn) openForm() error {
	thread := t.m.Thread
	kind, body, found, err := t.tx.Dialogue(t.m.Room, t.m.From, thread)
	if err == nil && !found && thread == "" && isYesOrNo(t.m.Text) { // an offer in an inspection's conversation
		thread, kind, body, found, err = t.tx.OnlyDialogue(t.m.Room, t.m.From)
	}
	if err != nil || !found {
		return err
	}
	f := &form{}
	if err := json.Unmarshal(body, f); err != nil {
		return fmt.Errorf("reading what was half typed for %s: %w", kind, err)
	}
	if f.Thread = thread; thread != t.m.Thread {
		if !f.Offer {
			return nil
		}
		t.thread = thread
	}
	t.form = f
	return nil
}

// startForm begins a form, with what its command already said.
func (t *turn) startForm(kind string, given map[string]string, said string) error {
	if half := t.form; half != nil && !half.Offer {
		said = joined(cmp.Or(scripts()[half.Kind].left, formLeft), said)
	}
	t.form = &form{Kind: kind, Given: given, Thread: t.m.Thread}
	return t.askForm(said)
}

// offer asks a question that may be left alone.
func (t *turn) offer(kind string, given map[string]string) error {
	t.form = &form{Kind: kind, Given: given, Offer: true, Thread: t.thread}
	return t.askForm("")
}

// lapse ends an offer when something else is typed.
func (t *turn) lapse() error {
	err := t.tx.EndDialogue(t.m.Room, t.m.From, t.form.Thread)
	t.form = nil
	return err
}

// keepForm stores the form as it stands.
func (t *turn) keepForm() error {
	body, err := json.Marshal(t.form)
	if err != nil {
		return err
	}
	return t.tx.SetDialogue(t.m.Room, t.m.From, t.form.Thread, t.form.Kind, body)
}

// answerForm takes a message as the answer to the form's open question.
func (t *turn) answerForm() error {
	f := t.form
	switch {
	case sameWord(t.m.Text, "leave off"):
		if err := t.tx.EndDialogue(t.m.Room, t.m.From, t.form.Thread); err != nil {
			return err
		}
		t.reply(cmp.Or(scripts()[f.Kind].left, formLeft))
		return nil
	case sameWord(t.m.Text, "back"):
		if len(f.Order) == 0 {
			return t.complainForm(nothingBefore)
		}
		last := f.Order[len(f.Order)-1]
		f.Order = f.Order[:len(f.Order)-1]
		delete(f.Given, last)
		return t.askForm(formBack)
	}
	field, _, _, done, err := t.openField()
	if err != nil || done {
		return err
	}
	if len(field.choices) >= longList && sameWord(t.m.Text, "list") {
		return t.askForm("")
	}
	if other := t.toldOfOther(f.Given["mark"]); field.kind == flows.KindNote && !field.kit && other != "" {
		return t.complainForm(format(otherInForm, other, clip(t.m.Text, 60)))
	}
	value, err := t.formValue(field)
	if err != nil {
		wrong := sentence(err.Error())
		if _, more := firstWord(t.m.Text); more != "" { // what one sees, perhaps, of something else
			wrong = joined(wrong, t.faultOf(f.Given["mark"]))
		}
		return t.complainForm(wrong)
	}
	f.Given[field.id] = value
	f.Order = append(f.Order, field.id)
	if took := scripts()[f.Kind].took; took != nil {
		if err := took(t, f, field.id); err != nil {
			return err
		}
	}
	return t.askForm(f.Said)
}

// formValue is what a message says to a field: its photos where a photo is asked for, else its text.
func (t *turn) formValue(fd field) (string, error) {
	if fd.kind == flows.KindPhoto && len(t.m.Files) > 0 {
		return filesValue(t.m.Files)
	}
	text := strings.TrimSpace(t.m.Text)
	if text == "" && len(t.m.Files) > 0 && fd.photos {
		text = photoWord
	}
	if text == "" {
		return "", complaint(emptyForm)
	}
	return fd.read(text)
}

// filesValue is how a form keeps photos.
func filesValue(files []File) (string, error) {
	kept, err := json.Marshal(files)
	return string(kept), err
}

// openField is the form's first question without an answer.
func (t *turn) openField() (open field, position, of int, done bool, err error) {
	fields, err := scripts()[t.form.Kind].fields(t, t.form)
	if err != nil {
		return field{}, 0, 0, false, err
	}
	for n, fd := range fields {
		if _, given := t.form.Given[fd.id]; !given {
			return fd, n + 1, len(fields), false, nil
		}
	}
	return field{}, len(fields), len(fields), true, nil
}

// askForm asks the form's next question, or ends it.
func (t *turn) askForm(said string) error {
	fd, position, of, done, err := t.openField()
	if err != nil {
		return err
	}
	if done {
		if err := t.tx.EndDialogue(t.m.Room, t.m.From, t.form.Thread); err != nil {
			return err
		}
		ended := t.form
		t.form = nil
		return scripts()[ended.Kind].finish(t, ended)
	}
	if err := t.keepForm(); err != nil {
		return err
	}
	asks := fd.ask
	if of > 1 {
		asks = format(formPosition, position, of, fd.ask)
	}
	r := t.reply(joined(said, asks))
	r.Text += t.form.listed(fd)
	r.Ask = t.formAsk(fd, position, of)
	return nil
}

// longList is from how many choices on a list isn't put a second time.
const longList = 12

// listed are a question's choices with their letters; nothing where the sentence says what to type.
func (f *form) listed(fd field) string {
	switch {
	case fd.kind == flows.KindConfirm:
		return ""
	case f.Again && len(fd.choices) >= longList:
		return "\n" + format(listAbove, keySpan(len(fd.choices)), strings.ToLower(fd.choices[0].Label))
	}
	var b strings.Builder
	for n, c := range fd.choices {
		fmt.Fprintf(&b, "\n  %s  %s", key(n), c.Label)
	}
	return b.String()
}

// formAgain puts the form's open question once more.
func (t *turn) formAgain(said string) error {
	t.form.Again = true
	return t.askForm(said)
}

// formAsk tells a program what a form asks; nothing of an offer, whose answer nobody waits for.
func (t *turn) formAsk(fd field, position, of int) *Ask {
	if t.form.Offer {
		return nil
	}
	return &Ask{Section: t.form.Kind, Steps: []string{fd.id}, Kind: fd.kind, Choices: fd.choices, Required: true, Position: position, Of: of}
}

// complainForm says what was wrong; the question stays open.
func (t *turn) complainForm(text string) error {
	fd, position, of, done, err := t.openField()
	if err != nil || done {
		return err
	}
	r := t.reply(text)
	r.Refused = true
	r.Ask = t.formAsk(fd, position, of)
	return nil
}

// The ways in which fields are read.

func anyText(text string) (string, error) { return text, nil }

// notKnown is how a form's answer says that something isn't known.
const notKnown = "?"

// textOr reads words, or "?" for not known, which is kept empty.
func textOr(text string) (string, error) {
	if text == notKnown || sameWord(text, cantTellWord) || sameWord(text, "none") {
		return "", nil
	}
	return text, nil
}

// chooseFrom makes choices with letters, and reads a letter or a choice's own word.
func chooseFrom(pairs ...[2]string) ([]Choice, func(string) (string, error)) {
	choices := make([]Choice, len(pairs))
	for n, p := range pairs {
		choices[n] = Choice{Key: key(n), ID: p[0], Label: p[1]}
	}
	return choices, func(text string) (string, error) {
		text = strings.ToLower(strings.Trim(text, " ."))
		for _, c := range choices {
			if text == c.Key || text == strings.ToLower(c.ID) || text == strings.ToLower(c.Label) {
				return c.ID, nil
			}
		}
		return "", chooseHow(choices)
	}
}

// chooseHow says how one of the choices is made: of a long list by name too.
func chooseHow(choices []Choice) complaint {
	if len(choices) >= longList {
		return complaint(format(chooseByName, keySpan(len(choices)), strings.ToLower(choices[0].Label)))
	}
	return complaint(format(chooseLetter, keySpan(len(choices))))
}

// yesOrNo asks a question that is answered by one of the two words.
func yesOrNo(id, ask string) field {
	return field{id: id, ask: ask, kind: flows.KindConfirm, choices: []Choice{{Key: "yes", ID: "yes", Label: "yes"}, {Key: "no", ID: "no", Label: "no"}}, read: func(text string) (string, error) {
		for _, word := range []string{"yes", "no"} {
			if sameWord(strings.Trim(text, "."), word) {
				return word, nil
			}
		}
		return "", complaint(yesOrNoHow)
	}}
}

// confirmField asks for a yes to what was entered.
func confirmField(ask string) field {
	return field{id: "confirm", ask: ask, kind: flows.KindConfirm, choices: []Choice{{Key: "yes", ID: "yes", Label: "yes"}}, read: func(text string) (string, error) {
		if sameWord(strings.Trim(text, "."), "yes") {
			return "yes", nil
		}
		return "", complaint(confirmHow)
	}}
}
