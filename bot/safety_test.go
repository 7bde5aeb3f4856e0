package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// The rules are those of the list of safety rules, by number; where none has a source beside it, it is common
// practice, no source. Rules from 9 on are in safety_10_test.go and safety_meanwhile_test.go.

// doubtful finds what may be a crack in the cam: quarantine.
const doubtful = "crack_doubt"

func TestSafety01_LeaveOffAndStartAgain(t *testing.T) {
	t.Parallel()
	attacks := map[string]func(c *conversation, thread string){
		"leave off":                 func(c *conversation, th string) { c.say("@ben", th, "leave off") },
		"leave off and start again": func(c *conversation, th string) { c.say("@ben", th, "leave off"); c.inspect("@ben", "D-14", nil) },
		"pause":                     func(c *conversation, th string) { c.say("@ben", th, "pause") },
		"pause and carry on, clear": func(c *conversation, th string) {
			c.say("@ben", th, "pause")
			c.say("@ben", th, "carry on")
			c.say("@ben", th, "clear because it was dirt")
		},
		"back": func(c *conversation, th string) { c.say("@ben", th, "back") },
		"back, clear with a reason": func(c *conversation, th string) {
			c.say("@ben", th, "back")
			c.say("@ben", th, "clear because it was dirt")
		},
		"put right with a reason": func(c *conversation, th string) { c.say("@ben", th, positionOfCam(c, th)+" clear because it was dirt") },
		"can't tell instead":      func(c *conversation, th string) { c.say("@ben", th, positionOfCam(c, th)+" can't tell, light gone") },
		"a milder finding": func(c *conversation, th string) {
			c.say("@ben", th, positionOfCam(c, th)+" groove because it was dirt")
		},
		"taken over and found clear": func(c *conversation, th string) {
			c.say("@ana", th, "take over")
			c.say("@ana", th, positionOfCam(c, th)+" clear because I see none")
		},
		"a long night": func(c *conversation, th string) {
			c.forward(15 * time.Hour)
			c.say("@ben", th, "clear")
			c.until("@ben", th, "look.cam", nil)
			c.say("@ben", th, "clear because it was dirt")
		},
		"the same retold in another thread": func(c *conversation, th string) { c.say("@ben", "", "wrong one D-14, it is D-41") },
		"imported again":                    func(c *conversation, th string) { _ = c.load(yard) },
	}
	for name, attack := range attacks {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ben", "D-14")
			c.until("@ben", thread, "look.cam", nil)
			id, _ := c.send(Message{From: "@ben", Thread: thread, Text: doubtful})
			c.view(func(tx *store.Tx) error {
				entries, err := tx.Caused(id)
				kinds := ""
				for _, e := range entries {
					kinds += e.Kind + " "
				}
				if !strings.Contains(kinds, "answer") || !strings.Contains(kinds, "hold") {
					t.Errorf("one message wrote %q; the answer and the hold belong together", kinds)
				}
				return err
			})
			attack(c, thread)
			c.wantHeld("D-14")
		})
	}

	t.Run("an edit", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		id, _ := c.send(Message{From: "@ben", Thread: thread, Text: doubtful})
		_, h := c.send(Message{From: "@ben", Thread: thread, Text: "clear", Replaces: id})
		c.wantRefused(h, "To take it back say why")
		c.send(Message{From: "@ben", Thread: thread, Text: "clear because it was dirt", Replaces: id})
		c.wantHeld("D-14")
		if v := c.open(thread).outcome().Worst(); v < flows.Quarantine {
			t.Errorf("edited away, the worst is %s", v)
		}
	})

	t.Run("taking back needs a reason, and leaves quarantine to the end", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		c.say("@ben", thread, "crack") // retire
		put := positionOfCam(c, thread)
		c.wantRefused(c.say("@ben", thread, put+" clear"), "To take it back say why")
		c.say("@ben", thread, put+" clear because it was a hair")
		c.until("@ben", thread, "", nil)
		if v := c.open(thread).outcome().Verdict; v != flows.Quarantine {
			t.Fatalf("a crack taken back comes out %s", v)
		}
		c.wantRefused(c.say("@ben", thread, "sign fit"), "nobody can go milder")
		c.say("@ben", thread, "sign quarantine")
		c.inspect("@ben", "D-14", nil)
		c.wantRefused(c.say("@ben", "", "release D-14 it was a hair on the cam"), "somebody else has to")
		c.wantHeld("D-14")
	})

	t.Run("what couldn't be told holds when it is left off", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		c.say("@ben", thread, "can't tell, light gone")
		c.say("@ben", thread, "leave off")
		c.wantHeld("D-14")
	})
}

