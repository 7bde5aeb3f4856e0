package bot

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// incident takes a whole system out of use in one line: "incident fall Gull Gully 14 Nov, R-03 D-07 K-01 @isla". What
// the line names is out at once; what it leaves open is asked afterwards.
func (t *turn) incident(args string) error {
	l, err := t.readFieldLine(args)
	if err != nil {
		return err
	}
	what, where := happened(l.rest)
	if len(l.items) == 0 && what == store.Unsaid && where == "" {
		t.refuse(incidentHow)
		return nil
	}
	logged := store.Incident{What: what, Day: l.day, Text: where, People: l.people, Items: marksOfItems(l.items)}
	entry, err := t.write(store.IncidentLogged{Incident: logged})
	if err != nil {
		return err
	}
	for _, mark := range logged.Items {
		if err := t.photosOf(mark); err != nil {
			return err
		}
	}
	said, err := t.outOfUse(entry.Seq, logged, l.items)
	if err != nil {
		return err
	}
	given := map[string]string{"incident": strconv.FormatInt(entry.Seq, 10)}
	if what != store.Unsaid {
		given["what"] = string(what)
	}
	if !l.day.IsZero() {
		given["day"] = l.day.String()
	}
	if len(l.people) > 0 {
		given["people"] = strings.Join(l.people, " ")
	}
	return t.startForm("incident", given, joined(l.wrongDay, l.strange(), said))
}

// happened reads what happened, and what else the line says: where. Of two words the stricter counts.
func happened(text string) (store.Happened, string) {
	what := store.Unsaid
	var left []string
	for _, word := range strings.Fields(text) {
		switch strings.ToLower(strings.Trim(word, ".,:;")) {
		case "fall", "fell", "arrest", "arrested":
			what = store.FallStop
		case "shock", "jerk", "shockload":
			if what != store.FallStop {
				what = store.ShockLoad
			}
		case "drop", "dropped":
			if what == store.Unsaid {
				what = store.Dropped
			}
		case "load", "stopped":
		default:
			left = append(left, word)
		}
	}
	return what, strings.Trim(strings.Join(left, " "), " .,:;")
}

// outOfUse takes the items of an incident out of use and says so: a stopped fall or a shock load is quarantine; a drop, or
// what nobody has said yet, is not for use until inspected, so that drops are reported.
func (t *turn) outOfUse(n int64, incident store.Incident, items []store.Item) (string, error) {
	if len(items) == 0 {
		return incidentNoItems, nil
	}
	day := incident.Day
	if day.IsZero() {
		day = t.day()
	}
	why := incidentWords(incident)
	var out, answered []string
	for _, item := range items {
		if s, err := t.statusOf(item); err != nil {
			return "", err
		} else if s.retired != nil {
			answered = append(answered, s.sentence(t.day()))
			continue
		}
		on, names, err := t.answeredFor(item, day, findingsOf(incident.What)...)
		switch {
		case err != nil:
			return "", err
		case names:
			answered = append(answered, format(incidentAnswered, item.Mark, on.Words()))
			continue
		}
		if err := t.outOfUseOne(n, incident.What, item, why, day); err != nil {
			return "", err
		}
		out = append(out, item.Mark)
	}
	told, err := t.tellAllOf(items, out, why)
	if err != nil {
		return "", err
	}
	lines := []string{}
	if !t.listed {
		lines = append(lines, format(provisionalHold, t.m.From))
	}
	if len(out) > 0 {
		lines = append(lines, format(incidentSentence(incident.What), len(out), strings.Join(out, ", ")))
	}
	return joined(append(append(lines, answered...), told)...), nil
}

func (t *turn) outOfUseOne(n int64, what store.Happened, item store.Item, why string, day due.Date) error {
	source, holds := holdingOf(what)
	if !holds {
		_, err := t.write(store.CalledIn{Mark: item.Mark, Why: why, Day: day, About: n})
		return err
	}
	standing, err := t.tx.Standing(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(standing, func(h store.Hold) bool { return h.About == n && h.Source == source }) {
		return nil
	}
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Quarantine, Why: why, Source: source, About: n}); err != nil {
		return err
	}
	return t.tellOldConversation(item.Mark)
}

// holdingOf tells which incidents are quarantine (EN 365:2004 clause 4, from memory; shock load: common practice).
func holdingOf(what store.Happened) (store.Source, bool) {
	switch what {
	case store.FallStop:
		return store.Arrest, true
	case store.ShockLoad:
		return store.Shock, true
	}
	return "", false
}

// findingsOf are the findings by which an inspection answers for an incident that is logged late.
func findingsOf(what store.Happened) []string {
	switch what {
	case store.FallStop:
		return []string{"history.arrest", "history.arrest_end"}
	case store.Dropped:
		return []string{"exposure.dropped", "exposure.drop_end"}
	}
	return nil
}

func incidentSentence(what store.Happened) string {
	if _, holds := holdingOf(what); holds {
		return incidentHeld
	}
	return incidentCalled
}

// incidentWords say what happened, where and when, as the reason that stands with each item.
func incidentWords(i store.Incident) string {
	word := map[store.Happened]string{store.FallStop: whyFall, store.ShockLoad: whyShock, store.Dropped: whyDrop, store.Unsaid: whyIncident}[i.What]
	where := slices.DeleteFunc(strings.Fields(i.Text), aMark) // marks of nothing here; the record keeps the line as it was typed
	if len(where) > 0 {
		word += ", " + strings.TrimRight(clip(strings.Join(where, " "), 80), ",;: ")
	}
	if !i.Day.IsZero() {
		word += ", " + i.Day.Words()
	}
	return word
}

