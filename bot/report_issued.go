package bot

import (
	"context"
	"errors"

	"becket/store"
)

// IssuedReport finds the document in which the report of an item's last thorough examination was issued, and says of which day it is and
// whether one of today would say the same. Where none was issued the error says so, and what to type in the room: a report has
// whoever asks for it as its maker, so that none is issued here.
func (b *Bot) IssuedReport(ctx context.Context, db *store.DB, room, mark string) (document File, said string, err error) {
	err = db.View(ctx, func(tx *store.Tx) error {
		t, err := b.onBehalf(tx, room)
		if err != nil {
			return err
		}
		r, err := t.issuedReport(mark)
		if err != nil {
			return err
		}
		document = documentOf(format(reportFile, r.item.Mark, r.data.Record), r.last.Hash, r.last.Size)
		said = format(reportOf, r.item.Mark, r.last.Day.Words())
		if r.last.Together {
			said = joined(said, reportTogether)
		}
		if !r.stands() {
			said = joined(said, format(reportChanged, r.item.Mark))
		}
		return nil
	})
	return document, said, err
}

func (t *turn) issuedReport(mark string) (toReport, error) {
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil {
		return toReport{}, err
	}
	if !found {
		near, err := t.nearest(mark)
		return toReport{}, errors.Join(err, complaint(format(noSuchMark, clip(mark, 30), near)))
	}
	r, why, err := t.lastExamined(item)
	switch {
	case err != nil:
		return r, err
	case why != "":
		return r, complaint(why)
	case !r.issued:
		return r, complaint(format(reportNotYet, item.Mark))
	}
	return r, nil
}
