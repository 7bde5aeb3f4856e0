package bot

import (
	"crypto/sha256"
	"encoding/binary"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// noneWord is how somebody says that the bench hasn't got a thing.
const noneWord = "none"

// roundFields are the questions about the bench, asked once for a round.
func (t *turn) roundFields(f *form) ([]field, error) {
	light, readLight := chooseFrom([2]string{"yes", "yes"}, [2]string{"no", "no"})
	fields := []field{
		{id: "light", ask: askLight, kind: flows.KindChoice, choices: light, read: func(text string) (string, error) {
			said, err := readLight(text)
			if err == nil && said == "no" {
				return "", complaint(lightFirst)
			}
			return said, err
		}},
		{id: "instrument", ask: askBenchInstrument, kind: flows.KindNote, read: t.readInstrument},
	}
	ropes, err := t.needsRope(strings.Fields(f.Given["marks"]))
	if err != nil {
		return nil, err
	}
	if ropes {
		fields = append(fields, field{id: "rope", ask: askRope, kind: flows.KindNote, kit: true, read: t.readRope})
	}
	if ropes && f.Given["rope"] != noneWord {
		fields = append(fields, field{id: "second", ask: askSecond, kind: flows.KindNote, read: t.readSecond})
	}
	return append(fields, field{id: "instructions", ask: askInstructions, kind: flows.KindConfirm, choices: []Choice{{Key: "yes", ID: "yes", Label: "yes"}}, read: readInstructions}), nil
}

// needsRope tells whether something of a round goes on a rope.
func (t *turn) needsRope(marks []string) (bool, error) {
	for _, mark := range marks {
		item, found, err := t.tx.Item(t.m.Room, mark)
		if err != nil {
			return false, err
		}
		if f, ok := t.bot.library[item.Flow]; found && ok && goesOnRope(f) {
			return true, nil
		}
	}
	return false, nil
}

func goesOnRope(f *flows.Flow) bool {
	return slices.ContainsFunc(f.Sections, func(s flows.Section) bool { return s.OnRope })
}

// readInstrument takes an instrument whose own check holds today, or none.
func (t *turn) readInstrument(text string) (string, error) {
	if sameWord(text, noneWord) {
		return noneWord, nil
	}
	instruments, err := t.tx.Instruments(t.m.Room)
	if err != nil {
		return "", err
	}
	var marks []string
	for _, in := range instruments {
		marks = append(marks, in.Mark)
		switch {
		case !sameWord(in.Mark, strings.Trim(text, ".")):
		case in.CheckBy.IsZero():
			return "", complaint(format(instrumentNever, in.Mark))
		case !in.InDate(t.day()):
			return "", complaint(format(instrumentOver, in.Mark, in.CheckBy.Words()))
		default:
			return in.Mark, nil
		}
	}
	return "", complaint(format(instrumentUnknown, clip(text, 20), list(marks)))
}

// readRope takes the mark of a rope that may be used today, or none.
func (t *turn) readRope(text string) (string, error) {
	if sameWord(text, noneWord) {
		return noneWord, nil
	}
	mark, why, err := t.unfitRope(strings.Trim(text, "."))
	switch {
	case err != nil:
		return "", err
	case why != "":
		return "", complaint(joined(why, ropeInstead))
	}
	return mark, nil
}

// unfitRope says why nothing may be tried on a rope now; empty: it may. It gives the mark as the register has it.
func (t *turn) unfitRope(mark string) (as, why string, err error) {
	item, found, err := t.tx.Item(t.m.Room, mark)
	if err != nil {
		return "", "", err
	}
	if !found {
		return "", format(ropeUnknown, clip(mark, 20)), nil
	}
	if f, ok := t.bot.library[item.Flow]; ok && goesOnRope(f) {
		return "", format(ropeIsNone, item.Mark, t.titleOf(item.Flow)), nil
	}
	s, err := t.statusOf(item)
	if err != nil || s.usable(t.day()) {
		return item.Mark, "", err
	}
	return item.Mark, sentence(s.sentence(t.day())), nil
}

// readSecond takes the name of somebody else.
func (t *turn) readSecond(text string) (string, error) {
	who := strings.Trim(text, " .")
	if sameWord(who, t.m.From) || sameWord(who, t.person.Name) || sameWord(who, "me") {
		return "", complaint(secondNotYou)
	}
	if letters(who) < 2 || isNod(who) {
		return "", complaint(secondWho)
	}
	if sameWord(who, noneWord) || sameWord(who, "nobody") {
		return noneWord, nil
	}
	return who, nil
}

func readInstructions(text string) (string, error) {
	if sameWord(strings.Trim(text, "."), "yes") {
		return "yes", nil
	}
	return "", complaint(instructionsFirst)
}

// finishRound begins the round, its order drawn by chance, and asks of the first item.
func (t *turn) finishRound(f *form) error {
	seed, err := t.seedFor()
	if err != nil {
		return err
	}
	given := func(id string) string {
		if f.Given[id] == noneWord {
			return ""
		}
		return f.Given[id]
	}
	marks := strings.Fields(f.Given["marks"])
	shuffle(marks, seed)
	begun := store.RoundBegun{Round: t.m.ID, Thread: t.m.ID, RoundPlan: store.RoundPlan{
		Marks: marks, Seed: seed,
		Bench: store.Setup{
			Light: true, Instructions: true, Instrument: given("instrument"), Rope: given("rope"), Second: given("second"),
		},
	}}
	if _, err := t.write(begun); err != nil {
		return err
	}
	r, _, err := t.tx.Round(begun.Round)
	if err != nil {
		return err
	}
	t.round = &r
	return t.goOn(roundBegins)
}

// shuffle puts marks into an order that follows from the seed alone.
func shuffle(marks []string, seed uint64) {
	lots := map[string]string{}
	for _, m := range marks {
		lots[m] = lot(seed, m)
	}
	slices.SortStableFunc(marks, func(a, b string) int { return strings.Compare(lots[a], lots[b]) })
}

// lot is what chance gives a mark, the same for the same seed on every machine.
func lot(seed uint64, mark string) string {
	sum := sha256.Sum256(binary.BigEndian.AppendUint64([]byte(mark), seed))
	return string(sum[:])
}

// seedIn is the chance of one item of a round.
func seedIn(seed uint64, mark string) uint64 { return binary.BigEndian.Uint64([]byte(lot(seed, mark))) }

// newRope names another test rope for the rest of a round: "rope R-13 with @ben".
func (t *turn) newRope(args string) error {
	mark, rest := firstWord(args)
	who, with := afterWords(rest, "with")
	switch {
	case t.round == nil && !with:
		return t.anyAnswer() // "rope slips in the rain" tells of kit, and names no rope for a bench
	case t.round == nil:
		t.refuse(noRound)
		return nil
	}
	rope, err := t.readRope(mark)
	if err == nil && (mark == "" || rope == noneWord || !with) {
		err = complaint(ropeHow)
	}
	if err == nil {
		who, err = t.readSecond(who)
	}
	if err == nil && who == noneWord {
		err = complaint(secondWho)
	}
	if wrong, is := err.(complaint); is {
		t.refuse("%s", string(wrong))
		return nil
	}
	if err != nil {
		return err
	}
	if _, err := t.write(store.RoundRope{Round: t.round.ID, Rope: rope, Second: who}); err != nil {
		return err
	}
	t.round.Bench.Rope, t.round.Bench.Second = rope, who
	return t.goOn(format(ropeNow, rope, who))
}

// noRopeNow says why nothing goes on a rope in a round; empty: it may.
func (t *turn) noRopeNow(r store.Round) (string, error) {
	switch {
	case r.Bench.Rope == "":
		return ropeNone, nil
	case r.Bench.Second == "":
		return secondNone, nil
	}
	_, why, err := t.unfitRope(r.Bench.Rope)
	return why, err
}
