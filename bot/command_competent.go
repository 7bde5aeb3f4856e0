package bot

import (
	"slices"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// competent says for which families somebody may sign, until when, and on what that rests. Nobody says it of
// themselves alone, unless nobody else is there to say it.
func (t *turn) competent(args string) error {
	p, rest, found, err := t.listedPerson(args, competentExample)
	if err != nil || !found {
		return err
	}
	given, ok := t.competences(rest)
	if !ok {
		return nil
	}
	if p.ID == t.m.From {
		return t.claimOwn(p, given)
	}
	return t.grant(p, given, t.m.From)
}

// competences reads "for pulley, connector until 30 June 2027: course in May". If it can't, it has said why.
func (t *turn) competences(text string) ([]store.Competence, bool) {
	what, evidence, _ := strings.Cut(text, ":")
	families, until, dated := cutWord(what, "until")
	evidence = strings.TrimSpace(evidence)
	if !dated || evidence == "" {
		t.refuse(competentHow, competentExample)
		return nil, false
	}
	day, err := due.ParseSpoken(strings.Trim(until, " .,"))
	if err != nil {
		t.refuse("%s", sentence(err.Error()))
		return nil, false
	}
	if t.day().After(day.Last()) {
		t.refuse(untilPast, day.Words())
		return nil, false
	}
	ids, ok := t.families(families)
	if !ok {
		return nil, false
	}
	var given []store.Competence
	for _, id := range ids {
		given = append(given, store.Competence{Flow: id, Until: day.Last(), Evidence: evidence})
	}
	return given, true
}

// cutWord cuts a text around a word that stands by itself.
func cutWord(text, word string) (before, after string, found bool) {
	words := strings.Fields(text)
	n := slices.IndexFunc(words, func(w string) bool { return strings.EqualFold(w, word) })
	if n < 0 {
		return text, "", false
	}
	return strings.Join(words[:n], " "), strings.Join(words[n+1:], " "), true
}

// families reads families of devices by title or id, between commas. If one isn't there it has said so.
func (t *turn) families(text string) ([]string, bool) {
	text = strings.TrimSpace(text)
	if rest, is := afterWords(text, "for"); is {
		text = rest
	}
	var ids []string
	for _, name := range strings.Split(text, ",") {
		name = strings.TrimSpace(name)
		id, found := t.bot.familyNamed(name)
		if !found {
			t.refuse(noSuchFamily, clip(name, 40), strings.Join(t.familyTitles(), ", "))
			return nil, false
		}
		ids = append(ids, id)
	}
	return ids, true
}

func (t *turn) familyTitles() []string {
	var titles []string
	for _, f := range t.bot.library {
		titles = append(titles, strings.ToLower(f.Title))
	}
	slices.Sort(titles)
	return titles
}

// titleOf is a family as people call it.
func (t *turn) titleOf(id string) string {
	if f, ok := t.bot.library[id]; ok {
		return strings.ToLower(f.Title)
	}
	return id
}

// grant enters competences, each in place of an earlier one for its family.
func (t *turn) grant(p store.Person, given []store.Competence, agreed string) error {
	p.Competent = slices.Clone(p.Competent)
	var said []string
	for _, c := range given {
		c.Agreed, c.OwnWord = agreed, agreed == ""
		p.Competent = slices.DeleteFunc(p.Competent, func(was store.Competence) bool { return was.Flow == c.Flow })
		p.Competent = append(p.Competent, c)
		said = append(said, t.titleOf(c.Flow))
	}
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	until := given[0].Until.Words()
	if agreed == "" {
		t.say(grantedOwnWord, p.ID, strings.Join(said, ", "), until)
		return nil
	}
	t.say(granted, p.ID, strings.Join(said, ", "), until, sentence(given[0].Evidence))
	return nil
}

// claimOwn takes somebody's word about themselves. It waits for another's, unless they are the only one listed.
func (t *turn) claimOwn(p store.Person, given []store.Competence) error {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	if len(people) == 1 {
		return t.grant(p, given, "")
	}
	if _, err := t.write(store.CompetenceClaimed{ID: p.ID, Claims: given}); err != nil {
		return err
	}
	who, err := t.whoAgrees(p.ID, given)
	if err != nil {
		return err
	}
	t.say(claimed, list(who), p.ID)
	return nil
}

// agree is another's word for what somebody claimed of themselves.
func (t *turn) agree(args string) error {
	p, _, found, err := t.listedPerson(args, "agree @ana")
	if err != nil || !found {
		return err
	}
	claim, err := t.tx.ClaimOf(t.m.Room, p.ID)
	switch {
	case err != nil:
		return err
	case len(claim) == 0:
		t.refuse(nothingClaimed, p.ID)
		return nil
	case p.ID == t.m.From:
		t.refuse(agreeNotSelf)
		return nil
	}
	who, err := t.whoAgrees(p.ID, claim)
	if err != nil {
		return err
	}
	if !slices.Contains(who, t.m.From) {
		t.refuse(agreeWho, p.ID, list(who))
		return nil
	}
	return t.grant(p, claim, t.m.From)
}

// whoAgrees is who can stand for what somebody claims: those who may sign for it themselves, and only where there is
// nobody else such, everybody listed.
func (t *turn) whoAgrees(id string, claim []store.Competence) ([]string, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return nil, err
	}
	people = slices.DeleteFunc(people, func(p store.Person) bool { return p.ID == id })
	var who []string
	for _, p := range people {
		if !slices.ContainsFunc(claim, func(c store.Competence) bool { return !p.CompetentFor(c.Flow, t.day()) }) {
			who = append(who, p.ID)
		}
	}
	if len(who) > 0 {
		return who, nil
	}
	for _, p := range people {
		who = append(who, p.ID)
	}
	return who, nil
}

// notCompetent ends somebody's competence today.
func (t *turn) notCompetent(args string) error {
	p, rest, found, err := t.listedPerson(args, "not competent @ben for pulley: why")
	if err != nil || !found {
		return err
	}
	what, why, _ := strings.Cut(rest, ":")
	ids, ok := t.families(what)
	if !ok {
		return nil
	}
	p.Competent = slices.DeleteFunc(slices.Clone(p.Competent), func(c store.Competence) bool { return slices.Contains(ids, c.Flow) })
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	if why = strings.TrimSpace(why); why != "" {
		if _, err := t.write(store.Noted{Person: p.ID, Text: why}); err != nil {
			return err
		}
	}
	var titles []string
	for _, id := range ids {
		titles = append(titles, t.titleOf(id))
	}
	t.say(endedNow, p.ID, strings.Join(titles, ", "))
	return nil
}
