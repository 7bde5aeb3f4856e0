package bot

import (
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"becket/flows"
	"becket/prompts"
	"becket/store"
)

// guided is the yard with the guidance that comes with the program.
func guided(t *testing.T) *conversation {
	t.Helper()
	c := talk(t)
	g, err := prompts.Own()
	if err != nil {
		t.Fatal(err)
	}
	c.bot.guidance = g
	return c
}

// Who may sign is asked as the script has it, who may not has it explained; each may choose, and short words only where
// they may sign. What can be answered is the same in all lengths.
func TestWordsByWhoIsAsked(t *testing.T) {
	t.Parallel()
	c := guided(t)
	f := c.bot.library["cam-handle-descender"]
	step, _ := f.Step("look.cam")
	asked := flows.Question{Steps: []string{"look.cam"}, Ask: step.Check.Ask, Asks: []string{step.Check.Ask}, Clear: step.Check.Clear}
	for _, test := range []struct{ who, chosen, want string }{
		{"@ben", "", "usual"}, {"@ben", "short", "short"}, {"@ben", "explained", "explained"}, {"@ben", "usual", "usual"},
		{"@dee", "", "explained"}, {"@dee", "short", "usual"}, {"@dee", "usual", "usual"}, {"@dee", "explained", "explained"},
		{"@eve", "", "explained"}, // may sign no more
	} {
		c.view(func(tx *store.Tx) error {
			p, listed, err := tx.Person(c.room, test.who)
			p.Words = test.chosen
			speaker := &turn{bot: c.bot, tx: tx, m: Message{Room: c.room, From: test.who}, person: p, listed: listed, zone: time.UTC}
			q := speaker.phrased(f, asked)
			is := "none"
			switch {
			case q.Ask == step.Check.Ask:
				is = "usual"
			case strings.HasPrefix(q.Ask, step.Check.Ask+"\nTake the connector off"):
				is = "explained"
			case strings.HasPrefix(q.Ask, "Stripped and open"):
				is = "short"
			}
			if is != test.want || q.Asks[0] != q.Ask || q.Clear != asked.Clear || asked.Asks[0] != step.Check.Ask {
				t.Errorf("%s, words %q: asked %s, not %s: %q", test.who, test.chosen, is, test.want, q.Ask)
			}
			return err
		})
	}
}

// Whatever the length, the same is asked in the same order and the same is written down.
func TestWordsChangeNoRecord(t *testing.T) {
	t.Parallel()
	answers := finds{"look.cam": "groove", "feel.facing": "step"}
	var first []string
	for _, chosen := range []string{"short", "explained"} {
		c := guided(t)
		c.say("@ben", "", "words "+chosen)
		thread, v := c.inspect("@ben", "D-14", answers)
		i := c.open(thread)
		got := []string{v.String(), i.flow.Hash}
		for _, a := range i.answers {
			got = append(got, a.Step+" "+strings.Join(a.Findings, ","))
		}
		if first == nil {
			first = got
		}
		if diff := cmp.Diff(first, got); diff != "" {
			t.Errorf("words %s (-short +%s):\n%s", chosen, chosen, diff)
		}
	}
}

// Somebody's claim to be competent still waits after they have chosen their words, and the open question is asked anew.
func TestWordsLeaveAClaimOpen(t *testing.T) {
	t.Parallel()
	c := guided(t)
	c.say("@cal", "", "competent @cal for pulley until 30 June 2027: course in May")
	c.wantSaid(c.say("@cal", "", "words usual"), "usual words")
	c.wantSaid(c.say("@ana", "", "team"), "says to be competent for pulley")
	thread := c.begin("@dee", "D-14")
	c.until("@dee", thread, "look.cam", nil)
	c.wantSaid(c.say("@dee", thread, "words usual"), "even and smooth")
	c.wantAsked(thread, "look.cam")
	for _, text := range []string{"words", "words longer", "words short please"} {
		c.wantRefused(c.say("@ana", "", text), "Type words short")
	}
}

// Whoever has it explained isn't shown a line for several answers in its place: not in an inspection that was begun by somebody
// who may sign, and not in a round.
func TestExplainedIsAskedOneThingAtATime(t *testing.T) {
	t.Parallel()
	const line, why = "in one line", "Wipe it, tilt it against the light"
	c := guided(t)
	c.begin("@ben", "D-41")
	if h := c.say("@dee", "", "take over D-41"); strings.Contains(h.text(), line) {
		t.Errorf("taken over by a beginner: %s", h.text())
	}
	thread := c.roundOf("@fay", "D-14, D-60")
	item := c.inHand(thread)
	c.wantSaid(c.say("@fay", thread, "what now"), line)
	h := c.say("@fay", thread, "words explained")
	if strings.Contains(h.text(), line) {
		t.Errorf("in a round, explained: %s", h.text())
	}
	c.wantSaid(c.say("@fay", thread, item.state.Item.Serial), why)
}
