package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// effect is what a day's conditions do to kit.
type effect int

const (
	nothing effect = iota
	callsIn        // not for use until inspected: measured first
	holds          // quarantine
)

// exposure is one kind of conditions: the words for it, what it does to metal and to textile, what to do tonight, and on
// whose word.
type exposure struct {
	id             string
	words          []string
	metal, textile effect
	finding        string // by which an inspection of that day or later answers for it
	care           string
	basis          string
}

// exposures is what follows from a day's conditions.
func exposures() []exposure {
	const arduous = "HSE INDG367 (2009): arduous use means an inspection in between (examples from memory)"
	const practice = "common practice, no source"
	return []exposure{
		{"dust", []string{"dusty", "dust", "grit", "gritty", "calcite", "sand", "sandy", "mud", "muddy"}, callsIn, callsIn, "exposure.grit", careDust, arduous},
		{"salt", []string{"salt", "salty", "sea", "seawater", "spray"}, callsIn, callsIn, "exposure.salt", careSalt, practice},
		{"flood", []string{"flood", "flooded"}, callsIn, callsIn, "exposure.salt", careSalt, practice},
		{"paint", []string{"paint", "painting", "painted"}, callsIn, holds, "exposure.chemical", carePaint, arduous},
		{"chemical", []string{"chemical", "chemicals", "acid", "alkali", "solvent", "fuel", "battery"}, holds, holds, "exposure.chemical", careChemical, practice},
		{"heat", []string{"heat", "hot", "fire", "welding"}, holds, holds, "exposure.heat", careHeat, practice},
		{"wet", []string{"wet", "rain", "rainy"}, nothing, nothing, "", careWet, practice},
	}
}

// isTextile tells whether a family is worn or sewn: it takes up what metal sheds, and paint eats into it. A retractable
// counts as one, whatever its line: what has got into it nobody here can look at.
func isTextile(family string) bool {
	if strings.HasSuffix(family, "-rope") {
		return true
	}
	return slices.ContainsFunc([]string{"harness", "lanyard", "sling", "cows-tail", "textile", "absorber", "helmet", "retractable"}, func(word string) bool {
		return strings.Contains(family, word)
	})
}

func exposureOf(text string) (exposure, bool) {
	worst := exposure{}
	found := false
	for _, word := range strings.Fields(strings.ToLower(text)) {
		for _, e := range exposures() {
			if slices.Contains(e.words, strings.Trim(word, ".,:;")) && (!found || e.metal+e.textile > worst.metal+worst.textile) {
				worst, found = e, true
			}
		}
	}
	return worst, found
}

// conditions says what a day was like and for which kit: "conditions dusty, D-07 K-01", "conditions salt, all that was
// out". What follows is said as tonight's list.
func (t *turn) conditions(args string) error {
	l, err := t.readFieldLine(args)
	if err != nil {
		return err
	}
	if l.wrongDay != "" {
		t.refuse("%s", l.wrongDay)
		return nil
	}
	given := map[string]string{"text": clip(args, 200)}
	if e, found := exposureOf(l.rest); found {
		given["what"] = e.id
	} else if l.rest != "" {
		t.refuse(conditionsUnknown, clip(l.rest, 40), exposureWords())
		return nil
	}
	if len(l.items) > 0 {
		given["kit"] = strings.Join(marksOfItems(l.items), " ")
	}
	day := l.day
	if day.IsZero() {
		day = t.day()
	}
	given["day"] = day.String()
	if !l.until.IsZero() {
		given["until"] = l.until.String()
	}
	if strange := l.strange(); strange != "" {
		given["strange"] = strange
	}
	return t.startForm("conditions", given, given["strange"])
}

func exposureWords() string {
	var words []string
	for _, e := range exposures() {
		words = append(words, e.words[0])
	}
	return strings.Join(words, ", ")
}

