package bot

import (
	"slices"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// lettersPhotos is how many photos go with a letter at most: the last ones.
const lettersPhotos = 6

// letter is a question to a maker as plain text: the item's marks, the maker's figures, and what was found and read. i is
// the inspection that it speaks of; nil: there is none.
func (t *turn) letter(item store.Item, i *inspection, question string) (string, error) {
	figures, err := t.lettersFigures(item)
	if err != nil {
		return "", err
	}
	lines := []string{format(letterTo, item.Maker), letterAbout, "", format(letterProduct, t.describe(item)), format(letterSerial, orNotKnown(item.Serial))}
	if item.Batch != "" {
		lines = append(lines, format(letterBatch, item.Batch))
	}
	lines = append(lines, format(letterMade, dayWords(item.Made), dayWords(item.FirstUse)), format(letterOurMark, item.Mark), "", figures, "")
	if i == nil {
		lines = append(lines, letterNever)
	} else {
		lines = append(lines, i.lettersFindings()...)
	}
	model := item.Model
	if model == "" {
		model = letterThisModel
	}
	lines = append(lines, "", format(letterQuestion, question), format(letterPlease, model), "", format(letterFrom, t.person.Called(), t.team.Name))
	return strings.Join(lines, "\n"), nil
}

func orNotKnown(text string) string {
	if text == "" {
		return letterNotKnown
	}
	return text
}

func dayWords(d due.Date) string {
	if d.IsZero() {
		return letterNotKnown
	}
	return d.Words()
}

// lettersFigures are the maker's figures as the sheet has them.
func (t *turn) lettersFigures(item store.Item) (string, error) {
	sheet, found, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil || !found {
		return letterNoFigures, err
	}
	head, cited := letterFigures, format(sheetRef, sheet.Document, sheet.Edition, sheet.Page)
	if !sheet.Counts() {
		head = letterOneTyped
	}
	f, known := t.bot.library[sheet.Flow]
	measured, err := t.modelMeasured(item)
	if err != nil || !known || measured {
		return format(letterCites, cited), err
	}
	lines := []string{format(head, cited)}
	for _, g := range append(slices.Clone(f.Figures), generalFigures()...) {
		n, given := sheet.Figures[g.ID]
		if !given {
			continue
		}
		unit := string(g.Unit)
		if g.Unit == "count" {
			unit = ""
		}
		lines = append(lines, strings.TrimRight(format(letterFigure, capital(strings.ReplaceAll(g.ID, "_", " ")), n, unit), " "))
	}
	return strings.Join(lines, "\n"), nil
}

// modelMeasured tells whether somebody has a reading to take yet on an item of the same model: until it is in, a letter about
// another says no limit either.
func (t *turn) modelMeasured(item store.Item) (bool, error) {
	same, err := t.tx.ItemsOf(t.m.Room, item.Maker, item.Model)
	for _, one := range same {
		if i, err := t.sealed(one.Mark); err != nil || i != nil {
			return true, err
		}
	}
	return false, err
}

// lettersInspection is the inspection that a letter about an item speaks of: the last one in which something was answered. nil: none.
func (t *turn) lettersInspection(mark string) (*inspection, error) {
	rows, err := t.tx.InspectionsOf(t.m.Room, mark)
	if err != nil {
		return nil, err
	}
	for _, row := range slices.Backward(rows) {
		i, err := t.bot.load(t.tx, row)
		if err != nil {
			return nil, err
		}
		if len(i.outcome().Rules) > 0 || i.signed != nil {
			return i, nil
		}
	}
	return nil, nil
}

// lettersFindings are what an inspection found and read.
func (i *inspection) lettersFindings() []string {
	record := ""
	if i.Number != "" {
		record = format(letterRecord, i.Number)
	}
	lines := []string{format(letterFound, i.state.Day.Words(), i.Inspector, record)}
	rules := i.outcome().Rules
	for _, r := range rules {
		line := i.ruleWords(r)
		if place := i.state.Place(r.ID); place != "" {
			line += " " + format(placeSaid, strings.TrimRight(place, "."))
		}
		lines = append(lines, format(letterFinding, line))
	}
	if len(rules) == 0 {
		lines = append(lines, letterNothing)
	}
	for _, step := range i.flow.Steps() {
		w, read := flows.WearOf(i.flow, i.state, step.Name)
		if !read {
			continue
		}
		a, _ := i.state.Given(step.Name)
		var values []string
		for _, n := range a.Readings {
			values = append(values, n.String())
		}
		line := format(letterReading, capital(strings.ReplaceAll(w.Name, "_", " ")), strings.Join(values, ", "), w.Unit, w.Doubt, w.Unit)
		if i.started.Instrument != "" {
			line += format(letterWith, i.started.Instrument)
		}
		lines = append(lines, line)
	}
	if n := len(i.photosToSend()); n > 0 {
		lines = append(lines, format(letterPhotos, n))
	}
	return lines
}

// photosToSend are an inspection's last photos, under names that say nothing but the mark.
func (i *inspection) photosToSend() []File {
	var files []File
	for _, p := range i.photos {
		if p.Hash == "" || !strings.HasPrefix(p.Type, "image/") {
			continue
		}
		name := format(letterFileName, i.Mark, len(files)+1, strings.TrimPrefix(p.Type, "image/"))
		files = append(files, File{Name: name, Hash: p.Hash, Type: p.Type, Size: p.Size})
	}
	return files[max(0, len(files)-lettersPhotos):]
}
