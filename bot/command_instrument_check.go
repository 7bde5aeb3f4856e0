package bot

import (
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// instrument enters what readings are taken with, or says of one that is there that it was checked or found out.
func (t *turn) instrument(args string) error {
	mark, rest := firstWord(args)
	in, found, err := t.tx.Instrument(t.m.Room, bareMark(mark))
	if err != nil {
		return err
	}
	switch {
	case !found && rest != "":
		return t.noSuchInstrument(mark)
	case !found:
		return t.enterInstrument(mark)
	}
	if _, checked := afterWords(rest, "checked"); checked {
		return t.startForm("check", map[string]string{"mark": in.Mark}, format(checkStart, in.Mark))
	}
	if by, out := afterWords(rest, "out"); out {
		return t.instrumentOut(in, by)
	}
	t.refuse(instrumentHow, in.Mark)
	return nil
}

// noSuchInstrument says that something is said of an instrument that isn't here, and which ones are.
func (t *turn) noSuchInstrument(mark string) error {
	there, err := t.tx.Instruments(t.m.Room)
	if err != nil {
		return err
	}
	var marks []string
	for _, in := range there {
		marks = append(marks, in.Mark)
	}
	t.refuse(instrumentNone, clip(bareMark(mark), 30), orNothing(marks))
	return nil
}

func (t *turn) checkFields(f *form) ([]field, error) {
	return []field{
		{id: "with", ask: askCheckedWith, kind: flows.KindNote, read: anyText},
		{id: "against", ask: askCheckedAgainst, kind: flows.KindReading, read: readMillimetres},
		{id: "reads", ask: askReads, kind: flows.KindReading, read: readMillimetres},
		{id: "check_by", ask: askCheckBy, kind: flows.KindNote, read: t.readComingDay},
		confirmField(format(checkConfirm, f.Given["mark"], f.Given["against"], f.Given["reads"])),
	}, nil
}

// readComingDay reads a day that isn't over.
func (t *turn) readComingDay(text string) (string, error) {
	d, err := due.ParseSpoken(text)
	if err != nil {
		return "", err
	}
	if t.day().After(d.First()) {
		return "", complaint(format(untilPast, d.Words()))
	}
	return d.First().String(), nil
}

// finishCheck takes a check that is within the instrument's own doubt. One that isn't is no check: it was found out.
func (t *turn) finishCheck(f *form) error {
	in, found, err := t.tx.Instrument(t.m.Room, f.Given["mark"])
	if err != nil || !found {
		return err
	}
	against, err := flows.ParseNumber(f.Given["against"])
	if err != nil {
		return err
	}
	reads, err := flows.ParseNumber(f.Given["reads"])
	if err != nil {
		return err
	}
	by, err := due.Parse(f.Given["check_by"])
	if err != nil {
		return err
	}
	if off := reads.Sub(against).Abs(); in.Doubt.Less(off) {
		t.say(checkFailed, in.Mark, off, in.Doubt)
		return t.instrumentOut(in, format(outMillimetres, off))
	}
	if _, err := t.write(store.InstrumentChecked{Mark: in.Mark, Against: against, Reads: reads, With: f.Given["with"], CheckBy: by}); err != nil {
		return err
	}
	t.say(checkKept, in.Mark, reads, against, by.Words())
	return nil
}

// instrumentOut takes an instrument out of use, and names every verdict that leaned on it.
func (t *turn) instrumentOut(in store.Instrument, by string) error {
	by = strings.TrimSpace(strings.TrimRight(by, "."))
	if rest, is := afterWords(by, "by"); is {
		by = rest
	}
	switch {
	case by == "":
		t.refuse(outHow, in.Mark)
		return nil
	case letters(by) == 0:
		t.refuse(outUnit, in.Mark, clip(by, 20))
		return nil
	case in.Out != "":
		t.refuse(outAlready, in.Mark, in.Out)
		return nil
	}
	leaned, err := t.tx.LeanedOn(t.m.Room, in.Mark, in.Good)
	if err != nil {
		return err
	}
	if _, err := t.write(store.InstrumentOut{Mark: in.Mark, By: by}); err != nil {
		return err
	}
	var lines []string
	for _, i := range leaned {
		word := leanedOpen
		if i.State == store.SignedOff {
			word = leanedSigned
		}
		lines = append(lines, format(word, i.Mark, strings.ToUpper(i.Verdict.String()), i.Day.Words(), i.Number, i.Inspector))
	}
	if len(lines) == 0 {
		t.say(outNothing, in.Mark, by)
		return nil
	}
	t.reply(joined(section(format(outHead, in.Mark, by, len(lines)), lines), format(outAfter, in.Mark)))
	return nil
}
