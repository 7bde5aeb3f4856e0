package bot

import (
	"strings"

	"becket/prompts"
	"becket/store"
)

// chooseWords sets in which length the speaker is asked, and asks the open question again so.
func (t *turn) chooseWords(args string) error {
	chosen := prompts.Length(strings.ToLower(strings.Trim(args, " .")))
	said := ""
	switch chosen {
	case prompts.Short:
		said = wordsShort
	case prompts.Usual:
		said = wordsUsual
	case prompts.Explained:
		said = wordsExplained
	default:
		t.refuse(wordsHow)
		return nil
	}
	if t.person.Words != string(chosen) {
		if _, err := t.write(store.WordsChosen{ID: t.person.ID, Words: string(chosen)}); err != nil {
			return err
		}
		t.person.Words = string(chosen)
	}
	if t.here != nil {
		return t.ask(t.here, said)
	}
	t.reply(said)
	return nil
}
