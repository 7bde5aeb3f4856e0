package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/store"
)

// secondOpinion asks those who are competent for the family to look at one point, without what the first found.
func (t *turn) secondOpinion(i *inspection, args string) error {
	q, view, ok := t.opinionPoint(i, args)
	if !ok {
		return nil
	}
	asked, err := t.whoElse(i.flow.ID, i.Inspector)
	if err != nil {
		return err
	}
	if len(asked) == 0 {
		return t.again(i, format(opinionNobody, strings.ToLower(i.flow.Title)))
	}
	if _, err := t.keepPhotos(i, q.Steps[0]); err != nil {
		return err
	}
	before := slices.ContainsFunc(q.Steps, i.state.Answered)
	o := store.Opinion{
		ID: t.m.ID, Inspection: i.ID, Mark: i.Mark, Steps: q.Steps, First: i.Inspector, View: view, Asked: asked,
		Blind: !before && view == "",
	}
	if _, err := t.write(store.OpinionAsked{Opinion: o}); err != nil {
		return err
	}
	t.putToOthers(i, q, o)
	said := format(opinionAsked, list(asked), i.Mark)
	if !o.Blind {
		said = joined(said, opinionNotBlind)
	}
	return t.ask(i, said)
}

// opinionPoint reads which point is meant, and what the speaker sees there: "here: the first rows look flat" or "9: ...".
// If it can't, it has said how.
func (t *turn) opinionPoint(i *inspection, args string) (q flows.Question, view string, ok bool) {
	open, asking := i.next()
	where, view, _ := strings.Cut(args, ":")
	where = strings.ToLower(strings.Trim(where, " .,"))
	switch n, err := strconv.Atoi(where); {
	case where == "here" && asking:
		q = open
	case err == nil:
		for _, each := range flows.Plan(i.flow, i.state) {
			if each.Position == n {
				q = each
			}
		}
	}
	switch {
	case len(q.Steps) == 0 && asking:
		t.refuse(opinionWhich, open.Position, open.Of+1, strings.ToLower(open.Title), open.Position)
	case len(q.Steps) == 0:
		t.refuse(opinionWhichNumber)
	case q.Kind != flows.KindChecks && q.Kind != flows.KindCritical:
		t.refuse(opinionOfChecks)
	default:
		return q, strings.TrimSpace(view), true
	}
	return q, "", false
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

// putToOthers asks each alone. Nothing in it depends on what the first found: not the position, not a file's name.
func (t *turn) putToOthers(i *inspection, q flows.Question, o store.Opinion) {
	var files []File
	for _, p := range i.photos {
		if slices.Contains(o.Steps, p.Step) && p.Hash != "" {
			name := fmt.Sprintf("%s %d.%s", i.Mark, len(files)+1, strings.TrimPrefix(p.Type, "image/"))
			files = append(files, File{Name: name, Hash: p.Hash, Type: p.Type, Size: p.Size})
		}
	}
	text := joined(
		format(opinionPlease, i.Mark, strings.ToLower(i.flow.Title), len(files)),
		wordingAlone(q),
		format(opinionHow, i.Mark),
	)
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

// thirdOpinion asks somebody who is neither of two that differed.
func (t *turn) thirdOpinion(args string) error {
	item, _, found, err := t.namedItem(args, "third opinion A-06")
	if err != nil || !found {
		return err
	}
	last, given, err := t.tx.LastOpinion(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if !given || !last.Differs || last.Third {
		t.refuse(thirdNotNeeded, item.Mark)
		return nil
	}
	i, q, ok, err := t.opinionQuestion(last)
	if err != nil || !ok {
		return err
	}
	asked, err := t.whoElse(item.Flow, last.First, last.By)
	if err != nil {
		return err
	}
	if len(asked) == 0 {
		t.refuse(opinionNobody, t.titleOf(item.Flow))
		return nil
	}
	o := store.Opinion{ID: t.m.ID, Inspection: last.Inspection, Mark: item.Mark, Steps: last.Steps, First: last.First, View: last.View, Asked: asked, Third: true}
	if _, err := t.write(store.OpinionAsked{Opinion: o}); err != nil {
		return err
	}
	t.putToOthers(i, q, o)
	t.say(opinionAsked, list(asked), item.Mark)
	return nil
}

// opinionQuestion is the question that an opinion answers, as its inspection's script asks it.
func (t *turn) opinionQuestion(o store.Opinion) (*inspection, flows.Question, bool, error) {
	row, found, err := t.tx.Inspection(o.Inspection)
	if err != nil || !found {
		return nil, flows.Question{}, false, err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return nil, flows.Question{}, false, err
	}
	for _, q := range flows.Plan(i.flow, i.state) {
		if slices.Equal(q.Steps, o.Steps) {
			return i, q, true, nil
		}
	}
	t.refuse(opinionGone, o.Mark)
	return nil, flows.Question{}, false, nil
}
