package bot

import (
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// taps sends a tap on a word under a reply.
func (c *conversation) taps(from string, under Reply, word string) heard {
	c.Helper()
	_, h := c.send(Message{From: from, Thread: under.Thread, Text: word, Answers: under.Key})
	return h
}

// critical opens an inspection of D-41 by @ben and leads it to a critical check; it gives the reply that asks it.
func (c *conversation) critical() (thread string, asked Reply) {
	c.Helper()
	thread = c.begin("@ben", "D-41")
	h := c.until("@ben", thread, "look.cam", nil)
	return thread, h[len(h)-1]
}

// TestSafety04_Taps: a reaction counts only on the question now open, from the inspector, and only what was put there.
func TestSafety04_Taps(t *testing.T) {
	t.Run("the question now open", func(t *testing.T) {
		c := talk(t)
		thread, asked := c.critical()
		before := len(c.open(thread).answers)
		h := c.taps("@ben", asked, "a")
		if h.refused() || len(c.open(thread).answers) != before+1 {
			t.Errorf("it wasn't taken: %s", h.text())
		}
	})
	for name, tap := range map[string]func(c *conversation, thread string, asked Reply) heard{
		"a question answered since": func(c *conversation, thread string, asked Reply) heard {
			c.say("@ben", thread, "a")
			return c.taps("@ben", asked, "a")
		},
		"the same question, asked again": func(c *conversation, thread string, asked Reply) heard {
			c.say("@ben", thread, "a")
			c.say("@ben", thread, "back")
			return c.taps("@ben", asked, "a")
		},
		"somebody else's question": func(c *conversation, _ string, asked Reply) heard { return c.taps("@ana", asked, "a") },
		"a stranger's tap":         func(c *conversation, _ string, asked Reply) heard { return c.taps("@zed", asked, "a") },
		"agreement":                func(c *conversation, _ string, asked Reply) heard { return c.taps("@ben", asked, "👍") },
		"a word that isn't there":  func(c *conversation, _ string, asked Reply) heard { return c.taps("@ben", asked, "clear") },
		"a command":                func(c *conversation, _ string, asked Reply) heard { return c.taps("@ben", asked, "leave off") },
		"a reply that asked nothing": func(c *conversation, _ string, _ Reply) heard {
			return c.taps("@ben", c.say("@ben", "", "due")[0], "a")
		},
		"a reply of nobody's": func(c *conversation, thread string, _ Reply) heard {
			return c.taps("@ben", Reply{Key: "$none/1", Thread: thread}, "a")
		},
		"in another room": func(c *conversation, _ string, asked Reply) heard {
			if err := c.load(strings.Replace(yard, "!yard", "!shed", 1)); err != nil {
				c.Fatal(err)
			}
			_, h := c.send(Message{From: "@ben", Room: "!shed", Text: "a", Answers: asked.Key})
			return h
		},
		"after a pause": func(c *conversation, thread string, asked Reply) heard {
			c.say("@ben", thread, "pause")
			return c.taps("@ben", asked, "a")
		},
		"after it was taken over": func(c *conversation, thread string, asked Reply) heard {
			c.say("@ana", thread, "take over")
			return c.taps("@ben", asked, "a")
		},
	} {
		t.Run(name, func(t *testing.T) {
			c := talk(t)
			thread, asked := c.critical()
			standing := func() (n int) {
				for _, a := range c.open(thread).answers {
					if !a.Reopen {
						n++
					}
				}
				return n
			}
			c.say("@ben", thread, "note so that something stands before it")
			want := standing()
			if strings.HasPrefix(name, "a question answered") || strings.HasPrefix(name, "the same question") {
				want++ // its own typed answer
			}
			h := tap(c, thread, asked)
			if !h.refused() || standing() != want {
				t.Errorf("%d answers, wanted %d; said: %s", standing(), want, h.text())
			}
		})
	}
}

func TestTapAfterALongPauseIsAskedAgain(t *testing.T) {
	c := talk(t)
	thread, asked := c.critical()
	c.forward(13 * time.Hour)
	c.wantSaid(c.taps("@ben", asked, "a"), "wasn't taken")
	if c.open(thread).state.Answered("look.cam") {
		t.Error("it was taken")
	}
}

// TestTapAnswersAfterARefusal: a refusal asks the same question once more, so what stands under it still answers it.
func TestTapAnswersAfterARefusal(t *testing.T) {
	c := talk(t)
	thread, asked := c.critical()
	c.say("@ben", thread, "ok")
	c.say("@ben", thread, "note it is wet")
	if h := c.taps("@ben", asked, "a"); h.refused() {
		t.Errorf("refused: %s", h.text())
	}
}

// TestWhatCanBeTappedCanBeTyped walks a whole inspection: each word offered is in the question's text, is taken when it is
// typed, and a reading, a text, a photo or a signature is never offered.
func TestWhatCanBeTappedCanBeTyped(t *testing.T) {
	c := talk(t)
	thread := c.begin("@ben", "D-41")
	seen := map[flows.Kind]bool{}
	for {
		last := c.every[len(c.every)-1]
		taps := last.Ask.Taps()
		for _, word := range taps {
			seen[last.Ask.Kind] = true
			shown := strings.Contains(last.Text, "\n  "+word+"  ") || strings.Contains(last.Text, `"`+word+`"`)
			if !shown {
				t.Errorf("%q isn't in the text: %s", word, last.Text)
			}
			typed := c.try(Message{From: "@ben", Thread: thread, Text: word})
			tapped := c.try(Message{From: "@ben", Thread: thread, Text: word, Answers: last.Key})
			if typed.refused() || typed.text() != tapped.text() {
				t.Errorf("%q typed: %q; tapped: %q", word, typed.text(), tapped.text())
			}
		}
		if kinds := []flows.Kind{flows.KindChecks, flows.KindCritical, flows.KindChoice}; len(taps) > 0 != (slices.Contains(kinds, last.Ask.Kind) && len(last.Ask.Choices) <= mostTapped) {
			t.Errorf("offered for %s: %v", last.Ask.Kind, taps)
		}
		q, open := c.open(thread).next()
		if !open {
			break
		}
		c.say("@ben", thread, finds(nil).words(q))
	}
	if !seen[flows.KindChecks] || !seen[flows.KindCritical] {
		t.Errorf("offered only for %v", seen)
	}
	var none string
	c.view(func(tx *store.Tx) (err error) { none, err = tx.QuestionOf("$none/1"); return err })
	if none != "" {
		t.Errorf("a reply that was never sent asked %q", none)
	}
}