// positionOfCam words the correction of what was said about the cam.
func positionOfCam(c *conversation, thread string) string {
	i := c.open(thread)
	q, _ := flows.At(flows.Plan(i.flow, i.state), "look.cam")
	return fmt.Sprintf("put right %d", q.Position)
}

func TestSafety02_Unknown(t *testing.T) {
	t.Parallel()
	c := talk(t)
	thread := c.begin("@ben", "D-14")
	for n := 0; ; n++ { // can't tell, of each required step in turn, is at least quarantine
		q, open := c.open(thread).next()
		if !open {
			break
		}
		if q.Required && q.Section != "close" && q.Kind != flows.KindPhoto {
			t.Run(strings.Join(q.Steps, " "), func(t *testing.T) {
				with := *c
				with.T = t
				err := with.db.Do(t.Context(), func(tx *store.Tx) error {
					m := Message{ID: "$u", Room: c.room, From: "@ben", Thread: thread, Text: "can't tell, it is stuck"}
					turn := &turn{bot: c.bot, tx: tx, m: m, zone: time.UTC, thread: thread}
					if _, err := turn.enter(); err != nil {
						return err
					}
					if err := turn.route(); err != nil {
						return err
					}
					row, _, err := tx.Inspection(thread)
					if err != nil {
						return err
					}
					i, err := c.bot.load(tx, row)
					if err != nil {
						return err
					}
					if v := i.outcome().Worst(); v < flows.Quarantine {
						t.Errorf("can't tell of %v is %s", q.Steps, v)
					}
					return errUndo
				})
				if err != errUndo {
					t.Fatal(err)
				}
			})
		}
		c.say("@ben", thread, finds{}.words(q))
	}

	t.Run("of one check among several", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "identity.marks", nil)
		q, _ := c.open(thread).next()
		letter := ""
		for n, o := range q.Options {
			if o.Check == "altered" {
				letter = key(n)
			}
		}
		if len(q.Steps) < 2 || letter == "" {
			t.Fatalf("this needs a group: %v", q.Steps)
		}
		c.say("@ben", thread, "can't tell "+letter+", paint over it")
		i := c.open(thread)
		if a, _ := i.state.Given("identity.altered"); !a.Unknown {
			t.Error("the one meant isn't unknown")
		}
		if a, _ := i.state.Given("identity.marks"); !a.Clear {
			t.Error("the other isn't clear")
		}
		if v := i.outcome().Worst(); v != flows.Quarantine {
			t.Errorf("it comes out %s", v)
		}
	})

	t.Run("unanswered is no verdict, and not for use once due", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", nil)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "measure.wear_pin", nil)
		if v := c.open(thread).outcome().Verdict; v != flows.Incomplete {
			t.Errorf("half an inspection is %s", v)
		}
		c.wantRefused(c.say("@ben", thread, "sign fit"), "Not yet")
		c.say("@ben", thread, "leave off")
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "Yes.")
		c.forward(366 * 24 * time.Hour)
		c.wantSaid(c.say("@dee", "", "can I use D-14"), "No. D-14 is not for use")
	})
}

