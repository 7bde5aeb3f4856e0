package bot

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestLargeStoreIsSaidShortAndWhole: of 400 items with 60 in quarantine the digest fits a phone's screen or two, and the
// handover leaves none out.
func TestLargeStoreIsSaidShortAndWhole(t *testing.T) {
	t.Parallel()
	var team strings.Builder
	team.WriteString("team: {room: \"!yard\", name: Yard (invented), zone: UTC}\npeople: [{id: \"@cal\", roles: [keeper]}, {id: \"@dee\"}]\nitems:\n")
	for n := range 400 {
		fmt.Fprintf(&team, "- {mark: K-%03d, serial: S%03d, flow: connector, maker: Nobody, model: Wren, made: 2022-03}\n", n, n)
	}
	c := talkIn(t, team.String(), 1)
	for n := range 60 {
		c.say("@dee", "", fmt.Sprintf("quarantine K-%03d sleeve cracked", n))
	}
	c.say("@cal", "", "digest daily 07:30 UTC")
	c.remind(c.bot)
	c.forward(22 * time.Hour)
	digest := c.remind(c.bot)
	if n := len([]rune(digest.text())); len(digest) != 1 || n > 900 {
		t.Errorf("the digest has %d messages and %d characters", len(digest), n)
	}
	for _, words := range []string{"In quarantine: 60.", "and 55 more: due", "Never inspected, so not for use: 340, about 680 minutes (connector 340).", "and 332 more: due"} {
		c.wantSaid(digest, words)
	}
	h := c.say("@dee", "", "handover")
	if len(h) < 2 {
		t.Errorf("the handover is one message of %d characters", len(h.text()))
	}
	for _, r := range h {
		if n := len([]rune(r.Text)); n > handoverLength {
			t.Errorf("a message of the handover has %d characters", n)
		}
	}
	for n := range 400 {
		if mark := fmt.Sprintf("K-%03d", n); strings.Count(h.text(), mark) != 1 {
			t.Errorf("the handover names %s %d times", mark, strings.Count(h.text(), mark))
		}
	}
}
