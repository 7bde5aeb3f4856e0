package bot

import (
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/store"
)

// secondOpinion asks somebody competent to look too: at a point of the inspection in hand, at the whole of it, or at what
// held an item last time.
func (t *turn) secondOpinion(args string) error {
	word, _ := firstWord(strings.NewReplacer(":", " ", ",", " ").Replace(args))
	if t.namesItem(word) && !t.isPoint(word) {
		return t.opinionOnItem(args)
	}
	return t.inHand(args, (*turn).opinionWithin)
}

// isPoint tells whether a word is a position in the inspection in hand: inside one, a number is never a mark.
func (t *turn) isPoint(word string) bool {
	n, err := strconv.Atoi(word)
	return err == nil && t.here != nil && n > 0 && n <= len(flows.Plan(t.here.flow, t.here.state))
}

// opinionWithin reads "here: the first rows look flat", "9" or "whole"; said nothing, it asks which.
func (t *turn) opinionWithin(i *inspection, args string) error {
	if args == "" {
		given := map[string]string{"mark": i.Mark}
		if len(t.m.Files) > 0 {
			photos, err := filesValue(t.m.Files)
			if err != nil {
				return err
			}
			given["photos"] = photos
		}
		return t.startForm(opinionForm, given, "")
	}
	points, view, problem := i.opinionPoints(args)
	if problem != "" {
		t.refuse("%s", problem)
		return nil
	}
	return t.askOpinion(i, points, view)
}

// opinionPoints reads which points are meant, and what the speaker sees there. The problem says what to type instead.
func (i *inspection) opinionPoints(args string) (points [][]string, view, problem string) {
	open, asking := i.next()
	where, view, _ := strings.Cut(args, ":")
	view, where = strings.TrimSpace(view), strings.ToLower(strings.Trim(where, " .,"))
	var q flows.Question
	switch n, err := strconv.Atoi(where); {
	case where == "whole", where == "all":
		for _, step := range flows.Deadliest(i.flow, i.state) {
			points = append(points, []string{step})
		}
		return points, view, ""
	case where == "here" && asking:
		q = open
	case err == nil:
		for _, each := range flows.Plan(i.flow, i.state) {
			if each.Position == n {
				q = each
			}
		}
	}
	if len(q.Steps) == 0 {
		return nil, "", i.opinionWhich()
	}
	if _, can := flows.Alone(i.flow, i.state, q.Steps); !can {
		return nil, "", opinionOfSeen
	}
	return [][]string{q.Steps}, view, ""
}

// opinionWhich asks which point is meant.
func (i *inspection) opinionWhich() string {
	if q, asking := i.next(); asking {
		return format(opinionWhich, q.Position, q.Of+1, strings.ToLower(q.Title))
	}
	return opinionWhichNumber
}

// opinionForm asks which point a second opinion is wanted on.
const opinionForm = "second opinion"

func (t *turn) opinionFields(f *form) ([]field, error) {
	i, err := t.ownOpen(f.Given["mark"])
	if err != nil || i == nil {
		return nil, err
	}
	return []field{{id: "point", ask: i.opinionWhich(), kind: flows.KindNote, photos: true, read: func(text string) (string, error) {
		if text == photoWord {
			text = "here"
		}
		if _, _, problem := i.opinionPoints(text); problem == "" {
			return text, nil
		}
		if _, asking := i.next(); !asking || len(strings.Fields(text)) < aView { // a letter may be meant for the question before
			_, _, problem := i.opinionPoints(text)
			return "", complaint(problem)
		}
		if _, _, problem := i.opinionPoints("here"); problem != "" {
			return "", complaint(problem)
		}
		return "here: " + text, nil
	}}}, nil
}

// aView is from how many words on somebody says what they see, rather than answering a question.
const aView = 4

func (t *turn) finishOpinion(f *form) error {
	i, err := t.ownOpen(f.Given["mark"])
	if err != nil {
		return err
	}
	if i == nil { // taken over or signed meanwhile
		t.refuse(nothingOpen)
		return nil
	}
	if earlier, err := readFiles(f.Given["photos"]); err != nil {
		return err
	} else if len(earlier) > 0 {
		t.m.Files = append(earlier, t.m.Files...)
	}
	t.thread = i.Thread
	return t.opinionWithin(i, f.Given["point"])
}

// opinionOnItem asks about an item that is named: the speaker's own inspection where it is open, else the points that held
// it last time.
func (t *turn) opinionOnItem(args string) error {
	args = strings.Replace(args, ":", " : ", 1)
	item, rest, found, err := t.namedItem(args, "second opinion A-06")
	if err != nil || !found {
		return err
	}
	working, err := t.beingLookedAt(item.Mark)
	switch {
	case err != nil:
		return err
	case working != nil && working.Inspector == t.m.From:
		t.here, t.thread = working, working.Thread
		return t.opinionWithin(working, strings.TrimLeft(rest, ": "))
	case working != nil:
		t.refuse(opinionTheirs, item.Mark, working.Inspector)
		return nil
	}
	holds, err := t.tx.Standing(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if store.Retired(holds) != nil {
		t.refuse(opinionEnded, item.Mark)
		return nil
	}
	i, points, err := t.heldPoints(holds)
	if err != nil {
		return err
	}
	if len(points) == 0 {
		t.refuse(opinionNoPoint, item.Mark)
		return nil
	}
	return t.askOpinion(i, points, strings.TrimLeft(rest, ": "))
}

// beingLookedAt is the inspection of an item whose bench work isn't done; nil: there is none.
func (t *turn) beingLookedAt(mark string) (*inspection, error) {
	row, open, err := t.tx.Unfinished(t.m.Room, mark)
	if err != nil || !open || row.State != store.Underway && row.State != store.OnHold {
		return nil, err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil || i.finishing {
		return nil, err
	}
	return i, nil
}

// heldPoints are the points of the latest inspection by which an item is held, as its script asks them.
func (t *turn) heldPoints(holds []store.Hold) (*inspection, [][]string, error) {
	id := ""
	for _, h := range holds {
		if h.Inspection != "" {
			id = h.Inspection
		}
	}
	row, found, err := t.tx.Inspection(id)
	if err != nil || !found {
		return nil, nil, err
	}
	i, err := t.bot.load(t.tx, row)
	if err != nil {
		return nil, nil, err
	}
	var held []string
	for _, r := range i.outcome().Rules {
		if r.Verdict.Holds() {
			held = append(held, flows.HeldBy(i.flow, r.ID)...)
		}
	}
	opinions, err := t.tx.OpinionsOf(t.m.Room, i.Mark)
	if err != nil {
		return nil, nil, err
	}
	for _, o := range opinions { // what only a second look found
		if o.Inspection == i.ID && (!o.Answered || o.Differs || o.Verdict.Holds()) {
			held = append(held, o.Steps...)
		}
	}
	var points [][]string
	for _, q := range flows.Plan(i.flow, i.state) {
		_, can := flows.Alone(i.flow, i.state, q.Steps)
		if can && slices.ContainsFunc(q.Steps, func(s string) bool { return slices.Contains(held, s) }) {
			points = append(points, q.Steps)
		}
	}
	return i, points, nil
}
