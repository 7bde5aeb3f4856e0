package bot

import (
	"slices"
	"strings"
	"testing"

	"becket/flows"
	"becket/store"
)

// repeated is a round of connectors by @ben of which @ana is asked to repeat some, with what was found in each.
func repeated(t *testing.T, found map[string]finds) (*conversation, []store.Repeat) {
	c := talkIn(t, tin(12), 3)
	c.wantSaid(c.say("@ana", "", "repeat 1 in 2"), "one in 2")
	thread := c.roundOf("@ben", "store")
	for range 12 {
		c.answerItem("@ben", thread, found[c.inHand(thread).Mark])
	}
	c.say("@ben", "", "sign round fit")
	c.say("@ben", "", "sign round watch")
	var asked []store.Repeat
	c.view(func(tx *store.Tx) (err error) {
		asked, err = tx.OpenRepeats(c.room)
		return err
	})
	if len(asked) < 2 {
		t.Fatalf("of twelve, %d are drawn", len(asked))
	}
	return c, asked
}

// Attention rule 17: some of what is signed in a round is asked of somebody else, who may sign and had no part in it.
func TestAttention17_SomeAreAskedAgain(t *testing.T) {
	t.Parallel()
	c, asked := repeated(t, nil)
	for _, r := range asked {
		if r.Who != "@ana" { // the only other who may sign; @eve's competence ends that day, and @dee has none
			if r.Who != "@eve" {
				t.Errorf("%s is asked of %s", r.Mark, r.Who)
			}
			c.say("@ana", "", "repeat "+r.Mark+" @ana")
		}
		c.wantRefused(c.say("@ben", "", "repeat "+r.Mark), "first look")
		c.wantRefused(c.say("@dee", "", "repeat "+r.Mark), "isn't listed as competent")
		for _, who := range []string{"@ben", "@dee"} {
			if h := c.say("@ana", "", "repeat "+r.Mark+" "+who); !h.refused() {
				t.Errorf("it was given to %s: %s", who, h.text())
			}
		}
	}
	told := slices.ContainsFunc(c.every, func(r Reply) bool { return r.Room == "@ana" && strings.Contains(r.Text, "second look") })
	if !told {
		t.Error("nobody was told")
	}
	c.wantRefused(c.say("@ana", "", "repeat 1 in 1"), "from 2 to 100")
	c.wantRefused(c.say("@ben", "", "repeat off"), "may not")
	c.wantSaid(c.say("@ana", "", "repeat off"), "Nothing is inspected twice")
}

// Attention rule 11: whatever the first found, the second person's messages are the same to the byte.
func TestAttention11_TheSecondIsBlind(t *testing.T) {
	t.Parallel()
	_, drawn := repeated(t, nil)
	mark := drawn[0].Mark
	var heardBefore []string
	for n, a := range []finds{nil, {"feel.felt_pins": "stain"}, {"look.body_surface": "rust"}} {
		c, asked := repeated(t, map[string]finds{mark: a})
		for _, r := range asked {
			if r.Mark == mark && r.Who != "@ana" {
				c.say("@ana", "", "repeat "+mark+" @ana")
			}
		}
		var heard []string
		for _, look := range []string{"history ", "why ", "can I use ", "wear ", "find ", "papers ", "life ", "repeat "} {
			heard = append(heard, c.say("@ana", "", look+mark).text())
		}
		thread := c.every[len(c.every)-1].Thread
		heard = append(heard, c.say("@ana", "", "handover").text(), c.say("@dee", "", "find "+mark).text())
		for range 20 {
			i := c.open(thread)
			q, open := i.next()
			if !open {
				break
			}
			heard = append(heard, c.say("@ana", thread, finds{}.words(q)).text(), c.say("@ana", "", "history "+mark).text(), c.say("@dee", "", "history "+mark).text())
		}
		if n == 0 {
			heardBefore = heard
		} else if !slices.Equal(heard, heardBefore) {
			for k := range heard {
				if k >= len(heardBefore) || heard[k] != heardBefore[k] {
					t.Fatalf("first found %v: %q; first found nothing: %q", a, heard[k], heardBefore[min(k, len(heardBefore)-1)])
				}
			}
		}
	}
}

