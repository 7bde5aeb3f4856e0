package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// makerDays is how long a maker may take to answer before somebody is asked to ask again; draftDays how long a letter may
// lie here.
const (
	makerDays = 14
	draftDays = 3
)

// askMaker drafts a letter to an item's maker from its last inspection. The letter is kept; a person sends it.
func (t *turn) askMaker(args string) error {
	item, question, found, err := t.namedItem(args, "ask maker D-07: may an edge in the groove be dressed?")
	if err != nil || !found {
		return err
	}
	if item.Maker == "" {
		t.refuse(askMakerNoName, item.Mark)
		return nil
	}
	if ok, err := t.maySeeFor(item.Mark); err != nil || !ok {
		return err
	}
	if waiting, is, err := t.waitsForMaker(item.Mark); err != nil {
		return err
	} else if is && !waiting.Sent.IsZero() {
		t.refuse(makerWaits, waiting.Maker, item.Mark, waiting.Sent.Words(), clip(waiting.Question, 80), item.Mark)
		return nil
	}
	given := map[string]string{"mark": item.Mark}
	if question = strings.TrimSpace(strings.TrimLeft(question, ":,- ")); question != "" {
		given["question"] = question
	}
	return t.startForm("ask maker", given, "")
}

// maySeeFor tells whether what was found last may be said now; if not, it has said why.
func (t *turn) maySeeFor(mark string) (bool, error) {
	if kept, err := t.keptFrom(mark); err != nil || kept {
		return false, err
	}
	i, err := t.sealed(mark)
	if i != nil {
		t.refuse(makerSealed, mark, i.Inspector)
	}
	return i == nil, err
}

func (t *turn) askMakerFields(f *form) ([]field, error) {
	item, _, err := t.tx.Item(t.m.Room, f.Given["mark"])
	return []field{{id: "question", ask: format(askMakerWhat, item.Maker, item.Mark), kind: flows.KindNote, read: anyText}}, err
}