func (t *turn) conditionsFields(f *form) ([]field, error) {
	var pairs [][2]string
	for _, e := range exposures() {
		pairs = append(pairs, [2]string{e.id, strings.Join(e.words[:min(3, len(e.words))], ", ")})
	}
	choices, readWhat := chooseFrom(pairs...)
	return []field{
		{id: "what", ask: askConditions, kind: flows.KindChoice, choices: choices, read: readWhat},
		{id: "kit", ask: askKit, kind: flows.KindNote, kit: true, read: func(text string) (string, error) {
			l, err := t.readFieldLine(text)
			if err != nil {
				return "", err
			}
			if len(l.items) == 0 || l.rest != "" {
				return "", complaint(format(notAllMarks, clip(l.rest, 40)))
			}
			return strings.Join(marksOfItems(l.items), " "), nil
		}},
	}, nil
}

func (t *turn) finishConditions(f *form) error {
	e, _ := exposureOf(exposureWord(f.Given["what"]))
	ev := store.ConditionsLogged{What: e.id, Marks: strings.Fields(f.Given["kit"]), Text: f.Given["text"]}
	var err error
	if ev.Day, err = due.Parse(f.Given["day"]); err != nil {
		return err
	}
	if ev.Until, err = dateOf(f.Given["until"]); err != nil {
		return err
	}
	entry, err := t.write(ev)
	if err != nil {
		return err
	}
	out := map[effect][]string{}
	var answered []string
	for _, mark := range ev.Marks {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil || !found {
			return err
		}
		does, on, err := t.expose(e, ev, item, entry.Seq)
		if err != nil {
			return err
		}
		if on != "" {
			answered = append(answered, on)
			continue
		}
		out[does] = append(out[does], item.Mark)
	}
	lines := []string{format(conditionsNoted, e.words[0], ev.Day.Words())}
	if !ev.Until.IsZero() && len(out[callsIn]) > 0 {
		lines = append(lines, format(conditionsUntil, ev.Until.Words()))
	}
	for _, group := range []struct {
		does effect
		say  string
	}{{callsIn, conditionsTonight}, {holds, conditionsHeld}, {nothing, conditionsNothing}} {
		if marks := out[group.does]; len(marks) > 0 {
			lines = append(lines, format(group.say, len(marks), strings.Join(marks, ", ")))
		}
	}
	lines = append(append(lines, answered...), e.care, format(conditionsBasis, e.basis))
	if len(out[callsIn]) > 0 {
		lines = append(lines, format(dueHow, out[callsIn][0]))
	}
	t.reply(joined(append([]string{f.Given["strange"]}, lines...)...))
	return nil
}

// exposureWord is a word by which an exposure is known.
func exposureWord(id string) string {
	for _, e := range exposures() {
		if e.id == id {
			return e.words[0]
		}
	}
	return ""
}

// expose does to an item what the conditions do to its kind, unless an inspection of that day or later answered for it
// already: then it says so.
func (t *turn) expose(e exposure, ev store.ConditionsLogged, item store.Item, n int64) (does effect, answered string, err error) {
	does = e.metal
	if isTextile(item.Flow) {
		does = e.textile
	}
	s, err := t.statusOf(item)
	if err != nil {
		return does, "", err
	}
	if s.retired != nil {
		return does, s.sentence(t.day()), nil
	}
	if day, names, err := t.answeredFor(item, ev.Day, e.finding); err != nil || names {
		return does, format(incidentAnswered, item.Mark, day.Words()), err
	}
	why := format(whyConditions, e.words[0], ev.Day.Words())
	switch does {
	case callsIn:
		_, err = t.write(store.CalledIn{Mark: item.Mark, Why: why, Day: ev.Day, Until: ev.Until, About: n})
	case holds:
		if _, err = t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Quarantine, Why: why, Source: store.Exposure, About: n}); err == nil {
			err = t.tellOldConversation(item.Mark)
		}
	}
	return does, "", err
}