func TestSafety03_NotForUseOrQuarantine(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.wantSaid(c.say("@dee", "", "can I use D-14"), "not for use until inspected: it has never been inspected")
	if len(c.status("D-14").holds) > 0 {
		t.Error("a new item is held; it is only not for use")
	}
	c.inspect("@ben", "D-14", finds{"papers.exposure": "dropped"})
	c.wantSaid(c.say("@dee", "", "can I use D-14"), "Yes.")
	c.forward(200 * 24 * time.Hour)
	c.wantSaid(c.say("@dee", "", "can I use D-14"), "not for use until inspected: it was due")
	if len(c.status("D-14").holds) > 0 {
		t.Error("an overdue item is held; it is only not for use")
	}
	c.inspect("@ben", "D-14", nil) // one person is enough
	c.wantSaid(c.say("@dee", "", "can I use D-14"), "Yes.")
	for _, finding := range []string{"arrest", "notice"} {
		t.Run(finding, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			if _, v := c.inspect("@ben", "D-41", finds{"papers.history": finding}); v != flows.Quarantine {
				t.Errorf("it is %s", v)
			}
			c.wantHeld("D-41")
		})
	}
}

func TestSafety04_TheWrongVoice(t *testing.T) {
	t.Parallel()
	setting := func(t *testing.T) (*conversation, string) {
		c := talk(t)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "look.cam", nil)
		return c, thread
	}
	t.Run("nods and silence", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		for _, nod := range []string{"", " ", "ok", "OK.", "👍", "👍🏽", "✅", "yes", "y", "fine", "good", "looks good", "same as last time", "as last time", "all clear", "checked", "done", "pass", "n/a", "doesn't apply", "not done", "fit", "sign fit", "1", "0"} {
			if h := c.say("@ben", thread, nod); !h.refused() {
				t.Errorf("%q was taken: %s", nod, h.text())
			}
			c.wantAsked(thread, "look.cam")
		}
	})
	t.Run("another person", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		for _, who := range []string{"@ana", "@dee", "@cal", "@zed"} {
			for _, text := range []string{"clear", "a", "D-14 clear", "back", "leave off", "pause", "sign fit", "put right 1 22-1180", "note all well"} {
				if h := c.say(who, thread, text); !h.refused() {
					t.Errorf("%s says %q, and it was taken: %s", who, text, h.text())
				}
			}
			c.say(who, "", "clear")
			c.wantAsked(thread, "look.cam")
			if i := c.open(thread); i.Inspector != "@ben" || i.State != store.Underway || len(i.notes) > 0 {
				t.Errorf("it is %s, by %s, with notes %v", i.State, i.Inspector, i.notes)
			}
		}
	})
	t.Run("another room", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		if err := c.load(strings.Replace(yard, `"!yard"`, `"!barn"`, 1)); err != nil {
			t.Fatal(err)
		}
		for _, room := range []string{"!barn", "!nowhere"} {
			c.send(Message{Room: room, From: "@ben", Thread: thread, Text: "clear"})
			c.send(Message{Room: room, From: "@ben", Text: "clear"})
		}
		c.wantAsked(thread, "look.cam")
	})
	t.Run("another thread, and one that is over", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		other := c.begin("@ben", "D-41")
		c.say("@ben", other, "leave off")
		c.wantRefused(c.say("@ben", other, "clear"), "finished")
		c.say("@ben", "$nosuch", "clear")
		c.wantAsked(thread, "look.cam")
	})
	t.Run("two open and none named", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		c.begin("@ben", "D-41")
		c.wantRefused(c.say("@ben", "", "clear"), "more than one open")
		c.wantAsked(thread, "look.cam")
		c.say("@ben", "", "D-14 clear")
		if !c.open(thread).state.Answered("look.cam") {
			t.Error("named, it should have been taken")
		}
	})
	t.Run("another's message edited", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		id, _ := c.send(Message{From: "@ben", Thread: thread, Text: "groove"})
		_, h := c.send(Message{From: "@ana", Thread: thread, Text: "clear", Replaces: id})
		c.wantRefused(h, "Nothing was written")
		if a, _ := c.open(thread).state.Given("look.cam"); a.Clear {
			t.Error("somebody else's edit was taken")
		}
	})
	t.Run("another's message edited after signing", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		id, _ := c.send(Message{From: "@ben", Thread: thread, Text: "clear"})
		c.until("@ben", thread, "", nil)
		c.say("@ben", thread, "sign "+c.open(thread).outcome().Verdict.String())
		_, h := c.send(Message{From: "@dee", Thread: thread, Text: "crack", Replaces: id})
		c.wantRefused(h, "Nothing was written")
		if i := c.open(thread); len(i.notes) > 0 {
			t.Errorf("somebody else's edit was added to the record: %v", i.notes)
		}
	})
	t.Run("the first inspector after it was taken over", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		id, _ := c.send(Message{From: "@ben", Thread: thread, Text: "groove"})
		c.say("@ana", thread, "take over")
		for _, m := range []Message{{Text: "clear"}, {Text: "clear because it was dirt", Replaces: id}, {Text: "back"}} {
			m.From, m.Thread = "@ben", thread
			if _, h := c.send(m); !h.refused() {
				t.Errorf("%q of who is no longer the inspector was taken", m.Text)
			}
		}
	})
	t.Run("a paused one", func(t *testing.T) {
		t.Parallel()
		c, thread := setting(t)
		c.say("@ben", thread, "pause")
		c.wantRefused(c.say("@ben", thread, "clear"), "paused")
		if c.open(thread).state.Answered("look.cam") {
			t.Error("an answer was taken in a pause")
		}
	})
}

