package bot

import (
	"bytes"
	"context"
	"errors"
	"io"

	"becket/bot/evidence"
	"becket/store"
)

// How much of a store is packed within a conversation: what takes longer would keep others waiting for their answers.
const (
	packRecords = 500
	packItems   = 1000
	packBytes   = 20 << 20
)

// evidencePack gives the keeper the evidence pack.
func (t *turn) evidencePack(string) error {
	if kept, err := t.keptBack(); err != nil || kept {
		return err
	}
	if unsaid, err := t.sayUnaccounted(copyOpen); err != nil || unsaid != "" {
		if err == nil {
			t.refuse("%s", unsaid)
		}
		return err
	}
	items, err := t.tx.CountItems(t.m.Room)
	if err != nil {
		return err
	}
	records, err := t.tx.CountClosed(t.m.Room)
	if err != nil {
		return err
	}
	if items > packItems || records > packRecords {
		t.refuse(evidenceLarge, items, records, t.m.Room)
		return nil
	}
	var file bytes.Buffer
	switch err := t.writeEvidence(&limited{out: &file, left: packBytes}, nil); {
	case errors.Is(err, errTooLarge):
		t.refuse(evidenceHeavy, packBytes>>20, t.m.Room)
		return nil
	case err != nil:
		return err
	}
	kept, err := t.keep(evidenceName, "application/zip", file.Bytes())
	if err != nil {
		return err
	}
	head, err := headOf(t.tx)
	if err != nil {
		return err
	}
	t.reply(format(evidenceHere, items, records, head)).Files = []File{kept}
	return nil
}

// keptBack tells whether something that is measured now, or that the speaker is to look at a second time, would be read in the pack;
// it has said so.
func (t *turn) keptBack() (bool, error) {
	asked, err := t.tx.OpenRepeats(t.m.Room)
	if err != nil {
		return false, err
	}
	for _, r := range asked {
		if r.Who == t.m.From {
			t.refuse(repeatKept, r.Mark)
			return true, nil
		}
	}
	open, err := t.tx.OpenInspections(t.m.Room)
	if err != nil {
		return false, err
	}
	for _, row := range open {
		if i, err := t.sealed(row.Mark); err != nil {
			return false, err
		} else if i != nil {
			t.refuse(evidenceSealed, i.Mark, i.Inspector)
			return true, nil
		}
	}
	return false, nil
}

// Evidence writes a team's evidence pack. told hears how many of the items and records are in so far, and may be nil. It keeps no
// more in memory for more records.
func (b *Bot) Evidence(ctx context.Context, db *store.DB, room string, out io.Writer, told func(done, all int)) error {
	return db.View(ctx, func(tx *store.Tx) error {
		t, err := b.onBehalf(tx, room)
		if err != nil {
			return err
		}
		if unsaid, err := t.sayUnaccounted(copyOpen); err != nil {
			return err
		} else if unsaid != "" {
			return complaint(unsaid)
		}
		return t.writeEvidence(out, told)
	})
}

func (t *turn) writeEvidence(out io.Writer, told func(done, all int)) error {
	e := &evidenceOf{turn: t, told: told, scripts: map[string]*usedScript{}, people: map[string]bool{}}
	pack, err := e.pack()
	if err != nil {
		return err
	}
	return evidence.Write(out, pack, e.scriptFiles)
}

// errTooLarge ends a pack that grows beyond what a conversation carries.
var errTooLarge = errors.New("too large")

// limited passes on only so many bytes.
type limited struct {
	out  io.Writer
	left int
}

func (l *limited) Write(p []byte) (int, error) {
	if l.left -= len(p); l.left < 0 {
		return 0, errTooLarge
	}
	return l.out.Write(p)
}
