package bot

import (
	"slices"
	"strings"

	"becket/flows/due"
	"becket/store"
)

// people lists who is here, and what each may sign.
func (t *turn) people(string) error {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return err
	}
	var lines []string
	for _, p := range people {
		claim, err := t.tx.ClaimOf(t.m.Room, p.ID)
		if err != nil {
			return err
		}
		lines = append(lines, t.personLine(p, claim))
	}
	said := section(format(peopleHere, len(people)), lines)
	if may(t.person, t.listed, actPeople, "", t.day()) {
		said = joined(said, peopleHow)
	}
	t.reply(said)
	return nil
}

// personLine is one person in the list: role, families and until when, and on whose word.
func (t *turn) personLine(p store.Person, claim []store.Competence) string {
	role := string(member)
	if p.IsKeeper() {
		role = string(keeper)
	}
	line := format(personIs, t.whoIs(p), role)
	line += t.competentWords(p)
	for _, c := range claim {
		line += format(claimsFor, t.titleOf(c.Flow), p.ID)
	}
	if p.OneByOne {
		line += askedOneByOne
	}
	return line + "."
}

// competentWords lists a person's families, those with one end together.
func (t *turn) competentWords(p store.Person) string {
	type until struct {
		day due.Date
		own bool
	}
	var order []until
	titles := map[until][]string{}
	for _, c := range p.Competent {
		u := until{c.Until, c.OwnWord}
		if titles[u] == nil {
			order = append(order, u)
		}
		titles[u] = append(titles[u], t.titleOf(c.Flow))
	}
	said := ""
	for _, u := range order {
		word := competentFor
		if t.day().After(u.day) {
			word = competenceEnded
		}
		said += format(word, strings.Join(titles[u], ", "), u.day.Words())
		if u.own {
			said += onOwnWord
		}
	}
	return said
}

// whoIs is a person's id, and name where it is known.
func (t *turn) whoIs(p store.Person) string {
	if p.Name == "" {
		return p.ID
	}
	return format(idAndName, p.ID, p.Name)
}

// add lists somebody as a member, or as keeper.
func (t *turn) add(args string) error {
	id, rest := firstWord(args)
	id = bareMark(id)
	if id == "" || !strings.HasPrefix(id, "@") || strings.ContainsFunc(id, mistakable) || strings.ContainsAny(id, `<>"'&`) {
		t.refuse(addHow)
		return nil
	}
	if _, found, err := t.tx.Person(t.m.Room, id); err != nil || found {
		if found {
			t.refuse(alreadyListed, id)
		}
		return err
	}
	p := store.Person{ID: id}
	if rest = strings.Trim(rest, " .,"); rest != "" {
		asKeeper, is := afterWords(rest, "as keeper")
		if name, named := afterWords(rest, "called"); named {
			p.Name = name
		} else if is && asKeeper == "" {
			p.Roles = []string{store.Keeper}
		} else {
			t.refuse(addHow)
			return nil
		}
	}
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	t.say(added, t.whoIs(p), id)
	return nil
}

// listedPerson finds the person whom a command names first. If they aren't listed it has said so.
func (t *turn) listedPerson(args, example string) (p store.Person, rest string, found bool, err error) {
	id, rest := firstWord(args)
	id = bareMark(id)
	if id == "" {
		t.refuse(whichPerson, example)
		return p, "", false, nil
	}
	p, found, err = t.tx.Person(t.m.Room, id)
	if err == nil && !found {
		t.refuse(notInList, clip(id, 40))
	}
	return p, rest, found, err
}

// makeKeeper gives somebody the register to keep too.
func (t *turn) makeKeeper(args string) error {
	p, _, found, err := t.listedPerson(args, "keeper @ben")
	if err != nil || !found {
		return err
	}
	if p.IsKeeper() {
		t.refuse(isKeeperAlready, p.ID)
		return nil
	}
	p.Roles = append(slices.Clone(p.Roles), store.Keeper)
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	t.say(nowKeeper, t.whoIs(p))
	return nil
}

// notKeeper makes a keeper a member again; one keeper always remains.
func (t *turn) notKeeper(args string) error {
	p, _, found, err := t.listedPerson(args, "not keeper @ben")
	if err != nil || !found {
		return err
	}
	if !p.IsKeeper() {
		t.refuse(isNoKeeper, p.ID)
		return nil
	}
	if only, err := t.onlyKeeper(p); err != nil || only {
		return err
	}
	p.Roles = slices.DeleteFunc(slices.Clone(p.Roles), func(r string) bool { return r == store.Keeper })
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	t.say(noLongerKeeper, t.whoIs(p))
	return nil
}