func TestSafety05_NoLimit(t *testing.T) {
	t.Parallel()
	without := func(figures ...string) string {
		team := yard
		for _, f := range figures {
			at := strings.Index(team, f+":")
			end := at + strings.IndexAny(team[at:], ",}")
			team = team[:at] + strings.TrimLeft(strings.TrimPrefix(team[end:], ","), " ")
		}
		return team
	}
	for _, c := range []struct {
		name, team, mark, pin string
		want                  flows.Verdict
	}{
		{"no limit and nothing new to compare with", yard, "D-60", "8.131 8.136 8.133", flows.Quarantine},
		{"no limit, loss within the doubt of new", without("pin_min"), "D-14", "8.131 8.136 8.133", flows.Fit},
		{"no limit, loss just within the doubt of new", without("pin_min"), "D-14", "8.099 8.136 8.133", flows.Fit}, // 8.137 - 0.04 is 8.097; 99 % of 8.137, where watching begins, is 8.05563
		{"no limit, loss beyond the doubt", without("pin_min"), "D-14", "8.096 8.136 8.133", flows.Quarantine},
		{"a limit, and the same loss", yard, "D-14", "8.096 8.136 8.133", flows.Fit},
		{"a limit without a new value", without("pin_new"), "D-14", "8.131 8.136 8.133", flows.Fit},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			talk := talkIn(t, c.team, 1)
			_, v := talk.inspect("@ben", c.mark, finds{"measure.wear_pin": c.pin, "measure.cam_groove": "0.00 0.00 0.00"})
			if v != c.want {
				t.Errorf("it comes out %s; it should be %s", v, c.want)
			}
		})
	}
	t.Run("no limit is said, and asks the maker", func(t *testing.T) {
		t.Parallel()
		c := talkIn(t, without("pin_min"), 1)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "measure.wear_pin", nil)
		c.wantSaid(c.say("@ben", thread, "8.05 8.06 8.07"), "ask the maker")
		c.wantHeld("D-14")
	})
	t.Run("taking the limit away frees nothing", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", finds{"measure.wear_pin": "7.431 7.436 7.433"}) // limit 7.413, doubt 0.04
		c.wantHeld("D-14")
		if err := c.load(without("pin_min")); err != nil {
			t.Fatal(err)
		}
		c.wantHeld("D-14")
		c.inspect("@ben", "D-14", finds{"measure.wear_pin": "7.431 7.436 7.433"})
		c.wantRefused(c.say("@ana", "", "release D-14 1 the sheet has no limit any more"), "First a complete new inspection")
		c.wantHeld("D-14")
	})
}

