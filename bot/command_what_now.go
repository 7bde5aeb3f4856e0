package bot

import (
	"errors"

	"becket/store"
)

// whatNow are the ways of asking what is wanted. None of them is ever an answer.
func whatNow() []string {
	return []string{
		"what now", "now what", "and now", "what next", "whats next", "what's next", "what",
		"what do i do", "what do i do now", "what do i do next", "what should i do", "what should i do now", "what do i type", "what do i type now",
		"where am i", "where are we", "where was i", "where were we", "what was the question", "say that again", "say again",
	}
}

// askedAlone puts the view again that the speaker was asked for alone, or says that nothing is asked.
func (t *turn) askedAlone() error {
	waiting, err := t.tx.WaitFor(t.m.Room, t.m.From)
	if err != nil || len(waiting) > 0 {
		return errors.Join(err, t.nextOpinion())
	}
	t.say(nothingAsked)
	return nil
}

// askedNow asks again what the speaker is asked, or says that nothing is.
func (t *turn) askedNow(string) error {
	switch {
	case !t.listed:
		t.say(helpStranger)
	case t.form != nil:
		return t.formAgain(stillAsked)
	case t.private:
		return t.askedAlone()
	case t.here != nil && t.here.State != store.OnHold:
		return t.ask(t.here, format(stillAskedOf, t.here.Mark))
	case t.round != nil || len(t.several) > 1 || len(t.paused) > 0 || t.ended || t.others != nil || t.here != nil:
		if t.here != nil {
			t.paused = []string{t.here.Mark}
		}
		return t.idle()
	default:
		t.say(nothingAsked)
	}
	return nil
}
