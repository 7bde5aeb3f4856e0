// Package console holds the conversation on standard input and output: lines for people, or JSON objects for
// programs. It knows nothing of inspections.
package console

import (
	"bufio"
	"context"
	"crypto/rand"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"becket/bot"
	"becket/store"
)

// transport is the name under which messages of this console are received.
const transport = "console"

// Console is one conversation. As and Room stand in for what a line leaves out.
type Console struct {
	Bot      *bot.Bot
	DB       *store.DB
	Wording  *bot.Wording // nil: guidance leaves as it was written
	Clock    *Clock
	In       io.Reader
	Out      io.Writer
	JSON     bool
	Terminal bool // lines are edited and remembered
	As, Room string
	// Working is called as a message begins to be worked on, and what it gives when that is done; nil: nobody wants to know.
	Working func() (done func())
}

// Run talks until the input ends.
func (c *Console) Run(ctx context.Context) error {
	out := c.output()
	if err := errors.Join(c.DB.ClearCopies(), c.DB.RemoveUnwanted(ctx)); err != nil {
		return err
	}
	if err := c.takeWaiting(ctx); err != nil {
		return err
	}
	if err := c.remind(ctx); err != nil {
		return err
	}
	if err := c.deliver(ctx, out); err != nil {
		return err
	}
	if err := out.ready(); err != nil {
		return err
	}
	lines, err := c.input()
	if err != nil {
		return err
	}
	defer lines.close()
	for n := 1; ; n++ {
		line, err := lines.next()
		switch {
		case errors.Is(err, io.EOF):
			return nil
		case errors.Is(err, errTooLong):
			err = out.wrong(n, "This line is longer than 1 MiB. Send it in parts.")
		case err != nil:
			return fmt.Errorf("reading what was typed: %w", err)
		default:
			err = c.line(ctx, out, n, line)
		}
		if err != nil {
			return err
		}
	}
}

// line handles one line: a message, or the clock put forward.
func (c *Console) line(ctx context.Context, out output, n int, line string) error {
	if !c.JSON || !strings.HasPrefix(line, "{") {
		text, paths := sheetIn(line)
		return c.message(ctx, out, bot.Message{Text: text}, paths)
	}
	in, wrong := parseLine(line)
	switch {
	case wrong != "":
		return out.wrong(n, wrong)
	case in.Now != nil:
		return c.forward(ctx, out, n, *in.Now)
	}
	return c.message(ctx, out, in.Message, in.Paths)
}

// forward moves the clock and says what fell due meanwhile.
func (c *Console) forward(ctx context.Context, out output, n int, now time.Time) error {
	before := c.Clock.Now()
	if !c.Clock.Forward(now) {
		return out.wrong(n, "The clock moves forward only; it is "+before.Format(time.RFC3339)+" now.")
	}
	if err := c.remind(ctx); err != nil {
		return err
	}
	return c.deliver(ctx, out)
}

// remind has said what is due to be told by now.
func (c *Console) remind(ctx context.Context) error { return c.DB.Do(ctx, c.Bot.Remind) }

// message receives a message, has it taken, and writes what is answered.
func (c *Console) message(ctx context.Context, out output, m bot.Message, paths []string) error {
	c.complete(&m)
	for _, path := range paths {
		m.Files = append(m.Files, keepFile(ctx, c.DB, path))
	}
	body, err := json.Marshal(m)
	if err != nil {
		return fmt.Errorf("keeping a message: %w", err)
	}
	in := store.Incoming{ID: m.ID, Room: m.Room, Body: body}
	fresh, err := c.DB.Receive(ctx, transport, []store.Incoming{in}, "")
	if err != nil {
		return err
	}
	if !fresh[0] {
		return out.done(m.ID, "repeated")
	}
	refused, err := c.take(ctx, in)
	if err != nil {
		return err
	}
	if err := c.deliver(ctx, out); err != nil {
		return err
	}
	if refused {
		return out.done(m.ID, "refused")
	}
	return out.done(m.ID, "taken")
}

func (c *Console) complete(m *bot.Message) {
	if m.ID == "" {
		m.ID = "$" + rand.Text()
	}
	if m.From == "" {
		m.From = c.As
	}
	if m.Room == "" {
		m.Room = c.Room
	}
}

// take has one message taken. A failure of the store ends the program; a message that fails by itself is tried
// again, and then set aside.
func (c *Console) take(ctx context.Context, in store.Incoming) (refused bool, err error) {
	if c.Working != nil {
		defer c.Working()()
	}
	for {
		err = c.DB.Do(ctx, func(tx *store.Tx) error {
			if err := c.Bot.TakeStored(tx, in); err != nil {
				return err
			}
			state, _, err := tx.Incoming(in.ID)
			refused = state == store.StateRefused
			return err
		})
		var problem store.Problem
		if err == nil || errors.As(err, &problem) {
			return refused, err
		}
		aside, countErr := c.DB.Failed(ctx, in.ID)
		if countErr != nil {
			return false, countErr
		}
		if aside {
			fmt.Fprintf(os.Stderr, "becket: the message %s was set aside: %v\n", in.ID, err)
			return true, c.DB.Do(ctx, func(tx *store.Tx) error { return bot.SetAside(tx, in) })
		}
	}
}

// takeWaiting takes what was received before the program last ended.
func (c *Console) takeWaiting(ctx context.Context) error {
	var waiting []store.Incoming
	err := c.DB.View(ctx, func(tx *store.Tx) (err error) {
		waiting, err = tx.Waiting(transport)
		return err
	})
	if err != nil {
		return err
	}
	for _, in := range waiting {
		if _, err := c.take(ctx, in); err != nil {
			return err
		}
	}
	return nil
}

// batch is how many replies are written before they are marked as delivered.
const batch = 100

func (c *Console) deliver(ctx context.Context, out output) error {
	for {
		unsent, err := c.DB.Unsent(ctx, batch)
		if err != nil || len(unsent) == 0 {
			return err
		}
		numbers := make([]int64, len(unsent))
		for i, o := range unsent {
			if o, err = c.Wording.Out(ctx, c.DB, o); err != nil {
				return err
			}
			var r bot.Reply
			if err := json.Unmarshal(o.Body, &r); err != nil {
				return fmt.Errorf("reading a reply: %w", err)
			}
			files, err := c.show(r.Files)
			if err != nil {
				return err
			}
			if err := out.reply(r, o.Body, files); err != nil {
				return err
			}
			numbers[i] = o.N
		}
		if err := c.DB.Sent(ctx, numbers...); err != nil {
			return err
		}
	}
}

// maxLine is the longest line that is read.
const maxLine = 1 << 20

var errTooLong = errors.New("line too long")

// lineReader reads lines of any length and says which were too long.
type lineReader struct{ r *bufio.Reader }

func (l lineReader) next() (string, error) {
	var line []byte
	long := false
	for {
		part, err := l.r.ReadSlice('\n')
		if !long {
			line = append(line, part...)
		}
		if len(line) > maxLine+len("\r\n") {
			long, line = true, nil
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
			continue
		case long && (err == nil || errors.Is(err, io.EOF)):
			return "", errTooLong
		case errors.Is(err, io.EOF) && len(line) == 0:
			return "", io.EOF
		case err != nil && !errors.Is(err, io.EOF):
			return "", err
		}
		text := strings.TrimRight(string(line), "\r\n")
		if len(text) > maxLine {
			return "", errTooLong
		}
		return text, nil
	}
}

func (l lineReader) close() {}
