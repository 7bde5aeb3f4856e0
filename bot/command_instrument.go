package bot

import (
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// enterInstrument enters what readings are taken with. Its doubt is worked out from its own sheet.
func (t *turn) enterInstrument(mark string) error {
	given := map[string]string{}
	if mark != "" {
		given["mark"] = mark
	}
	return t.startForm("instrument", given, instrumentStart)
}

func (t *turn) instrumentFields(f *form) ([]field, error) {
	return []field{
		{id: "mark", ask: askInstrumentMark, kind: flows.KindNote, read: anyText},
		{id: "kind", ask: askInstrumentKind, kind: flows.KindNote, read: anyText},
		{id: "limit", ask: askErrorLimit, kind: flows.KindReading, read: readMillimetres},
		{id: "resolution", ask: askResolution, kind: flows.KindReading, read: readMillimetres},
		{id: "setting", ask: askSetting, kind: flows.KindReading, read: readMillimetres},
		{id: "check_by", ask: askCheckBy, kind: flows.KindNote, read: func(text string) (string, error) {
			d, err := due.ParseSpoken(text)
			if err != nil {
				return "", err
			}
			return d.String(), nil
		}},
		confirmField(format(instrumentConfirm, f.Given["mark"], f.errors().Budget().Sentence())),
	}, nil
}

func readMillimetres(text string) (string, error) {
	values, err := flows.ParseReadings(text, "mm")
	if err != nil {
		return "", err
	}
	if len(values) != 1 || values[0].Sign() < 0 {
		return "", complaint(oneNumber)
	}
	return values[0].String(), nil
}

// errors are the components of the doubt, as far as they are given.
func (f *form) errors() flows.Errors {
	given := func(id string) flows.Number {
		n, _ := flows.ParseNumber(f.Given[id]) // not given yet: nothing
		return n
	}
	return flows.Errors{Limit: given("limit"), Resolution: given("resolution"), Setting: given("setting")}
}

func (t *turn) finishInstrument(f *form) error {
	by, err := due.Parse(f.Given["check_by"])
	if err != nil {
		return err
	}
	e := f.errors()
	in := store.Instrument{Mark: strings.ToUpper(f.Given["mark"]), Kind: f.Given["kind"], Doubt: e.Budget().Doubt, Errors: &e, CheckBy: by.First()}
	if _, err := t.write(store.InstrumentListed{Instrument: in}); err != nil {
		return err
	}
	t.say(instrumentKept, in.Mark, in.Doubt, in.CheckBy.Words())
	return nil
}
