package bot

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// askOpinion asks those who are competent for the family about some points, one at a time, without what the first found.
// What waits already is asked again, with the photos that came since; what was answered isn't asked anew, or somebody could
// go on asking until the answer is to their liking.
func (t *turn) askOpinion(i *inspection, points [][]string, view string) error {
	asked, err := t.whoElse(i.flow.ID, i.Inspector, i.Signer)
	if err != nil {
		return err
	}
	if len(asked) == 0 {
		t.refuse(opinionNobody, strings.ToLower(i.flow.Title))
		return nil
	}
	earlier, err := t.tx.OpinionsOf(t.m.Room, i.Mark)
	if err != nil {
		return err
	}
	earlier = slices.DeleteFunc(earlier, func(o store.Opinion) bool { return o.Inspection != i.ID })
	of := "" // what the photos show, where it is one point
	if len(points) == 1 {
		of = points[0][0]
	}
	if points = unsettled(points, earlier); len(points) == 0 {
		t.refuse(opinionSettled, i.Mark)
		return nil
	}
	if _, err := t.keepPhotos(i, of); err != nil {
		return err
	}
	blind := view == "" && !slices.ContainsFunc(points, i.saidOf)
	again, points, err := t.askWaiting(i, points, earlier)
	if err != nil {
		return err
	}
	if len(points) > 0 {
		o := store.Opinion{
			ID: t.m.ID, Inspection: i.ID, Mark: i.Mark, Steps: points[0], Rest: points[1:], First: i.Inspector, View: view, Asked: asked,
			Blind: blind, Request: t.m.ID, Nth: 1,
		}
		if t.m.From != i.Inspector {
			o.Asker = t.m.From
		}
		if err := t.putOpinion(i, o); err != nil {
			return err
		}
	}
	said := format(opinionAsked, list(asked), i.Mark, pointsWords(len(points)))
	if len(points) == 0 {
		said = format(opinionAgain, list(again), i.Mark)
	}
	if len(i.photos) == 0 {
		said = joined(said, opinionNoPhoto)
	}
	if !blind && len(points) > 0 {
		said = joined(said, opinionNotBlind)
	}
	return t.afterAsking(i, points, said)
}

// afterAsking says what was asked and, where the inspection is the speaker's and open, its next question. The point in hand is
// noted as can't tell: whoever asks isn't sure of it, and needn't wait.
func (t *turn) afterAsking(i *inspection, points [][]string, said string) error {
	if i.Inspector != t.m.From || i.Closed() || i.State != store.Underway {
		t.reply(said)
		return nil
	}
	q, open := i.next()
	if open && len(points) == 1 && slices.Equal(points[0], q.Steps) {
		for _, step := range q.Steps {
			if i.state.Answered(step) {
				continue
			}
			if err := t.record(i, flows.Answer{Step: step, Unknown: true, Reason: opinionReason}, "", false); err != nil {
				return err
			}
		}
		said = joined(said, format(opinionMeanwhile, q.Position))
	}
	return t.ask(i, said)
}

// saidOf tells whether the first one has said of a point what they see, and not only that they aren't sure.
func (i *inspection) saidOf(steps []string) bool {
	return slices.ContainsFunc(i.firstOn(steps), func(a flows.Answer) bool { return a.Reason != opinionReason })
}

// unsettled are the points of which nobody has said yet what they see.
func unsettled(points [][]string, earlier []store.Opinion) (open [][]string) {
	for _, p := range points {
		if !slices.ContainsFunc(earlier, func(o store.Opinion) bool { return o.Settled() && slices.Equal(o.Steps, p) }) {
			open = append(open, p)
		}
	}
	return open
}

// askWaiting asks again what nobody has answered yet, and gives who was asked and the points that it doesn't cover.
func (t *turn) askWaiting(i *inspection, points [][]string, earlier []store.Opinion) (asked []string, others [][]string, err error) {
	for _, o := range earlier {
		if o.Answered || !slices.ContainsFunc(points, o.About) {
			continue
		}
		points = slices.DeleteFunc(slices.Clone(points), o.About)
		but := []string{i.Inspector, i.Signer}
		if o.Third {
			but = append(but, gaveOn(earlier, o.Steps)...)
		}
		if o.Asked, err = t.whoElse(i.flow.ID, but...); err != nil {
			return nil, nil, err
		}
		asked = o.Asked
		if err := t.putOpinion(i, o); err != nil {
			return nil, nil, err
		}
	}
	return asked, points, nil
}

// gaveOn are the people who have given an opinion on a point.
func gaveOn(opinions []store.Opinion, steps []string) (who []string) {
	for _, o := range opinions {
		if o.Answered && slices.Equal(o.Steps, steps) {
			who = append(who, o.By)
		}
	}
	return who
}

// whoElse is who may sign for a family besides some people.
func (t *turn) whoElse(family string, but ...string) ([]string, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return nil, err
	}
	who := whoMay(people, actSign, family, t.day())
	return slices.DeleteFunc(who, func(id string) bool { return slices.Contains(but, id) }), nil
}

