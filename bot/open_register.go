package bot

import (
	"slices"
	"strings"

	"becket/flows/due"
)

func (s *survey) instruments() ([]matter, error) {
	all, err := s.t.tx.Instruments(s.t.m.Room)
	var open []matter
	for _, in := range all {
		if in.CheckBy.After(s.today.AddDays(instrumentDays)) {
			continue
		}
		say := format(openCheckBy, in.CheckBy.Words())
		if !in.InDate(s.today) {
			say = openUnchecked
		}
		open = append(open, matter{
			name: in.Mark, key: "instrument " + in.Mark + " " + in.CheckBy.String(), say: format(openInstrument, in.Kind, say),
			who: whoMay(s.people, actInstrument, "", s.today), do: format(openCheckIt, in.Mark),
		})
	}
	return open, err
}

// competence is whose competence has ended or soon will, families side by side.
func (s *survey) competence() ([]matter, error) {
	var open []matter
	for _, p := range s.people {
		var days []due.Date
		families := map[due.Date][]string{}
		for _, c := range p.Competent {
			if c.Until.After(s.today.AddDays(competenceDays)) {
				continue
			}
			if !slices.Contains(days, c.Until) {
				days = append(days, c.Until)
			}
			families[c.Until] = append(families[c.Until], s.t.bot.title(c.Flow))
		}
		for _, day := range days {
			word := openUntil
			if day.Before(s.today) {
				word = openEnded
			}
			open = append(open, matter{name: p.ID, say: format(word, strings.Join(families[day], ", "), day.Words()), who: keepersOf(s.people)})
		}
	}
	return open, nil
}

// sheets is whose figures were typed by one person only, and by nobody who agrees.
func (s *survey) sheets() ([]matter, error) {
	all, err := s.t.tx.Sheets(s.t.m.Room)
	var open []matter
	for _, sheet := range all {
		if sheet.Counts() {
			continue
		}
		who := slices.DeleteFunc(whoMay(s.people, actSheet, "", s.today), func(id string) bool { return slices.Contains(sheet.ConfirmedBy, id) })
		open = append(open, matter{name: sheet.Name(), who: who})
	}
	return open, err
}
