package bot

import (
	"strings"

	"becket/flows"
	"becket/store"
)

// sheet enters a maker's figures for one model. They count when a second person has typed them too.
func (t *turn) sheet(args string) error {
	given := map[string]string{}
	if maker, model, ok := strings.Cut(args, ","); ok {
		given["maker"], given["model"] = strings.TrimSpace(maker), strings.TrimSpace(model)
	}
	return t.startForm("sheet", given, sheetStart)
}

func (t *turn) sheetFields(f *form) ([]field, error) {
	var families [][2]string
	for _, fl := range t.bot.families() {
		families = append(families, [2]string{fl.ID, fl.Title})
	}
	choices, read := chooseFrom(families...)
	fields := []field{
		{id: "maker", ask: askMaker, kind: flows.KindNote, read: anyText},
		{id: "model", ask: askModel, kind: flows.KindNote, read: anyText},
		{id: "flow", ask: askFamily, kind: flows.KindChoice, choices: choices, read: read},
		{id: "document", ask: askDocument, kind: flows.KindNote, read: anyText},
		{id: "edition", ask: askEdition, kind: flows.KindNote, read: anyText},
		{id: "page", ask: askPage, kind: flows.KindNote, read: anyText},
	}
	fl, ok := t.bot.library[f.Given["flow"]]
	if !ok {
		return append(fields, confirmField(sheetConfirm)), nil
	}
	for _, g := range append(fl.Figures, generalFigures()...) {
		fields = append(fields, figureField(g))
	}
	for _, fact := range fl.Facts {
		fields = append(fields, factField(fact))
	}
	return append(fields, confirmField(sheetConfirm)), nil
}

func figureField(g flows.Figure) field {
	ask := g.Ask
	if ask == "" {
		ask = capital(strings.ReplaceAll(g.ID, "_", " "))
	}
	return field{id: "figure." + g.ID, ask: format(askFigure, strings.TrimRight(ask, "."), unitWords(g.Unit)), kind: flows.KindReading, read: func(text string) (string, error) {
		if v, _ := textOr(text); v == "" || sameWord(text, "not given") {
			return "", nil
		}
		values, err := flows.ParseReadings(text, g.Unit)
		if err != nil {
			return "", err
		}
		if len(values) != 1 || values[0].Sign() < 0 {
			return "", complaint(oneNumber)
		}
		return values[0].String(), nil
	}}
}

// unitWords is a unit as it is asked for.
func unitWords(u flows.Unit) string {
	if u == "count" {
		return countWords
	}
	return string(u)
}

func factField(fact flows.Fact) field {
	pairs := make([][2]string, 0, len(fact.Choices)+1)
	for _, c := range fact.Choices {
		pairs = append(pairs, [2]string{c.ID, c.Label})
	}
	choices, read := chooseFrom(append(pairs, [2]string{"", notKnownWord})...)
	return field{id: "fact." + fact.ID, ask: fact.Ask, kind: flows.KindChoice, choices: choices, read: read}
}

// sheetOf reads a finished form. Direction and new value have to agree.
func (t *turn) sheetOf(f *form) (store.Sheet, error) {
	g := f.Given
	s := store.Sheet{
		Maker: g["maker"], Model: g["model"], Flow: g["flow"], Document: g["document"], Edition: g["edition"], Page: g["page"],
		Figures: map[string]flows.Number{}, Facts: map[string]string{},
	}
	for id, text := range g {
		if figure, ok := strings.CutPrefix(id, "figure."); ok && text != "" {
			n, err := flows.ParseNumber(text)
			if err != nil {
				return s, err
			}
			s.Figures[figure] = n
		}
		if fact, ok := strings.CutPrefix(id, "fact."); ok && text != "" {
			s.Facts[fact] = text
		}
	}
	return s, t.bot.checkSheet(s)
}

// checkSheet tests a sheet against its flow: known names, limits on the harmful side of new, limits in order.
func (b *Bot) checkSheet(s store.Sheet) error {
	f, ok := b.library[s.Flow]
	if !ok {
		return complaint(format(sheetNoFlow, s.Name(), s.Flow))
	}
	general := generalFigures()
	for id, n := range s.Figures {
		_, known := f.Figure(id)
		for _, g := range general {
			known = known || g.ID == id
		}
		if !known {
			return complaint(format(sheetNoFigure, s.Name(), id))
		}
		if n.Sign() < 0 {
			return complaint(format(sheetNegative, s.Name(), id))
		}
	}
	for id, choice := range s.Facts {
		fact, ok := f.Fact(id)
		if !ok || !hasChoice(fact, choice) {
			return complaint(format(sheetNoFact, s.Name(), id, choice))
		}
	}
	if what := f.SheetDisorder(s.Figures); what != "" {
		return complaint(format(sheetDisorder, s.Name(), what))
	}
	return nil
}