// onlyKeeper refuses what would leave the register without a keeper.
func (t *turn) onlyKeeper(p store.Person) (bool, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil || !p.IsKeeper() || len(keepersOf(people)) > 1 {
		return false, err
	}
	t.refuse(lastKeeper, p.ID)
	return true, nil
}

// remove takes somebody off the list. What they hold or have begun is settled first.
func (t *turn) remove(args string) error {
	p, why, found, err := t.listedPerson(args, "remove @ben left the team")
	if err != nil || !found {
		return err
	}
	if only, err := t.onlyKeeper(p); err != nil || only {
		return err
	}
	held, begun, err := t.unsettled(p.ID)
	if err != nil {
		return err
	}
	if len(held)+len(begun) > 0 {
		t.refuse("%s", joined(format(notYetRemoved, p.ID), theirs(stillHas, held), theirs(stillInspects, begun)))
		return nil
	}
	why = strings.TrimLeft(why, ":,- ")
	if p.ID == t.person.ID {
		t.form = &form{Kind: removing, Given: map[string]string{"why": why}, Thread: t.m.Thread, Passing: true}
		return t.askForm("")
	}
	return t.takeOff(p, why)
}

func (t *turn) takeOff(p store.Person, why string) error {
	if _, err := t.write(store.PersonRemoved{ID: p.ID, Why: why}); err != nil {
		return err
	}
	t.say(removed, t.whoIs(p))
	return nil
}

// removing asks whoever takes themselves off the list once more: they couldn't put themselves back.
const removing = "remove"

func (t *turn) removingFields(*form) ([]field, error) {
	return []field{yesOrNo("sure", removeYourself)}, nil
}

func (t *turn) finishRemoving(f *form) error {
	if f.Given["sure"] != "yes" {
		t.say(stillListed, t.person.ID)
		return nil
	}
	if only, err := t.onlyKeeper(t.person); err != nil || only {
		return err
	}
	return t.takeOff(t.person, f.Given["why"])
}

func theirs(sentence string, marks []string) string {
	if len(marks) == 0 {
		return ""
	}
	return format(sentence, strings.Join(marks, ", "))
}

// unsettled is what somebody holds, and what they have begun to inspect.
func (t *turn) unsettled(id string) (held, begun []string, err error) {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return nil, nil, err
	}
	for _, i := range items {
		if i.Holder == id {
			held = append(held, i.Mark)
		}
	}
	open, err := t.tx.OpenInspections(t.m.Room)
	for _, i := range open {
		if i.Inspector == id {
			begun = append(begun, i.Mark)
		}
	}
	return held, begun, err
}

// askSomebody sets whether a person is asked one thing at a time, whatever they may sign.
func (t *turn) askSomebody(args string) error {
	p, rest, found, err := t.listedPerson(args, "ask @isla one by one")
	if err != nil || !found {
		return err
	}
	switch strings.ToLower(strings.Trim(rest, " .")) {
	case "one by one":
		p.OneByOne = true
	case "in groups":
		p.OneByOne = false
	default:
		t.refuse(askSomebodyHow, p.ID)
		return nil
	}
	if _, err := t.write(store.PersonListed{Person: p}); err != nil {
		return err
	}
	if p.OneByOne {
		t.say(nowOneByOne, p.ID)
	} else {
		t.say(nowInGroups, p.ID)
	}
	return nil
}

// log lists what somebody examined under supervision, by family: what a decision about competence can rest on.
func (t *turn) log(args string) error {
	p, _, found, err := t.listedPerson(args, "log @isla")
	if err != nil || !found {
		return err
	}
	records, err := t.tx.Supervised(t.m.Room, p.ID)
	if err != nil {
		return err
	}
	var lines []string
	count := map[string]int{}
	for _, r := range records {
		title := r.Mark
		if item, found, err := t.tx.Item(t.m.Room, r.Mark); err != nil {
			return err
		} else if found {
			title = t.titleOf(item.Flow)
		}
		count[title]++
		lines = append(lines, format(logLine, r.Day.Words(), r.Mark, title, strings.ToUpper(r.Verdict.String()), r.Signer, r.Number))
	}
	var sums []string
	for title, n := range count {
		sums = append(sums, format(logSum, n, title))
	}
	slices.Sort(sums)
	t.reply(joined(section(format(logHead, t.whoIs(p)), last(lines, 20)), strings.Join(sums, "\n")))
	return nil
}

// last is the end of a long list.
func last(lines []string, n int) []string { return lines[max(0, len(lines)-n):] }
