package bot

import "becket/store"

// modelsWithoutSheet lists the models whose figures nobody has typed, or one person only.
func (t *turn) modelsWithoutSheet(_ string) error {
	all, err := t.tx.ModelsWithoutSheet(t.m.Room)
	if err != nil {
		return err
	}
	if len(all) == 0 {
		t.say(modelsAll)
		return nil
	}
	lines := []string{modelsHead}
	for _, m := range all {
		lines = append(lines, modelLine(m, t.bot.title(m.Flow)))
	}
	t.reply(joined(append(lines, modelsMeans)...))
	return nil
}

// modelLine names a model with its kit, and what to type for it.
func modelLine(m store.Unsheeted, title string) string {
	kit := cutList(m.Marks, digestNames)
	switch {
	case m.Maker == "" || m.Model == "":
		return format(modelsNameless, title, kit)
	case m.Sheet == nil:
		return format(modelsNone, m.Maker, m.Model, title, kit)
	case len(m.Sheet.ConfirmedBy) == 0:
		return format(modelsDisputed, m.Maker, m.Model, title, kit)
	}
	return format(modelsByOne, m.Maker, m.Model, title, kit, m.Sheet.ConfirmedBy[0])
}

// noSheet is, among all that is open, the models of which nobody has typed a sheet.
func (s *survey) noSheet() ([]matter, error) {
	models, err := s.t.tx.ModelsWithoutSheet(s.t.m.Room)
	var all []matter
	for _, m := range models {
		if m.Sheet == nil && m.Maker != "" && m.Model != "" {
			all = append(all, matter{name: m.Maker + " " + m.Model, who: whoMay(s.people, actSheet, "", s.today)})
		}
	}
	return all, err
}
