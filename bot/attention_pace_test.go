package bot

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
)

// Rules 6, 7 and 15 of the list about the inspector's attention: how the answers come. The others are in
// attention_test.go.

// tail is the chance of so many or more among n, each with the chance p: the sum of C(n,k) p^k (1-p)^(n-k).
func tail(least, n int, p float64) (sum float64) {
	for k := least; k <= n; k++ {
		lgN, _ := math.Lgamma(float64(n + 1))
		lgK, _ := math.Lgamma(float64(k + 1))
		lgR, _ := math.Lgamma(float64(n - k + 1))
		sum += math.Exp(lgN - lgK - lgR + float64(k)*math.Log(p) + float64(n-k)*math.Log(1-p))
	}
	return sum
}

func TestAttention06_EndDigits(t *testing.T) {
	t.Parallel()
	for _, mark := range []struct {
		n, zeros int
		chance   float64 // one end digit in ten is 0; binomial
	}{{20, 7, .0024}, {30, 8, .0078}, {50, 11, .0094}} {
		if got := tail(mark.zeros, mark.n, .1); math.Abs(got-mark.chance) > .00005 {
			t.Errorf("%d or more zeros among %d have the chance %.5f", mark.zeros, mark.n, got)
		}
		if got := tail(mark.zeros-1, mark.n, .1); got < .01 {
			t.Errorf("%d zeros among %d are rarer than one in a hundred already (%.5f)", mark.zeros-1, mark.n, got)
		}
		if zeros, all := roundedAt(spreadOut(mark.n, mark.zeros)); all != mark.n || zeros != mark.zeros {
			t.Errorf("%d zeros of %d were noticed as %d of %d", mark.zeros, mark.n, zeros, all)
		}
		// one below, and spread so that the shorter looks find too few as well
		if zeros, all := roundedAt(spreadOut(mark.n, mark.zeros-1)); all != 0 {
			t.Errorf("%d zeros of %d were noticed: %d of %d", mark.zeros-1, mark.n, zeros, all)
		}
	}
	if _, all := roundedAt(strings.Repeat("0", 19)); all != 0 {
		t.Error("fewer than 20 readings say nothing")
	}
	for _, zeros := range []int{6, 7} {
		t.Run(fmt.Sprint(zeros, " of 20"), func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			thread := c.begin("@ben", "D-14")
			c.until("@ben", thread, "measure.cam_groove", nil)
			// 20 readings of the pin: the first two sets are three each of the groove and so on, by correction
			left := zeros
			digit := func() string {
				if left > 0 {
					left--
					return "0"
				}
				return "3"
			}
			for n := 0; n < 21; n += 3 {
				var set []string
				for range min(3, 20-n) {
					set = append(set, "0.04"+digit())
				}
				for len(set) < 3 {
					set = append(set, "0") // no groove is read, not rounded
				}
				text := strings.Join(set, " ")
				if n > 0 {
					i := c.open(thread)
					q, _ := flows.At(flows.Plan(i.flow, i.state), "measure.cam_groove")
					text = fmt.Sprintf("put right %d %s", q.Position, text)
				}
				if h := c.say("@ben", thread, text); h.refused() {
					t.Fatalf("%q: %s", text, h.text())
				}
			}
			told := map[string]int{}
			for _, r := range c.every {
				if strings.Contains(r.Text, "end in 0") {
					told[r.To]++
					if r.Room != r.To {
						t.Errorf("it was said in %s", r.Room)
					}
				}
			}
			want := map[string]int{}
			if zeros == 7 {
				want = map[string]int{"@ana": 1, "@cal": 1} // the keepers, once
			}
			if fmt.Sprint(told) != fmt.Sprint(want) {
				t.Errorf("told were %v, and should be %v", told, want)
			}
		})
	}
}

// spreadOut spaces zeros evenly among digits.
func spreadOut(n, zeros int) string {
	digits := []byte(strings.Repeat("7", n))
	for k := range zeros {
		digits[k*n/zeros] = '0'
	}
	return string(digits)
}

// at sends an answer with the sender's own clock.
func (c *conversation) at(thread string, at time.Time, f finds) heard {
	c.Helper()
	q, _ := c.open(thread).next()
	_, h := c.send(Message{From: "@ben", Thread: thread, Text: f.words(q), At: at})
	return h
}

