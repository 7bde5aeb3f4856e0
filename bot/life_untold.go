package bot

import (
	"becket/flows"
	"becket/store"
)

// noLimit is what a life is answered with, and written as, that the maker doesn't limit.
const noLimit = "no limit"

func saysNoLimit(text string) bool { return sameWord(text, noLimit) || sameWord(text, "none") }

// lifeUntoldOf tells whether nobody knows how long an item's maker lets it live: neither who entered it, of whom made and use say
// that they couldn't tell the life from manufacture or from first use, nor its model's sheet.
func lifeUntoldOf(tx *store.Tx, room string, item store.Item, made, use bool) (bool, error) {
	sheet, _, err := tx.Sheet(room, item.Maker, item.Model)
	return made && !limits(sheet, store.FigureLifeMade) || use && !limits(sheet, store.FigureLifeUse), err
}

// limits tells whether a sheet that counts gives a life.
func limits(sheet store.Sheet, life string) bool {
	_, known := sheet.Figures[life]
	return known && sheet.Counts()
}

// lifeHold keeps an item out of use until its life was looked up: unknown is no life without end.
func lifeHold(mark string) store.HoldPlaced {
	return store.HoldPlaced{Mark: mark, Verdict: flows.Quarantine, Why: lifeUntold, Source: store.Untold}
}

// lifeCells are an item's own lives as a table says them: what isn't limited says so, since an empty cell is taken for not known.
func (t *turn) lifeCells(item store.Item) (made, use string, err error) {
	sheet, _, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil {
		return "", "", err
	}
	holds, err := t.tx.Holds(t.m.Room, item.Mark)
	asked := false
	for _, h := range holds { // by its source: the words of a hold may be deleted
		asked = asked || h.Source == store.Untold && h.Inspection == ""
	}
	word := func(years int, figure string) string {
		switch {
		case years > 0:
			return count(years)
		case limits(sheet, figure): // the sheet's, and not the item's own
			return ""
		case asked:
			return notKnown
		}
		return noLimit
	}
	return word(item.LifeMadeYears, store.FigureLifeMade), word(item.LifeUseYears, store.FigureLifeUse), err
}