// Attention rule 11: how a round stands and ends reads the same to the byte in the team's room whatever usable came out, since
// somebody there may be asked for a second look. Whoever went through it is told alone.
func TestAttention11_ARoundKeepsWhatIsWatched(t *testing.T) {
	t.Parallel()
	var heardBefore []string
	for n, found := range []finds{nil, {"feel.felt_pins": "stain"}} {
		c := talkIn(t, tin(3), 3)
		thread := c.roundOf("@ben", "store")
		var read, alone []string
		hear := func(h heard) {
			for _, r := range h {
				if r.Room == c.room {
					read = append(read, r.Text)
				} else {
					alone = append(alone, r.Room+": "+r.Text)
				}
			}
		}
		mark := c.inHand(thread).Mark
		_, last := c.answerItem("@ben", thread, found)
		for _, line := range strings.Split(last.text(), "\n") {
			if said := strings.ToUpper(line); strings.Contains(said, mark) && (strings.Contains(said, "WATCH") || strings.Contains(said, "FIT")) {
				t.Errorf("the room reads: %s", line)
			}
		}
		hear(c.say("@ben", "", "round"))
		c.answerItem("@ben", thread, nil)
		_, last = c.answerItem("@ben", thread, nil)
		hear(last)
		if told := strings.Join(alone, "\n"); n == 1 && (!strings.Contains(told, mark+": WATCH") || strings.Contains(told, "@ana: ")) {
			t.Errorf("alone is said: %s", told)
		}
		if n == 0 {
			heardBefore = read
		} else if !slices.Equal(read, heardBefore) {
			t.Errorf("watched: %q; fit: %q", read, heardBefore)
		}
	}
}

// The stricter of two looks stands, and both are kept as a pair.
func TestTheStricterOfTwoLooksStands(t *testing.T) {
	t.Parallel()
	_, drawn := repeated(t, nil)
	mark := drawn[0].Mark
	watch := finds{"feel.felt_pins": "stain"}
	for _, both := range []struct {
		name          string
		first, second finds
		want          flows.Verdict
		held          bool
	}{
		{"both fit", nil, nil, flows.Fit, false},
		{"first watch", watch, nil, flows.Watch, false},
		{"second watch", nil, watch, flows.Watch, false},
		{"second holds", watch, finds{"function.gate": "slow"}, flows.Quarantine, true},
	} {
		t.Run(both.name, func(t *testing.T) {
			t.Parallel()
			c, asked := repeated(t, map[string]finds{mark: both.first})
			for _, r := range asked {
				if r.Mark == mark && r.Who != "@ana" {
					c.say("@ana", "", "repeat "+mark+" @ana")
				}
			}
			c.forward(3 * 24 * 3600e9)
			c.say("@ana", "", "repeat "+mark)
			thread := c.every[len(c.every)-1].Thread
			c.until("@ana", thread, "", both.second)
			v := c.open(thread).outcome().Verdict
			c.wantSaid(c.say("@ana", thread, "sign "+v.String()), "first look, by @ben")
			s := c.status(mark)
			if s.last.Verdict != both.want || (len(s.holds) > 0) != both.held {
				t.Errorf("it is %s with %d holds", s.last.Verdict, len(s.holds))
			}
			if watched := strings.Contains(s.sentence(c.day()), "watched"); watched != (both.want == flows.Watch) {
				t.Errorf("it is said to be: %s", s.sentence(c.day()))
			}
			if both.want == flows.Watch { // and the next inspection asks about it, whoever saw it
				i := c.open(c.begin("@ben", mark))
				if !slices.ContainsFunc(i.state.Past, func(p flows.Past) bool { return strings.Contains(p.Text, "stain") }) {
					t.Errorf("the next one isn't asked about the stain: %v", i.state.Past)
				}
			}
			c.view(func(tx *store.Tx) error {
				pairs, err := tx.RepeatPairs(c.room, "")
				if err == nil && (len(pairs) != 1 || pairs[0].First.Inspector != "@ben" || pairs[0].Second.Inspector != "@ana") {
					t.Errorf("the pairs are %v", pairs)
				}
				return err
			})
			c.wantRefused(c.say("@ana", "", "repeat "+mark), "No second look")
		})
	}
}