func TestAttention07_Pace(t *testing.T) {
	t.Parallel()
	begin := func(t *testing.T) (*conversation, string, time.Time) {
		c := talk(t)
		at := c.now
		thread, _ := c.send(Message{From: "@ben", Text: "inspect D-14", At: at})
		at = at.Add(time.Minute)
		c.at(thread, at, nil) // the serial
		return c, thread, at
	}
	t.Run("kindly at first", func(t *testing.T) {
		t.Parallel()
		c, thread, at := begin(t)
		h := c.at(thread, at.Add(time.Second), nil)
		c.wantSaid(h, quickOnce)
		if h.refused() || !slices.ContainsFunc(c.open(thread).answers, func(a givenAnswer) bool { return a.Quick }) {
			t.Error("it is written down, with the mark that it was quick")
		}
	})
	t.Run("two seconds a check are enough", func(t *testing.T) {
		t.Parallel()
		c, thread, at := begin(t)
		q, _ := c.open(thread).next()
		if h := c.at(thread, at.Add(time.Duration(len(q.Steps))*2*time.Second), nil); strings.Contains(h.text(), "faster") {
			t.Errorf("said was %s", h.text())
		}
	})
	t.Run("the same question again and again", func(t *testing.T) {
		t.Parallel()
		c, thread, at := begin(t)
		for range 8 { // as fast as can be: it never gets past the section
			at = at.Add(time.Second)
			c.at(thread, at, nil)
		}
		i := c.open(thread)
		if q, _ := i.next(); q.Section == "measure" || q.Section == "function" {
			t.Errorf("rushing, one got as far as %v", q.Steps)
		}
	})
	t.Run("a burst after being offline", func(t *testing.T) {
		t.Parallel()
		c, thread, at := begin(t)
		for range 6 { // sent all at once, but said a minute apart
			at = at.Add(time.Minute)
			if h := c.at(thread, at, nil); strings.Contains(h.text(), "faster") {
				t.Errorf("said was %s", h.text())
			}
		}
	})
	t.Run("without a clock, or with one that runs back", func(t *testing.T) {
		t.Parallel()
		c, thread, at := begin(t)
		for _, sent := range []time.Time{{}, at.Add(-time.Hour)} {
			if h := c.at(thread, sent, nil); strings.Contains(h.text(), "faster") {
				t.Errorf("said was %s", h.text())
			}
		}
	})
	for _, section := range []string{"since", "look", "close"} {
		t.Run("twice in "+section, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			c.lines("@dee", "", "quarantine D-14 rope creeps", "quarantine D-14 grit in the cam", "quarantine D-14 handle loose")
			found := finds{"look.path": "groove", "feel.facing": "step"}
			thread := c.begin("@ben", "D-14")
			at := c.now
			for range 60 { // slowly up to this section
				if q, open := c.open(thread).next(); !open || q.Section == section {
					break
				}
				at = at.Add(time.Hour)
				c.at(thread, at, found)
			}
			var h heard
			answered := 0
			for range 3 {
				if q, _ := c.open(thread).next(); q.Section != section {
					break
				}
				at = at.Add(time.Second)
				h = c.at(thread, at, found)
				answered++
				if strings.Contains(h.text(), quickTwice) {
					break
				}
			}
			if answered < 2 {
				t.Fatalf("this needs a section with two questions; here it was %d", answered)
			}
			c.wantSaid(h, quickTwice)
			i := c.open(thread)
			for _, q := range flows.Plan(i.flow, i.state) {
				if q.Section == section && i.state.Answered(q.Steps[0]) {
					t.Errorf("%v isn't asked again", q.Steps)
				}
			}
		})
	}
}

func TestAttention15_ARestAtThirtyMinutes(t *testing.T) {
	t.Parallel()
	offers := func(t *testing.T, step time.Duration, burst bool) (offered []int) {
		c := talk(t)
		minutes := 0
		thread := c.begin("@ben", "D-14")
		for n := range 60 {
			q, open := c.open(thread).next()
			if !open {
				return offered
			}
			c.forward(step)
			minutes += int(step.Minutes())
			m := Message{From: "@ben", Thread: thread, Text: finds{}.words(q)}
			if burst { // said 5 minutes apart, and received all at once
				m.At = c.now.Add(time.Duration(n-60) * 5 * time.Minute)
			}
			if _, h := c.send(m); strings.Contains(h.text(), "A short rest now") {
				offered = append(offered, minutes)
			}
		}
		t.Fatal("no end to the inspection")
		return nil
	}
	t.Run("every half hour", func(t *testing.T) {
		t.Parallel()
		// an answer each 6 minutes; the first begins the spell, which is 30 minutes old at the sixth, 60 at the eleventh
		if got := offers(t, 6*time.Minute, false); len(got) < 2 || got[0] != 36 || got[1] != 66 {
			t.Errorf("a rest was offered at %v minutes", got)
		}
	})
	t.Run("not to who rests by himself", func(t *testing.T) {
		t.Parallel()
		if got := offers(t, 11*time.Minute, false); len(got) > 0 {
			t.Errorf("a rest was offered at %v minutes", got)
		}
	})
	t.Run("not for a burst", func(t *testing.T) {
		t.Parallel()
		if got := offers(t, 0, true); len(got) > 0 {
			t.Errorf("a rest was offered at %v minutes", got)
		}
	})
}