// putOpinion writes down that an opinion is asked for, and asks.
func (t *turn) putOpinion(i *inspection, o store.Opinion) error {
	if o.Label == "" {
		open, err := t.tx.UnansweredOf(t.m.Room, o.Mark)
		if err != nil {
			return err
		}
		taken := func(label string) bool {
			return slices.ContainsFunc(open, func(w store.Opinion) bool { return w.ID != o.ID && w.Called() == label })
		}
		for n, label := 2, o.Mark; taken(label); n++ {
			label = fmt.Sprintf("%s/%d", o.Mark, n)
			o.Label = label
		}
	}
	if _, err := t.write(store.OpinionAsked{Opinion: o}); err != nil {
		return err
	}
	q, ok := questionOf(i, o)
	if ok {
		t.putToOthers(i, q, o)
	}
	return nil
}

// putToOthers asks each alone. Nothing in it depends on what the first found: not the position, not a file's name.
func (t *turn) putToOthers(i *inspection, q flows.Question, o store.Opinion) {
	var files []File
	for _, p := range i.photos {
		if (p.Step == "" || slices.Contains(o.Steps, p.Step)) && p.Hash != "" {
			name := fmt.Sprintf("%s %d.%s", i.Mark, len(files)+1, strings.TrimPrefix(p.Type, "image/"))
			files = append(files, File{Name: name, Hash: p.Hash, Type: p.Type, Size: p.Size})
		}
	}
	head := format(opinionPlease, i.Mark, strings.ToLower(i.flow.Title), len(files))
	if of := o.Nth + len(o.Rest); of > 1 {
		head = joined(head, format(opinionNth, o.Nth, of))
	}
	if len(files) == 0 {
		head = joined(head, opinionInHand)
	}
	how := opinionHow
	if q.Kind == flows.KindReading {
		how = opinionHowRead
	}
	text := joined(head, wordingAlone(q), format(how, o.Called()))
	for _, id := range o.Asked {
		t.tell(id, text)
		t.replies[len(t.replies)-1].Files = files
	}
}

// wordingAlone is a question as it is asked of somebody who hasn't the item in the hand, without its place in the
// inspection.
func wordingAlone(q flows.Question) string {
	q.Section = "" // nothing can be felt from there
	_, rest, _ := strings.Cut(wording(q, 0, 0), ", ")
	return capital(rest)
}

// questionOf is the question that an opinion answers: from the script alone, whatever the inspection holds. What was asked
// for under an older edition of Becket, when more could be asked about, stands in the inspection's own questions.
func questionOf(i *inspection, o store.Opinion) (flows.Question, bool) {
	if q, ok := flows.Alone(i.flow, i.state, o.Steps); ok {
		return q, true
	}
	for _, q := range flows.Plan(i.flow, i.state) {
		if slices.Equal(q.Steps, o.Steps) {
			return q, true
		}
	}
	return flows.Question{}, false
}

// thirdOpinion asks somebody who is none of those that differed.
func (t *turn) thirdOpinion(args string) error {
	item, _, found, err := t.namedItem(args, "third opinion A-06")
	if err != nil || !found {
		return err
	}
	all, err := t.tx.OpinionsOf(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	i, points, but, err := t.differing(all)
	if err != nil {
		return err
	}
	if len(points) == 0 {
		t.refuse(thirdNotNeeded, item.Mark)
		return nil
	}
	asked, err := t.whoElse(item.Flow, append(but, i.Inspector, i.Signer)...)
	if err != nil {
		return err
	}
	if len(asked) == 0 {
		t.refuse(opinionNobody, t.titleOf(item.Flow))
		return nil
	}
	if _, err := t.keepPhotos(i, points[0][0]); err != nil {
		return err
	}
	o := store.Opinion{
		ID: t.m.ID, Inspection: i.ID, Mark: item.Mark, Steps: points[0], Rest: points[1:], First: i.Inspector, Asked: asked, Third: true, Request: t.m.ID, Nth: 1,
	}
	if err := t.putOpinion(i, o); err != nil {
		return err
	}
	t.say(opinionAsked, list(asked), item.Mark, pointsWords(len(points)))
	return nil
}

// differing are the points of the latest inspection with opinions on which two differ and nobody was asked as a third, with
// who gave them.
func (t *turn) differing(all []store.Opinion) (i *inspection, points [][]string, by []string, err error) {
	if len(all) == 0 {
		return nil, nil, nil, nil
	}
	row, found, err := t.tx.Inspection(all[len(all)-1].Inspection)
	if err != nil || !found {
		return nil, nil, nil, err
	}
	if i, err = t.bot.load(t.tx, row); err != nil {
		return nil, nil, nil, err
	}
	for _, o := range all {
		q, asked := questionOf(i, o)
		third := slices.ContainsFunc(all, func(p store.Opinion) bool { return p.Third && p.Inspection == i.ID && p.About(o.Steps) })
		if asked && !third && o.Answered && o.Inspection == i.ID && (o.Differs || i.seenOtherwise(q, o)) {
			points, by = append(points, o.Steps), append(by, o.By)
		}
	}
	return i, points, by, nil
}

// readFiles are photos as a form keeps them.
func readFiles(kept string) (files []File, err error) {
	if kept == "" {
		return nil, nil
	}
	if err := json.Unmarshal([]byte(kept), &files); err != nil {
		return nil, fmt.Errorf("reading the photos that came before: %w", err)
	}
	return files, nil
}
