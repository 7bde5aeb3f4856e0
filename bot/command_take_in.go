package bot

import (
	"fmt"
	"strconv"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// takeIn enters an item in the register, question by question.
func (t *turn) takeIn(args string) error {
	given := map[string]string{}
	if mark, _ := firstWord(args); mark != "" {
		if complaint := t.markFree(mark); complaint != "" {
			t.refuse("%s", complaint)
			return nil
		}
		given["mark"] = strings.ToUpper(mark)
	}
	return t.startForm("take in", given, takeInStart)
}

// markFree says why a mark can't be given to a new item; empty: it can.
func (t *turn) markFree(mark string) string {
	if len(mark) > 20 || strings.ContainsAny(mark, " \t/\\<>") {
		return markForm
	}
	items, err := t.tx.ItemsAlike(t.m.Room, mark)
	if err != nil {
		return sentence(err.Error())
	}
	bundles, err := t.tx.BundlesAlike(t.m.Room, mark)
	if err != nil {
		return sentence(err.Error())
	}
	var there []string
	for _, i := range items {
		there = append(there, i.Mark)
	}
	for _, b := range bundles {
		there = append(there, b.Mark)
	}
	for _, other := range there {
		if sameWord(other, mark) {
			return format(markTaken, other)
		}
	}
	if len(there) > 0 {
		return format(markAlike, strings.ToUpper(mark), there[0])
	}
	if u, found, err := t.tx.Unmarked(t.m.Room, mark); err == nil && found {
		return format(markOfUnmarked, u.Mark)
	}
	return ""
}

// newSerial reads a serial number that isn't in the register yet for that maker and model.
func (t *turn) newSerial(f *form) func(string) (string, error) {
	return func(text string) (string, error) {
		text, _ = textOr(text)
		if text == "" {
			return "", nil
		}
		same, err := t.tx.ItemsLike(t.m.Room, f.Given["maker"], f.Given["model"], text)
		if err == nil && len(same) > 0 {
			return "", complaint(format(sameSerialEarly, text, same[0].Mark))
		}
		return text, err
	}
}

func (t *turn) takeInFields(f *form) ([]field, error) {
	var families [][2]string
	for _, fl := range t.bot.families() {
		families = append(families, [2]string{fl.ID, fl.Title})
	}
	familyChoices, readFamily := chooseFrom(families...)
	useChoices, readUse := chooseFrom([2]string{string(flows.People), usePeople}, [2]string{string(flows.Goods), useGoods})
	fields := []field{
		{id: "mark", ask: askMark, kind: flows.KindNote, read: func(text string) (string, error) {
			if c := t.markFree(text); c != "" {
				return "", complaint(c)
			}
			return strings.ToUpper(text), nil
		}},
		{id: "flow", ask: askFamily, kind: flows.KindChoice, choices: familyChoices, read: readFamily},
		{id: "maker", ask: askMaker, kind: flows.KindNote, read: textOr},
		{id: "model", ask: askModel, kind: flows.KindNote, read: textOr},
		{id: "serial", ask: askSerial, kind: flows.KindNote, read: t.newSerial(f)},
	}
	if f.Given["serial"] != "" {
		fields = append(fields, field{id: "serial again", ask: askSerialAgain, kind: flows.KindNote, read: func(text string) (string, error) {
			if text != f.Given["serial"] {
				return "", complaint(serialDiffers)
			}
			return text, nil
		}})
	}
	fields = append(fields,
		field{id: "batch", ask: askBatch, kind: flows.KindNote, read: textOr},
		field{id: "made", ask: askMade, kind: flows.KindNote, read: t.readDate(f)},
		field{id: "first_use", ask: askFirstUse, kind: flows.KindNote, read: t.readDate(f)},
		field{id: "use", ask: askUse, kind: flows.KindChoice, choices: useChoices, read: readUse},
		field{id: "interval", ask: askInterval, kind: flows.KindNote, read: readWhole(1, 60)},
		field{id: "life_made", ask: askLifeMade, kind: flows.KindNote, read: readLife},
		field{id: "life_use", ask: askLifeUse, kind: flows.KindNote, read: readLife},
	)
	fields = append(fields, t.firstReadings(f)...)
	return append(fields, confirmField(t.takeInSummary(f))), nil
}

// firstReadings asks for what always gets measured, as it is on the first day: wear has its origin there.
func (t *turn) firstReadings(f *form) []field {
	fl, ok := t.bot.library[f.Given["flow"]]
	if !ok {
		return nil
	}
	var fields []field
	for _, step := range fl.Steps() {
		r := step.Reading
		if r == nil || len(r.When.Found) > 0 {
			continue
		}
		fields = append(fields, field{id: "first." + r.ID, ask: format(askFirstReading, strings.TrimRight(r.Ask, "."), times(r.Repeat), r.Unit), kind: flows.KindReading, read: func(text string) (string, error) {
			if v, _ := textOr(text); v == "" {
				return "", nil
			}
			values, err := flows.ParseReadings(text, r.Unit)
			if err != nil {
				return "", err
			}
			for _, v := range values {
				if v.Sign() < 0 || r.Low.Cmp(r.High) != 0 && (v.Less(r.Low) || r.High.Less(v)) {
					return "", complaint(format(outOfRange, v))
				}
			}
			return text, nil
		}})
	}
	return fields
}

// readDate reads a date as people write it; "?" is not known.
func (t *turn) readDate(*form) func(string) (string, error) {
	return func(text string) (string, error) {
		if v, _ := textOr(text); v == "" || sameWord(text, "not yet") {
			return "", nil
		}
		d, err := due.ParseSpoken(text)
		if err != nil {
			return "", err
		}
		if d.First().After(t.day()) {
			return "", complaint(format(dateAhead, d.Words()))
		}
		return d.String(), nil
	}
}

func readWhole(low, high int) func(string) (string, error) {
	return func(text string) (string, error) {
		if sameWord(text, "usual") || sameWord(text, "no limit") || sameWord(text, "none") || text == notKnown {
			return "", nil
		}
		n, err := strconv.Atoi(text)
		if err != nil || n < low || n > high {
			return "", complaint(format(wholeNumber, low, high))
		}
		return text, nil
	}
}

// readLife keeps apart what nobody knows and what the maker doesn't limit: unknown is no life without end.
func readLife(text string) (string, error) {
	switch v, _ := textOr(text); {
	case saysNoLimit(text):
		return "", nil
	case v == "":
		return notKnown, nil
	case sameWord(text, "usual"): // an interval has a usual, a life has none
		return "", complaint(format(wholeNumber, 1, 50))
	}
	return readWhole(1, 50)(text)
}

func (t *turn) takeInSummary(f *form) string {
	item, err := itemOf(f)
	if err != nil {
		return sentence(err.Error())
	}
	dates := []string{}
	for _, d := range []struct{ word, value string }{{madeWord, f.Given["made"]}, {firstUseWord, f.Given["first_use"]}} {
		if d.value == "" {
			dates = append(dates, format(dateUnknown, d.word))
		} else {
			dates = append(dates, d.word+" "+d.value)
		}
	}
	return format(takeInConfirm, item.Mark, t.describe(item), orUnknown(item.Serial), strings.Join(dates, ", "), item.Use)
}

func orUnknown(s string) string {
	if s == "" {
		return notKnownWord
	}
	return s
}

func itemOf(f *form) (store.Item, error) {
	g := f.Given
	item := store.Item{
		Item: flows.Item{
			Mark: g["mark"], Serial: g["serial"], Batch: g["batch"], Use: flows.Use(g["use"]),
			IntervalMonths: number(g["interval"]), LifeMadeYears: number(g["life_made"]), LifeUseYears: number(g["life_use"]),
		},
		Flow: g["flow"], Maker: g["maker"], Model: g["model"],
	}
	var err error
	if item.Made, err = dateOf(g["made"]); err != nil {
		return item, err
	}
	item.FirstUse, err = dateOf(g["first_use"])
	return item, err
}

func dateOf(text string) (due.Date, error) {
	if text == "" {
		return due.Date{}, nil
	}
	return due.Parse(text)
}

// number reads what readWhole kept.
func number(text string) int {
	n, _ := strconv.Atoi(text) // empty: no limit
	return n
}

// finishTakeIn enters the item. The same maker, model and serial under another mark is refused: a new mark
// doesn't free a held item.
func (t *turn) finishTakeIn(f *form) error {
	item, err := itemOf(f)
	if err != nil {
		return err
	}
	if err := item.Life().Check(t.day()); err != nil {
		t.refuse("%s", sentence(err.Error()))
		return nil
	}
	if item.Serial != "" {
		same, err := t.tx.ItemsLike(t.m.Room, item.Maker, item.Model, item.Serial)
		if err != nil {
			return err
		}
		if len(same) > 0 {
			t.refuse(sameSerial, item.Serial, same[0].Mark)
			return nil
		}
	}
	item.FirstReadings = map[string][]flows.Number{}
	for id, text := range f.Given {
		reading, ok := strings.CutPrefix(id, "first.")
		if !ok || text == "" {
			continue
		}
		if item.FirstReadings[reading], err = t.parseFirst(item.Flow, reading, text); err != nil {
			return err
		}
	}
	if _, err := t.write(store.ItemTaken{Item: item}); err != nil {
		return err
	}
	untold, err := t.holdLifeUntold(f, item)
	if err != nil {
		return err
	}
	spoken, err := t.cameIn([]store.Item{item})
	if err != nil {
		return err
	}
	text := joined(format(takenIn, item.Mark, item.Mark), untold)
	if item.Made.IsZero() {
		text = joined(text, madeUnknown)
	}
	t.reply(joined(text, spoken))
	return nil
}

// holdLifeUntold holds an item of which nobody could say how long its maker lets it live.
func (t *turn) holdLifeUntold(f *form, item store.Item) (said string, err error) {
	untold, err := lifeUntoldOf(t.tx, t.m.Room, item, f.Given["life_made"] == notKnown, f.Given["life_use"] == notKnown)
	if err != nil || !untold {
		return "", err
	}
	_, err = t.write(lifeHold(item.Mark))
	return format(lifeUntoldHeld, item.Mark), err
}

func (t *turn) parseFirst(flow, reading, text string) ([]flows.Number, error) {
	for _, step := range t.bot.library[flow].Steps() {
		if step.Reading != nil && step.Reading.ID == reading {
			return flows.ParseReadings(text, step.Reading.Unit)
		}
	}
	return nil, fmt.Errorf("no reading %q in the script %s", reading, flow)
}
