package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
)

// mostTapped is how many letters a question may have for its answer to be tapped. Where only some could be, the eye
// would go to these.
const mostTapped = 6

// Taps are the words that answer the question by a tap as well as typed, in the order in which its text names them.
// There are none where the answer is more than a word out of a short list: a reading, a text, a photo, a signature.
func (a Ask) Taps() []string {
	if a.Inspection == "" || len(a.Choices) > mostTapped {
		return nil
	}
	var words []string
	for _, c := range a.Choices {
		words = append(words, c.Key)
	}
	switch a.Kind {
	case flows.KindChoice:
		return words
	case flows.KindCritical:
		return append(words, cantTellWord)
	case flows.KindChecks:
		return append(words, clearWord, cantTellWord)
	}
	return nil
}

// asking names this asking of a question: asked again after another answer it is a new one, so that a tap on the old
// one answers nothing.
func (i *inspection) asking(q flows.Question) string {
	return fmt.Sprintf("%d %s %s", len(i.answers), strings.Join(q.Steps, ","), i.ID)
}

// inspectionAsking is the inspection that an asking belongs to.
func inspectionAsking(asking string) string {
	_, rest, _ := strings.Cut(asking, " ")
	_, id, _ := strings.Cut(rest, " ")
	return id
}

// tap takes a tapped word as the answer to the question under which it stood, if that is the one now open.
func (t *turn) tap() error {
	asking, err := t.tx.QuestionOf(t.m.Answers)
	if err != nil {
		return err
	}
	row, found, err := t.tx.Inspection(inspectionAsking(asking))
	if err != nil {
		return err
	}
	if !found || row.Room != t.m.Room {
		t.refuse(tapLate)
		return nil
	}
	if err := t.place(row); err != nil {
		return err
	}
	if t.here == nil {
		return t.idle()
	}
	q, open := t.here.next()
	if !open || t.here.asking(q) != asking || !slices.Contains(askOf(t.here, q, q.Position, q.Of+1).Taps(), t.m.Text) {
		t.refuse(tapLate)
		return nil
	}
	return t.answer(t.here, t.m.Text)
}
