package bot

import (
	"strings"

	"becket/bot/translate"
	"becket/store"
)

// chooseLanguage sets in which language the speaker is answered, and asks the open question again so.
func (t *turn) chooseLanguage(args string) error {
	word := strings.Trim(args, " .")
	chosen, is := t.bot.languages.Named(word)
	switch {
	case word == "":
		t.refuse(languageHow, t.languageWords())
		return nil
	case !is:
		t.refuse(languageOther, t.languageWords())
		return nil
	}
	if t.person.Language != chosen.Code {
		if _, err := t.write(store.LanguageChosen{ID: t.person.ID, Language: chosen.Code}); err != nil {
			return err
		}
		t.person.Language = chosen.Code
	}
	said := languageSaid(chosen)
	if t.here != nil {
		return t.ask(t.here, said)
	}
	t.reply(said)
	return nil
}

// languageSaid tells what comes in a language, and who has checked it.
func languageSaid(l translate.Language) string {
	switch {
	case l.Code == translate.English:
		return languageEnglish
	case l.CheckedBy == "":
		return joined(format(languageNow, l.Name), languageUnread)
	}
	return joined(format(languageNow, l.Name), format(languageRead, l.CheckedBy))
}

// languageWords lists what can be typed to choose a language.
func (t *turn) languageWords() string {
	var words []string
	for _, l := range t.bot.languages.Languages() {
		words = append(words, "language "+l.Code)
	}
	return list(words)
}

// inTheirs puts a reply into the language of the person whom it answers. All that was decided and written is done by now. In a reply
// that also stands as HTML nothing is changed, so that both say the same.
func (t *turn) inTheirs(r Reply) (Reply, error) {
	r.Text = shown(r.Text)
	if r.HTML != "" || r.To == "" {
		return r, nil
	}
	language, err := t.languageOf(r.To)
	r.Text = t.bot.languages.Say(language, r.Text)
	return r, err
}

// languageOf is in which language somebody is answered; empty: in English.
func (t *turn) languageOf(id string) (string, error) {
	if id == t.m.From && t.person.ID == id {
		return t.person.Language, nil
	}
	p, _, err := t.tx.Person(t.m.Room, id)
	return p.Language, err
}
