package bot

import (
	"fmt"
	"time"
)

// hushFor is how far back it is counted what somebody sent for nothing.
const hushFor = time.Minute

// hush breaks a loop, as between Becket and another program: somebody who sends one message after the other that changes
// nothing is told so once in an hour, and then isn't answered until they slow down. A message that changes something, a
// fault reported above all, is always answered, and so is one that fills in a form.
func (t *turn) hush() error {
	if t.bot.hushAfter == 0 || t.form != nil {
		return nil
	}
	wrote, err := t.tx.Caused(t.m.ID)
	if err != nil || len(wrote) > 0 {
		return err
	}
	n, err := t.tx.SentForNothing(t.m.Room, t.m.From, t.tx.Now().Add(-hushFor))
	if err != nil || n < t.bot.hushAfter {
		return err
	}
	t.replies = nil
	t.refuse(hushed, t.m.From, n)
	// Under the same key it is said once.
	t.replies[0].Key = fmt.Sprintf("hushed/%s/%s/%d", t.m.Room, t.m.From, t.tx.Now().Unix()/3600)
	return nil
}