func TestSafety06_CopiedReadings(t *testing.T) {
	t.Parallel()
	at := func(t *testing.T) (*conversation, string) {
		c := talk(t)
		c.inspect("@ben", "D-14", finds{"measure.wear_pin": "8.021 8.026 8.023"})
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "measure.wear_pin", nil)
		return c, thread
	}
	t.Run("all the same once more, then marked", func(t *testing.T) {
		t.Parallel()
		c, thread := at(t)
		c.wantSaid(c.say("@ben", thread, "8.021 8.026 8.023"), asideSame)
		c.wantAsked(thread, "measure.wear_pin")
		c.say("@ben", thread, "8.021 8.026 8.023")
		i, marked := c.open(thread), false
		for _, a := range i.answers {
			marked = marked || a.SetAside == flows.AgainSame
		}
		if !i.state.Answered("measure.wear_pin") || !marked {
			t.Error("the same again stands, with the first set aside in the record")
		}
	})
	t.Run("the same written otherwise", func(t *testing.T) {
		t.Parallel()
		c, thread := at(t)
		c.wantSaid(c.say("@ben", thread, "8,021 8.0260 8.023 mm"), asideSame)
	})
	t.Run("metal that grew", func(t *testing.T) {
		t.Parallel()
		c, thread := at(t)
		c.wantSaid(c.say("@ben", thread, "8.131 8.136 8.133"), asideGrown)
		c.say("@ben", thread, "8.131 8.136 8.133")
		if v := c.open(thread).outcome().Worst(); v != flows.Quarantine {
			t.Errorf("grown twice it is %s; it is unknown, so quarantine", v)
		}
	})
	t.Run("the worst, with the doubt against it", func(t *testing.T) {
		t.Parallel()
		for pin, want := range map[string]flows.Verdict{
			"7.480 7.500 7.490": flows.Watch,      // 7.480 - 0.04 is above 7.413
			"7.453 7.500 7.490": flows.Quarantine, // 7.453 - 0.04 is 7.413: equal counts as beyond
			"7.500 7.413 7.490": flows.Retire,     // the worst is at the limit
		} {
			c := talk(t) // never measured before, so that nothing can have grown
			thread := c.begin("@ben", "D-41")
			c.until("@ben", thread, "measure.wear_pin", nil)
			c.say("@ben", thread, pin)
			if i := c.open(thread); !i.state.Answered("measure.wear_pin") {
				c.say("@ben", thread, pin) // far apart: the second set counts
			}
			if v := c.open(thread).outcome().Worst(); v != want {
				t.Errorf("%s is %s; it should be %s", pin, v, want)
			}
		}
	})
	for _, wrong := range []string{"80.21 80.26 80.23", "0.802 0.803 0.801", "8021 8026 8023", "0.32 0.32 0.31", "0.316 in", "5/16", "8.02", "-8.02 8.02 8.02", "8.02 8.02 mmm", "eight"} {
		t.Run("implausible "+wrong, func(t *testing.T) {
			t.Parallel()
			c, thread := at(t)
			if h := c.say("@ben", thread, wrong); !h.refused() {
				t.Errorf("%q was taken: %s", wrong, h.text())
			}
			c.wantAsked(thread, "measure.wear_pin")
		})
	}
}

func TestSafety07_TwoHoldsOneRelease(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "quarantine D-41 rope creeps")
	c.say("@dee", "", "quarantine D-41 grit in the cam")
	c.inspect("@ben", "D-41", nil)
	c.wantRefused(c.say("@ana", "", "release D-41 cleaned and tried on two ropes"), "each is released by itself")
	c.wantRefused(c.say("@ana", "", "release D-41 3 cleaned and tried on two ropes"), "each is released by itself")
	c.wantSaid(c.say("@ana", "", "release D-41 1 cleaned and tried on two ropes"), "one hold released")
	c.wantHeld("D-41")
	c.wantSaid(c.say("@dee", "", "can I use D-41"), "grit in the cam")
	c.say("@ana", "", "release D-41 cleaned and tried on two ropes")
	c.wantSaid(c.say("@dee", "", "can I use D-41"), "Yes.")
}

