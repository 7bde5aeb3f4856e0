package bot

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"becket/bot/translate"
	"becket/store"
)

// translated is the yard with all languages that there are.
func translated(t *testing.T) *conversation {
	t.Helper()
	c := talk(t)
	languages, err := translate.Own()
	if err != nil {
		t.Fatal(err)
	}
	c.bot.languages = languages
	return c
}

// Whatever the language, the record is the same to the byte, but for the entry that says which was chosen.
func TestLanguageChangesNoRecord(t *testing.T) {
	t.Parallel()
	records, said := map[string]string{}, map[string]string{}
	for _, code := range []string{"en", "de"} {
		c := translated(t)
		c.say("@ben", "", "language "+code)
		before := len(c.every)
		thread := c.begin("@ben", "D-14")
		for _, wrong := range []string{"ok", "3", "nonsense", ""} {
			c.say("@ben", thread, wrong)
		}
		c.until("@ben", thread, "", finds{"look.cam": "crack", "feel.facing": "step"})
		c.say("@ben", thread, "sign fit")
		c.say("@ben", thread, "sign "+c.open(thread).outcome().Verdict.String())
		c.say("@ben", "", "quarantine D-41 creeps")
		for _, r := range c.every[before:] {
			said[code] += r.Text + "\n"
		}
		records[code] = strings.Replace(c.record(), `"language":"`+code+`"`, `"language":""`, 1)
	}
	if diff := cmp.Diff(records["en"], records["de"]); diff != "" {
		t.Errorf("the record (-en +de):\n%s", diff)
	}
	if !strings.Contains(records["de"], "language chosen") || strings.Contains(said["en"], "Notiert") || !strings.Contains(said["de"], "Notiert") || !strings.Contains(said["de"], "Nach den Regeln: ") {
		t.Errorf("it wasn't said in German:\n%s", said["de"])
	}
}

// Each is answered in their own language, in the same room, and who is told something is told it in theirs.
func TestEachIsAnsweredInTheirs(t *testing.T) {
	t.Parallel()
	c := translated(t)
	c.wantSaid(c.say("@ben", "", "sprache deutsch"), "Ab jetzt auf Deutsch")
	c.wantSaid(c.say("@ben", "", "nonsense"), "weiß ich nichts anzufangen")
	c.wantSaid(c.say("@ana", "", "nonsense"), "I don't know what to do with")
	c.wantRefused(c.say("@ben", "", "language"), "language en")
	c.wantRefused(c.say("@ben", "", "language klingon"), "don't have that language")
	thread := c.begin("@ben", "D-14")
	c.wantSaid(c.say("@ben", thread, "language en"), "In English from now on.\n1 of 12")
	c.wantSaid(c.say("@ben", thread, "language de"), "1 von 12, Kennzeichnung: Read the serial number")
}

// A reply that couldn't be delivered is the same when it is sent again, whatever language was chosen meanwhile.
func TestAReplyKeepsItsLanguage(t *testing.T) {
	t.Parallel()
	c := translated(t)
	c.say("@ben", "", "language de")
	waiting := func() string {
		unsent, err := c.db.Unsent(t.Context(), 10)
		if err != nil || len(unsent) != 1 {
			t.Fatal(unsent, err)
		}
		return string(unsent[0].Body)
	}
	late := store.Incoming{ID: "$late", Room: c.room, Body: []byte(`{"id":"$late","room":"!yard","from":"@ben","text":"nonsense"}`)}
	if _, err := c.db.Receive(t.Context(), "test", []store.Incoming{late}, ""); err != nil {
		t.Fatal(err)
	}
	if err := c.db.Do(t.Context(), func(tx *store.Tx) error { return c.bot.TakeStored(tx, late) }); err != nil {
		t.Fatal(err)
	}
	was := waiting()
	if !strings.Contains(was, "weiß ich nichts") {
		t.Fatal(was)
	}
	if err := c.db.Do(t.Context(), func(tx *store.Tx) error {
		_, err := tx.Append(c.room, "@ben", "$m", store.LanguageChosen{ID: "@ben", Language: "en"})
		return err
	}); err != nil {
		t.Fatal(err)
	}
	if now := waiting(); now != was {
		t.Errorf("it was %s and is %s", was, now)
	}
}
