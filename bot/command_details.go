package bot

import (
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// sameThere answers a question with what was answered to the one before.
const sameThere = "same"

// reportDetails asks the keeper for what every report says of the team.
func (t *turn) reportDetails() error {
	if ok, err := t.may(actDetails, ""); err != nil || !ok {
		return err
	}
	return t.startForm("team details", map[string]string{}, detailsStart)
}

func (t *turn) reportDetailFields(f *form) ([]field, error) {
	p := f.particulars()
	return []field{
		{id: "name", ask: askEmployer, kind: flows.KindNote, read: someWords},
		{id: "address", ask: askEmployerAt, kind: flows.KindNote, read: someWords},
		{id: "premises", ask: askPremises, kind: flows.KindNote, read: sameOrWords},
		confirmField(format(detailsTeam, p.Name, p.Address, p.Premises)),
	}, nil
}

// sameOrWords reads words, or that they are the same.
func sameOrWords(text string) (string, error) {
	if sameWord(strings.Trim(text, `".`), sameThere) {
		return sameThere, nil
	}
	return someWords(text)
}

// particulars are a form's answers so far.
func (f *form) particulars() store.Particulars {
	g := f.Given
	p := store.Particulars{
		Name: g["name"], Address: g["address"], Premises: g["premises"], Qualifications: g["qualifications"],
		Employer: g["employer"], EmployerAddress: g["employer_address"],
	}
	if p.Premises == sameThere {
		p.Premises = p.Address
	}
	if p.Employer == selfEmployed {
		p.SelfEmployed, p.Employer = true, ""
	}
	return p
}

func (t *turn) finishReportDetails(f *form) error {
	p := f.particulars()
	if _, err := t.write(store.ParticularsTold{Of: store.OfTeam, Particulars: p}); err != nil {
		return err
	}
	t.say(detailsKept, p.Name, p.Address, p.Premises)
	return nil
}

// myDetails asks somebody for what the reports that they sign say of them.
func (t *turn) myDetails(string) error {
	return t.startForm("my details", map[string]string{}, detailsStart)
}

func (t *turn) myDetailFields(f *form) ([]field, error) {
	p, err := t.ownParticulars(f)
	if err != nil {
		return nil, err
	}
	fields := []field{
		{id: "name", ask: askOwnName, kind: flows.KindNote, read: someWords},
		{id: "address", ask: askOwnAddress, kind: flows.KindNote, read: someWords},
		{id: "qualifications", ask: askQualified, kind: flows.KindNote, read: someWords},
		{id: "employer", ask: askWhoEmploys, kind: flows.KindNote, read: t.whoEmploys},
	}
	own := ownSelf
	if !p.SelfEmployed {
		own = format(ownEmployed, p.Employer, p.EmployerAddress)
		if f.Given["employer"] != sameThere {
			fields = append(fields, field{id: "employer_address", ask: format(askWhoEmploysAt, p.Employer), kind: flows.KindNote, read: someWords})
		}
	}
	return append(fields, confirmField(format(ownConfirm, p.Name, p.Address, capital(strings.TrimRight(p.Qualifications, ".")), own))), nil
}

// ownParticulars are a person's answers so far; who works for whose kit it is has that one's name and address.
func (t *turn) ownParticulars(f *form) (store.Particulars, error) {
	p := f.particulars()
	if p.Employer != sameThere {
		return p, nil
	}
	team, err := t.tx.Particulars(t.m.Room, store.OfTeam)
	p.Employer, p.EmployerAddress = team.Name, team.Address
	return p, err
}

// whoEmploys reads a name, that nobody does, or that it is whose kit it is.
func (t *turn) whoEmploys(text string) (string, error) {
	switch plain := strings.Trim(text, `".`); {
	case sameWord(plain, selfEmployed), sameWord(plain, "self employed"):
		return selfEmployed, nil
	case sameWord(plain, "nobody"), sameWord(plain, "no one"), sameWord(plain, "none"):
		return "", complaint(employedByNone)
	case sameWord(plain, sameThere):
		team, err := t.tx.Particulars(t.m.Room, store.OfTeam)
		if err == nil && team.Name == "" {
			err = complaint(noSame)
		}
		return sameThere, err
	}
	return someWords(text)
}

func (t *turn) finishMyDetails(f *form) error {
	p, err := t.ownParticulars(f)
	if err != nil {
		return err
	}
	if _, err := t.write(store.ParticularsTold{Of: t.m.From, Particulars: p}); err != nil {
		return err
	}
	t.reply(ownKept)
	return nil
}

// safeLoad fills in the safe working load of items, as it is marked on them.
func (t *turn) safeLoad(args string) error {
	return t.fillIn(args, swlExample, swlKept, func(text string) (store.ItemDetailed, error) {
		if !strings.ContainsAny(text, digits) && !strings.HasPrefix(strings.ToLower(text), "none") || letters(text) == 0 {
			return store.ItemDetailed{}, complaint(detailNumber)
		}
		return store.ItemDetailed{SafeLoad: text}, nil
	})
}

// standardOf fills in the standard that is marked on items.
func (t *turn) standardOf(args string) error {
	return t.fillIn(args, stdExample, stdKept, func(text string) (store.ItemDetailed, error) { return store.ItemDetailed{Standard: text}, nil })
}

// schemeOf fills in the written scheme by which items are examined. No day follows from it: how often is the item's interval.
func (t *turn) schemeOf(args string) error {
	return t.fillIn(args, schemeHow, schemeKept, func(text string) (store.ItemDetailed, error) {
		if letters(text) < 2 {
			return store.ItemDetailed{}, complaint(format(detailHow, schemeHow))
		}
		return store.ItemDetailed{Scheme: text}, nil
	})
}

// bought fills in when items were bought.
func (t *turn) bought(args string) error {
	return t.fillIn(args, boughtHow, boughtKept, func(text string) (store.ItemDetailed, error) {
		d, err := due.ParseSpoken(text)
		if err != nil {
			return store.ItemDetailed{}, complaint(sentence(err.Error()))
		}
		return store.ItemDetailed{Bought: d}, nil
	})
}

// lastExamination fills in when items were last examined thoroughly before this record, or that they never were.
func (t *turn) lastExamination(args string) error {
	return t.fillIn(args, lastExample, lastKept, func(text string) (store.ItemDetailed, error) {
		if sameWord(text, neverWord) {
			return store.ItemDetailed{Examined: neverWord}, nil
		}
		d, err := due.ParseSpoken(text)
		switch {
		case err != nil:
			return store.ItemDetailed{}, complaint(beforeHow)
		case d.After(t.day()):
			return store.ItemDetailed{}, complaint(beforeAhead)
		}
		return store.ItemDetailed{Examined: d.String()}, nil
	})
}

// fillIn writes one detail of all the items that a line names first.
func (t *turn) fillIn(args, example, kept string, read func(text string) (store.ItemDetailed, error)) error {
	first, rest, found, err := t.namedItem(args, example)
	if err != nil || !found {
		return err
	}
	more, rest, err := t.moreItems(rest)
	if err != nil {
		return err
	}
	text := strings.Trim(oneLine(rest), ":,- .")
	if text == "" {
		t.refuse(detailHow, example)
		return nil
	}
	ev, err := read(text)
	if err != nil {
		t.refuse("%s", err.Error())
		return nil
	}
	items := append([]store.Item{first}, more...)
	for _, item := range items {
		if ok, err := t.may(actTakeIn, item.Flow); err != nil || !ok {
			return err
		}
	}
	for _, item := range items {
		ev.Mark = item.Mark
		if _, err := t.write(ev); err != nil {
			return err
		}
	}
	t.say(kept, strings.Join(marksOfItems(items), ", "), text)
	return nil
}