func TestSafety08_ReleaseWithoutTheRope(t *testing.T) {
	t.Parallel()
	reported := func(t *testing.T) *conversation {
		c := talk(t)
		c.say("@ben", "", "quarantine D-14 rope creeps")
		return c
	}
	const written = "release D-14 cleaned and tried on two ropes"
	for name, refuse := range map[string]func(c *conversation) heard{
		"no inspection": func(c *conversation) heard { return c.say("@ana", "", written) },
		"an inspection before the hold": func(c *conversation) heard {
			c.inspect("@ana", "D-14", nil)
			c.say("@ben", "", "quarantine D-14 it creeps again")
			return c.say("@ana", "", "release D-14 2 cleaned and tried on two ropes")
		},
		"one begun before the hold": func(c *conversation) heard {
			thread := c.begin("@ana", "D-14")
			c.say("@ben", "", "quarantine D-14 the catch sticks too")
			c.until("@ana", thread, "", nil)
			c.say("@ana", thread, "sign fit")
			return c.say("@ana", "", "release D-14 2 cleaned and tried on two ropes")
		},
		"one that was left off": func(c *conversation) heard {
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "on-rope.hold", nil)
			c.say("@ana", thread, "leave off")
			return c.say("@ana", "", written)
		},
		"one still open": func(c *conversation) heard {
			thread := c.begin("@ana", "D-14")
			c.until("@ana", thread, "", nil)
			return c.say("@ana", "", written)
		},
		"one that found it still there": func(c *conversation) heard {
			c.inspect("@ana", "D-14", finds{"since." + c.question("D-14"): "same"})
			return c.say("@ana", "", written)
		},
		"one that couldn't tell, the rope left out": func(c *conversation) heard {
			c.inspect("@ana", "D-14", finds{"look.cam": "?, stuck"})
			return c.say("@ana", "", written)
		},
		"the only one who reported it": func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@ben", "", written) },
		"its holder":                   func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@fay", "", written) },
		"a member":                     func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@dee", "", written) },
		"a keeper who may not sign":    func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@cal", "", written) },
		"whose competence has run out": func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@eve", "", written) },
		"somebody not listed":          func(c *conversation) heard { c.inspect("@ana", "D-14", nil); return c.say("@zed", "", written) },
		"without a word why": func(c *conversation) heard {
			c.inspect("@ana", "D-14", nil)
			return c.say("@ana", "", "release D-14 ok")
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			c := reported(t)
			if h := refuse(c); !h.refused() {
				t.Errorf("it was released: %s", h.text())
			}
			if len(c.status("D-14").holds) == 0 {
				t.Error("it isn't held any more")
			}
		})
	}
	t.Run("all of it done", func(t *testing.T) {
		t.Parallel()
		c := reported(t)
		_, v := c.inspect("@ana", "D-14", nil)
		if v != flows.Fit {
			t.Fatalf("a complete clear inspection of a held item is %s: on rope belongs to it", v)
		}
		c.wantSaid(c.say("@ana", "", written), "one hold released")
	})
	t.Run("retired is the end", func(t *testing.T) {
		t.Parallel()
		c := talk(t)
		c.inspect("@ben", "D-14", finds{"look.cam": "crack"})
		c.wantRefused(c.say("@ana", "", written), "Retired is the end")
		c.wantRefused(c.say("@ana", "", "inspect D-14"), "retired")
	})
}

// question is the check that asks about an item's hold.
func (c *conversation) question(mark string) string {
	return fmt.Sprintf("%s%d", pastHold, c.status(mark).holds[0].N)
}
