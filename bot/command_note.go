package bot

import "becket/store"

// note writes somebody's own words into the inspection. No rule reads them.
func (t *turn) note(i *inspection, text string) error {
	if text == "" {
		return t.again(i, noteHow)
	}
	if _, err := t.write(store.Noted{Inspection: i.ID, Text: text}); err != nil {
		return err
	}
	return t.ask(i, noted)
}