func (t *turn) finishAskMaker(f *form) error {
	item, _, err := t.tx.Item(t.m.Room, f.Given["mark"])
	if err != nil {
		return err
	}
	if ok, err := t.maySeeFor(item.Mark); err != nil || !ok { // an inspection was begun meanwhile
		return err
	}
	i, err := t.lettersInspection(item.Mark)
	if err != nil {
		return err
	}
	ev := store.MakerAsked{Mark: item.Mark, Maker: item.Maker, Question: f.Given["question"]}
	if ev.Letter, err = t.letter(item, i, ev.Question); err != nil {
		return err
	}
	var photos []File
	if i != nil {
		ev.Inspection = i.ID
		photos = i.photosToSend()
	}
	after := format(makerDrafted, item.Mark)
	if old, is, err := t.waitsForMaker(item.Mark); err != nil {
		return err
	} else if is && old.Sent.IsZero() {
		ev.Replaces = old.N
		after = joined(after, format(makerDraftOld, t.on(old.Asked)))
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	t.reply(ev.Letter).Files = photos
	t.reply(after)
	return nil
}

// waitsForMaker is an item's question that has no answer yet.
func (t *turn) waitsForMaker(mark string) (store.MakerQuestion, bool, error) {
	all, err := t.tx.MakerQuestions(t.m.Room, mark)
	for _, q := range slices.Backward(all) {
		if q.Answered.IsZero() {
			return q, true, err
		}
	}
	return store.MakerQuestion{}, false, err
}

// sentToMaker says that the letter went, today or on a day that is named.
func (t *turn) sentToMaker(args string) error {
	item, rest, found, err := t.namedItem(args, "sent to maker D-07")
	if err != nil || !found {
		return err
	}
	q, is, err := t.waitsForMaker(item.Mark)
	switch {
	case err != nil:
		return err
	case !is:
		t.refuse(makerNoLetter, item.Mark)
		return nil
	case !q.Sent.IsZero():
		t.refuse(makerSentOnce, item.Mark, q.Sent.Words())
		return nil
	}
	day := t.day()
	if rest = strings.Trim(rest, " .:"); rest != "" {
		left, on, err := t.cutDay(rest, "")
		if left = strings.TrimSpace(left); err != nil || on.IsZero() || left != "" && !sameWord(left, "on") {
			t.refuse(makerSentHow, clip(rest, 30), item.Mark, t.day().Words())
			return nil
		}
		day = on
	}
	if day.After(t.day()) {
		t.refuse(makerSentEarly, day.Words(), item.Mark)
		return nil
	}
	if _, err := t.write(store.MakerSent{Mark: item.Mark, Question: q.N, Day: day}); err != nil {
		return err
	}
	t.say(makerSent, item.Mark, q.Maker, day.Words(), makerDays)
	return nil
}

// makerSays writes down what the maker said, with its letter. It changes nothing by itself.
func (t *turn) makerSays(args string) error {
	item, text, found, err := t.namedItem(args, "maker says D-07: an edge may not be dressed")
	if err != nil || !found {
		return err
	}
	text = strings.TrimSpace(strings.TrimLeft(text, ":,- "))
	if text == "" && len(t.m.Files) == 0 {
		t.refuse(makerSaysHow, item.Mark)
		return nil
	}
	if text == "" {
		text = makerNoWords
	}
	q, _, err := t.waitsForMaker(item.Mark)
	if err != nil {
		return err
	}
	title := format(makerTitle, t.day().Words())
	ev := store.MakerAnswered{Mark: item.Mark, Question: q.N, Maker: item.Maker, Text: text}
	paper := format(makerSaidBare, item.Mark, title)
	if len(t.m.Files) > 0 {
		ev.Document = title
		paper = format(makerSaidPaper, title)
		if err := t.keepPapers(item.Mark, title); err != nil {
			return err
		}
	}
	if _, err := t.write(ev); err != nil {
		return err
	}
	stays, err := t.staysAfterAnswer(item.Mark)
	if err != nil {
		return err
	}
	t.reply(joined(format(makerSaid, item.Maker, item.Mark), paper, stays, format(makerFigures, item.ModelName(), item.Maker, item.Model, title)))
	return nil
}

// staysAfterAnswer says that an item stands as it stood.
func (t *turn) staysAfterAnswer(mark string) (string, error) {
	if i, err := t.sealed(mark); err != nil || i != nil {
		if i != nil {
			return format(makerSaidHidden, mark, i.Inspector), nil
		}
		return "", err
	}
	holds, err := t.tx.Standing(t.m.Room, mark)
	if err != nil || len(holds) == 0 {
		return makerSaidMoves, err
	}
	return format(makerSaidStill, mark, reasonsOf(holds)), nil
}

// makerLines are an item's questions to its maker with their answers, oldest first.
func (t *turn) makerLines(mark string) ([]string, error) {
	all, err := t.tx.MakerQuestions(t.m.Room, mark)
	if err != nil || len(all) == 0 {
		return nil, err
	}
	lines := []string{makerLinesHead}
	for _, q := range all {
		how := makerNotSent
		switch {
		case !q.Answered.IsZero():
			document := q.Document
			if document == "" {
				document = makerByWord
			}
			how = format(makerAnswerLine, q.TakenBy, t.on(q.Answered), q.Answer, document)
		case !q.Sent.IsZero():
			how = format(makerNoAnswer, q.Sent.Words())
		}
		if q.Question == "" {
			lines = append(lines, format(makerUnasked, q.Maker, how))
			continue
		}
		lines = append(lines, format(makerAskedLine, q.Maker, q.By, t.on(q.Asked), q.Question, how))
	}
	return lines, nil
}

// makerAnswers is every question to a maker that has no answer. It is chased once it has waited long.
func (s *survey) makerAnswers() ([]matter, error) {
	open, err := s.t.tx.UnansweredByMaker(s.t.m.Room)
	var all []matter
	for _, q := range open {
		m := matter{name: q.Mark, key: format("maker %s %d", q.Mark, q.N), who: keepersOf(s.people)}
		if slices.ContainsFunc(s.people, func(p store.Person) bool { return p.ID == q.By }) {
			m.who = []string{q.By}
		}
		if q.Sent.IsZero() {
			days := s.t.daysSince(q.Asked)
			m.say, m.early = format(openMakerDraft, q.Maker, s.t.on(q.Asked)), days < draftDays
			m.do = format(openMakerSend, q.Mark, q.Mark)
		} else {
			days := q.Sent.DaysUntil(s.today)
			m.say, m.early = format(openMakerSent, q.Maker, q.Sent.Words()), days < makerDays
			m.do = format(openMakerAnswer, q.Mark)
		}
		if m.early {
			m.do = ""
		}
		all = append(all, m)
	}
	return all, err
}