func hasChoice(fact flows.Fact, id string) bool {
	for _, c := range fact.Choices {
		if c.ID == id {
			return true
		}
	}
	return false
}

func (t *turn) finishSheet(f *form) error {
	s, err := t.sheetOf(f)
	if err != nil {
		t.refuse("%s", sentence(err.Error()))
		return nil
	}
	s.ConfirmedBy = []string{t.m.From}
	if _, err := t.write(store.SheetKeyed{Sheet: s}); err != nil {
		return err
	}
	t.say(sheetKept, s.Name(), s.Maker, s.Model)
	return nil
}

// confirmSheet lets a second person type a sheet's figures again. The first ones aren't shown.
func (t *turn) confirmSheet(args string) error {
	maker, model, ok := strings.Cut(args, ",")
	if !ok {
		t.refuse(confirmSheetHow)
		return nil
	}
	s, found, err := t.tx.Sheet(t.m.Room, strings.TrimSpace(maker), strings.TrimSpace(model))
	if err != nil {
		return err
	}
	switch {
	case !found:
		t.refuse(noSuchSheet, strings.TrimSpace(args))
		return nil
	case s.Counts():
		t.refuse(sheetCounts, s.Name())
		return nil
	case len(s.ConfirmedBy) == 0:
		t.refuse(sheetDisputed, s.Name(), s.Maker, s.Model)
		return nil
	case s.ConfirmedBy[0] == t.m.From:
		t.refuse(sheetYours, s.Name())
		return nil
	}
	return t.startForm("confirm sheet", map[string]string{"maker": s.Maker, "model": s.Model}, format(confirmStart, s.Name(), s.Document, s.Edition, s.Page))
}

func (t *turn) confirmFields(f *form) ([]field, error) {
	s, _, err := t.tx.Sheet(t.m.Room, f.Given["maker"], f.Given["model"])
	if err != nil {
		return nil, err
	}
	fl, ok := t.bot.library[s.Flow]
	if !ok {
		return nil, complaint(format(sheetNoFlow, s.Name(), s.Flow))
	}
	var fields []field
	for _, g := range append(fl.Figures, generalFigures()...) {
		fields = append(fields, figureField(g))
	}
	for _, fact := range fl.Facts {
		fields = append(fields, factField(fact))
	}
	return fields, nil
}

// finishConfirm compares what two people typed. A difference counts for neither.
func (t *turn) finishConfirm(f *form) error {
	s, _, err := t.tx.Sheet(t.m.Room, f.Given["maker"], f.Given["model"])
	if err != nil {
		return err
	}
	if len(s.ConfirmedBy) == 0 || s.ConfirmedBy[0] == t.m.From { // it was entered anew, or disputed, meanwhile
		return t.confirmSheet(s.Maker + "," + s.Model)
	}
	var differ []string
	for _, g := range append(t.bot.library[s.Flow].Figures, generalFigures()...) {
		first, has := s.Figures[g.ID]
		second := f.Given["figure."+g.ID]
		n, err := flows.ParseNumber(second)
		if has != (second != "") || has && (err != nil || n.Cmp(first) != 0) {
			differ = append(differ, strings.ReplaceAll(g.ID, "_", " "))
		}
	}
	for _, fact := range t.bot.library[s.Flow].Facts {
		if s.Facts[fact.ID] != f.Given["fact."+fact.ID] {
			differ = append(differ, strings.ReplaceAll(fact.ID, "_", " "))
		}
	}
	if len(differ) > 0 {
		if _, err := t.write(store.SheetDisputed{Maker: s.Maker, Model: s.Model, Differ: differ}); err != nil {
			return err
		}
		t.say(sheetDiffers, s.Name(), list(differ), s.Maker, s.Model)
		return nil
	}
	if _, err := t.write(store.SheetConfirmed{Maker: s.Maker, Model: s.Model}); err != nil {
		return err
	}
	first := s.ConfirmedBy[0]
	s.ConfirmedBy = append(s.ConfirmedBy, t.m.From)
	moved, err := t.judgeAgain(s)
	if err != nil {
		return err
	}
	t.reply(joined(format(sheetConfirmed, s.Name(), first, t.m.From), moved))
	return nil
}