// tellAllOf tells the keepers and each holder once, however many items are theirs.
func (t *turn) tellAllOf(items []store.Item, out []string, why string) (string, error) {
	if len(out) == 0 {
		return "", nil
	}
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return "", err
	}
	tell := keepersOf(people)
	for _, i := range items {
		if i.Holder != "" && slices.Contains(out, i.Mark) && !slices.Contains(tell, i.Holder) {
			tell = append(tell, i.Holder)
		}
	}
	tell = slices.DeleteFunc(tell, func(id string) bool { return id == t.m.From })
	for _, id := range tell {
		t.tell(id, format(toldOut, strings.Join(out, ", "), t.m.From, why))
	}
	if len(tell) == 0 {
		return "", nil
	}
	return format(toldWhom, strings.Join(tell, ", ")), nil
}

func (t *turn) incidentFields(f *form) ([]field, error) {
	choices, readWhat := chooseFrom([2]string{string(store.FallStop), whatFall}, [2]string{string(store.Dropped), whatDrop}, [2]string{string(store.ShockLoad), whatShock})
	return []field{
		{id: "what", ask: askWhatHappened, kind: flows.KindChoice, choices: choices, read: readWhat},
		{id: "day", ask: askWhen, kind: flows.KindNote, read: func(text string) (string, error) {
			rest, day, err := t.cutDay(text, "")
			if err != nil {
				return "", err
			}
			if day.IsZero() || strings.TrimSpace(rest) != "" {
				return "", complaint(askWhen)
			}
			if day.After(t.day()) {
				return "", complaint(format(dateAhead, day.Words()))
			}
			return day.String(), nil
		}},
		{id: "people", ask: askWhoWasIn, kind: flows.KindNote, read: func(text string) (string, error) {
			if sameWord(text, "nobody") {
				return "nobody", nil
			}
			l, err := t.readFieldLine(text)
			if err != nil || len(l.people) == 0 || l.rest != "" {
				return "", complaint(askWhoWasIn)
			}
			return strings.Join(l.people, " "), nil
		}},
		{id: "more", ask: askMoreItems, kind: flows.KindNote, kit: true, read: func(text string) (string, error) {
			if saysThatsAll(text) {
				return thatsAll, nil
			}
			l, err := t.readFieldLine(text)
			if err != nil {
				return "", err
			}
			if l.rest != "" || len(l.items) == 0 {
				return "", complaint(format(notAllMarks, clip(l.rest, 40)))
			}
			return strings.Join(marksOfItems(l.items), " "), nil
		}},
	}, nil
}

// thatsAll ends the list of an incident's kit.
const thatsAll = "that's all"

func saysThatsAll(text string) bool {
	text = strings.ToLower(strings.Trim(text, " ."))
	return slices.Contains([]string{thatsAll, "thats all", "that is all", "no", "none", "nothing"}, text)
}

// addToIncident writes down an answer as soon as it is given: what it names is out of use from then on.
func (t *turn) addToIncident(f *form, id string) error {
	n, err := strconv.ParseInt(f.Given["incident"], 10, 64)
	if err != nil {
		return fmt.Errorf("reading which incident was half told: %w", err)
	}
	value := f.Given[id]
	added := store.IncidentAdded{Incident: n}
	switch {
	case id == "what":
		added.What = store.Happened(value)
	case id == "day":
		if added.Day, err = due.Parse(value); err != nil {
			return err
		}
	case id == "people" && value != "nobody":
		added.People = strings.Fields(value)
	case id == "more" && value != thatsAll:
		added.Items = strings.Fields(value)
	default:
		return nil
	}
	if _, err := t.write(added); err != nil {
		return err
	}
	incident, _, err := t.tx.Incident(n)
	if err != nil {
		return err
	}
	marks := added.Items
	if id == "what" {
		marks = incident.Items
	}
	var items []store.Item
	for _, mark := range marks {
		item, _, err := t.tx.Item(t.m.Room, mark)
		if err != nil {
			return err
		}
		items = append(items, item)
	}
	if len(items) == 0 {
		return nil
	}
	if f.Said, err = t.outOfUse(n, incident, items); err != nil {
		return err
	}
	if id == "more" { // there may be more still
		delete(f.Given, "more")
		f.Order = f.Order[:len(f.Order)-1]
	}
	return nil
}

func (t *turn) finishIncident(f *form) error {
	n, err := strconv.ParseInt(f.Given["incident"], 10, 64)
	if err != nil {
		return fmt.Errorf("reading which incident was half told: %w", err)
	}
	i, _, err := t.tx.Incident(n)
	if err != nil {
		return err
	}
	t.reply(joined(format(incidentDone, incidentWords(i), len(i.Items), strings.Join(i.Items, ", ")), incidentRelease(i)))
	return nil
}

// incidentRelease says how its items come back.
func incidentRelease(i store.Incident) string {
	source, holds := holdingOf(i.What)
	notBy := ""
	if len(i.People) > 0 {
		notBy = format(incidentNotBy, list(i.People))
	}
	switch {
	case !holds:
		return incidentInspect
	case source.NeedsDocument():
		return format(incidentMaker, notBy)
	}
	return format(incidentPerson, notBy)
}
