package bot

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"becket/bot/evidence"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// records gives every signed inspection, oldest first.
func (e *evidenceOf) records(record func(evidence.Record) error) error {
	for last := int64(0); ; {
		rows, err := e.tx.ClosedAfter(e.m.Room, last, evidencePage)
		if err != nil || len(rows) == 0 {
			return err
		}
		for _, r := range rows {
			last = r.Seq
			e.step()
			i, err := e.bot.load(e.tx, r)
			if err != nil {
				return err
			}
			if i.signed == nil {
				return fmt.Errorf("the inspection %s has no signature in the record", r.ID)
			}
			e.note(i)
			r, err := e.record(i)
			if err != nil {
				return err
			}
			if first, found, err := e.tx.Inspection(i.Repeats); err != nil {
				return err
			} else if found {
				r.Facts = append(r.Facts, evidence.Fact{Name: factRepeat, Says: first.Number})
			}
			if err := record(r); err != nil {
				return err
			}
		}
	}
}

// note remembers by which script and by whom an inspection was made.
func (e *evidenceOf) note(i *inspection) {
	u := e.scripts[i.Flow]
	if u == nil {
		u = &usedScript{flow: i.flow, first: i.Day, last: i.Day}
		e.scripts[i.Flow] = u
	}
	u.records++
	if i.Day.Before(u.first) {
		u.first = i.Day
	}
	if i.Day.After(u.last) {
		u.last = i.Day
	}
	e.people[i.Inspector], e.people[i.signedBy] = true, true
}

func (e *evidenceOf) record(i *inspection) (evidence.Record, error) {
	facts, err := e.recordFacts(i)
	if err != nil {
		return evidence.Record{}, err
	}
	r := evidence.Record{
		ID:    fmt.Sprint("record-", i.Seq),
		Title: format(packRecordTitle, i.signed.Number, i.Mark, i.flow.Title, i.Day.Words(), signedWords(i)),
		Facts: facts,
		Tables: []evidence.Table{
			{Caption: format(packFoundIn, i.signed.Number), Heads: []string{columnPart, columnMeans, columnVerdict}, Rows: foundRows(i)},
			{Caption: format(packMeasuredIn, i.signed.Number), Heads: []string{columnReading, columnRead, columnWorst, columnUnsure, columnNew, columnLimits}, Rows: measuredRows(i)},
		},
	}
	for _, p := range i.photos {
		if p.Hash == "" {
			continue // its sender deleted it
		}
		r.Photos = append(r.Photos, evidence.Photo{
			Name: p.Hash, Of: format(packPhotoOf, i.shownAt(p.Step), i.Mark, i.signed.Number), Type: p.Type,
			File: func() ([]byte, error) { return e.tx.File(p.Hash) },
		})
	}
	return r, nil
}

// signedWords is the verdict that was signed, in words.
func signedWords(i *inspection) string {
	switch i.signed.Verdict {
	case flows.Fit:
		return packFit
	case flows.Retire:
		return packRetire
	}
	return i.signed.Verdict.String()
}

func (e *evidenceOf) recordFacts(i *inspection) ([]evidence.Fact, error) {
	s, o := i.signed, i.signed.Outcome
	ahead, err := e.foretoldAfter(i)
	if err != nil {
		return nil, err
	}
	var all []evidence.Fact
	add := func(name, says string) {
		if says != "" {
			all = append(all, evidence.Fact{Name: name, Says: says})
		}
	}
	add(factVerdict, signedWords(i))
	if s.Verdict != o.Verdict {
		add(factRules, format(packStricter, o.Verdict, s.Reason))
	}
	if o.NextDue != nil && s.Verdict.Usable() {
		add(factDue, soonerWords(due.Nearer(*o.NextDue, ahead.Day, s.Day), *o.NextDue, ahead.Place))
	}
	add(factSerial, i.state.Item.Serial)
	add(factBy, i.Inspector)
	add(factOthers, strings.Join(i.othersThan(i.Inspector), ", "))
	signed := format(packSignedBy, i.signedBy, e.moment(i.Touched))
	if i.State == store.Interim {
		signed = format(packSupervised, i.signedBy, e.moment(i.Touched))
	}
	add(factSigned, signed)
	add(factWarned, s.Warned)
	add(factScript, format(scriptAsked, i.flow.Title, i.flow.Revision))
	add(factDocuments, strings.Join(i.documents(), "; "))
	add(factInterval, i.started.Interval)
	add(factFacts, factsWords(i.started.Start.Facts))
	add(factClear, stepWords(i.clearSteps()))
	add(factNotDone, stepWords(append(slices.Clone(o.Missing), o.NotDone...)))
	for _, n := range i.notes {
		add(factNote, oneLine(n.Text))
	}
	return all, nil
}

// factsWords are what was known of an item when it was inspected.
func factsWords(facts map[string]string) string {
	var all []string
	for _, name := range slices.Sorted(maps.Keys(facts)) {
		all = append(all, strings.ReplaceAll(name, "_", " ")+": "+facts[name])
	}
	return strings.Join(all, "; ")
}

// clearSteps are the checks that were found clear.
func (i *inspection) clearSteps() (steps []string) {
	for _, step := range i.flow.Steps() {
		if a, given := i.state.Given(step.Name); given && step.Check != nil && !a.Unknown && len(a.Findings) == 0 {
			steps = append(steps, step.Name)
		}
	}
	return steps
}

func foundRows(i *inspection) (rows [][]string) {
	for _, d := range i.defects() {
		means := strings.TrimSpace(d.Because + " " + d.Place)
		rows = append(rows, []string{d.Part, means, d.Verdict.String()})
	}
	return rows
}

// measuredRows are the readings, each with its doubt and what it was held against.
func measuredRows(i *inspection) (rows [][]string) {
	for _, step := range i.flow.Steps() {
		w, measured := flows.WearOf(i.flow, i.state, step.Name)
		if !measured {
			continue
		}
		a, _ := i.state.Given(step.Name)
		var read, limits []string
		for _, n := range a.Readings {
			read = append(read, n.String())
		}
		for _, l := range w.Limits {
			limits = append(limits, format(packLimit, limitWord(l.Verdict), l.At, w.Unit, i.cited(l.Basis)))
		}
		fresh := packUntold
		if w.NewKnown {
			fresh = format(packUnit, w.New, w.Unit)
		}
		rows = append(rows, []string{
			capital(strings.ReplaceAll(w.Name, "_", " ")), format(packUnit, strings.Join(read, ", "), w.Unit), format(packUnit, w.Worst, w.Unit),
			format(packUnit, w.Doubt, w.Unit), fresh, cmp.Or(strings.Join(slices.Compact(limits), "; "), packNoLimit),
		})
	}
	return rows
}
