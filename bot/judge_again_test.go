package bot

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"becket/flows"
	"becket/store"
)

// byPin is an inspection of D-41 whose pin the yard's sheet still allows.
func byPin(t *testing.T) *conversation {
	t.Helper()
	c := talk(t)
	c.inspect("@ben", "D-41", finds{"measure.wear_pin": "7.600 7.605 7.603"})
	if s := c.status("D-41"); !s.signed || len(s.holds) > 0 {
		t.Fatalf("before, it is signed %v with %d holds", s.signed, len(s.holds))
	}
	return c
}

// Whoever types the second time what the maker says reports nothing, and may release once the item was inspected again.
func TestSafety13_WhoTypedTheSheetMayRelease(t *testing.T) {
	t.Parallel()
	c := byPin(t)
	c.keySheet("@ana", "", dunlin("7.57"))
	if len(c.status("D-41").holds) > 0 {
		t.Error("one person's typing holds it")
	}
	h := c.confirmSheet("@fay", "", dunlin("7.57"))
	c.wantSaid(h, "D-41 is in QUARANTINE")
	if !slices.ContainsFunc(h, func(r Reply) bool { return r.To == "@cal" && strings.Contains(r.Text, "Don't use D-41") }) {
		t.Errorf("the keeper @cal isn't told: %s", h.text())
	}
	c.wantHeld("D-41")
	c.wantSaid(c.say("@ana", "", "why D-41"), "By the figures of")
	hold := c.status("D-41").holds[0]
	if hold.Verdict != flows.Quarantine || hold.Source != store.NewFigures {
		t.Errorf("held as %s for a %s", hold.Verdict, hold.Source)
	}
	c.wantRefused(c.say("@fay", "", "release D-41 measured again, within the new figures"), "inspect")
	c.forward(24 * time.Hour)
	c.inspect("@ben", "D-41", finds{"measure.wear_pin": "7.630 7.632 7.631"})
	if h := c.say("@fay", "", "release D-41 measured again, within the new figures"); h.refused() {
		t.Errorf("the second typist can't release: %s", h.text())
	}
}

// Until the readings are in, nobody hears why by the new figures.
func TestSafety13_NoReasonsWhileItIsMeasured(t *testing.T) {
	t.Parallel()
	c := byPin(t)
	c.begin("@ben", "D-41")
	c.keySheet("@ana", "", dunlin("7.7"))
	h := c.confirmSheet("@fay", "", dunlin("7.7"))
	c.wantSaid(h, "D-41 is in QUARANTINE")
	if strings.Contains(h.text(), "maker's limit") {
		t.Errorf("said while @ben has yet to measure: %s", h.text())
	}
}

// By other facts of its model, what nobody looked at takes it out of use. A milder sheet, or the same facts, move nothing.
func TestSafety13_ByChangedFacts(t *testing.T) {
	t.Parallel()
	c := byPin(t)
	edition := func(number, fact string) string {
		return strings.NewReplacer(`edition: "3"`, `edition: "`+number+`"`, "pin}\n  confirmed", fact+"}\n  confirmed").Replace(yard)
	}
	if err := c.load(edition("4", "pin")); err != nil {
		t.Fatal(err)
	}
	c.deliver()
	if n := len(c.status("D-41").holds); n > 0 {
		t.Errorf("the same facts place %d holds", n)
	}
	if err := c.load(edition("5", "indicator")); err != nil {
		t.Fatal(err)
	}
	c.wantSaid(c.deliver(), "nobody looked at it then")
	c.wantHeld("D-41")
	c.wantSaid(c.say("@cal", "", "judge again"), "None is stricter") // once by one thing
	if n := len(c.status("D-41").holds); n != 1 {
		t.Errorf("judged again, it has %d holds", n)
	}
}

// stricterScript is the library with the descender's script in an edition that quarantines a groove in a plate.
func stricterScript(t *testing.T) []*flows.Flow {
	t.Helper()
	library, err := flows.Library()
	if err != nil {
		t.Fatal(err)
	}
	for n, f := range library {
		if f.ID != "cam-handle-descender" {
			continue
		}
		text := bytes.Replace(f.Text, []byte("revision: 1"), []byte("revision: 2"), 1)
		text = bytes.Replace(text, []byte("{see: a blunt groove, watch: "), []byte("{see: a blunt groove, quarantine: "), 1)
		newer, problems := flows.Load("newer", text)
		if len(problems) > 0 || newer.Hash == f.Hash {
			t.Fatalf("the newer edition: %v", problems)
		}
		library[n] = newer
	}
	return library
}

// A newer edition of a script moves nothing until the keeper has it judged by it; it is said once when it comes. Then what is
// stricter holds, and again moves nothing.
func TestANewerEditionOfAScript(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", finds{"look.path": "groove"})
	c.remind(c.bot)
	if s := c.status("D-41"); s.last.Verdict != flows.Watch {
		t.Fatalf("it came out %s", s.last.Verdict)
	}
	seed := uint64(1)
	c.bot = New(Options{Flows: stricterScript(t), Seed: &seed})
	c.wantSaid(c.remind(c.bot), "edition 2 (items: 1)")
	if h := c.remind(c.bot); len(h) > 0 {
		t.Errorf("said twice: %s", h.text())
	}
	if len(c.status("D-41").holds) > 0 {
		t.Error("the edition alone holds it")
	}
	c.wantRefused(c.say("@ben", "", "judge again"), "@ana or @cal")
	c.wantSaid(c.say("@cal", "", "judge again"), "D-41 is in QUARANTINE. By the script for descender with cam and handle, edition 2")
	if hold := c.status("D-41").holds[0]; hold.Source != store.NewScript || hold.Rule != "path.groove" {
		t.Errorf("held for a %s by %s", hold.Source, hold.Rule)
	}
	c.wantSaid(c.say("@cal", "", "judge again"), "None is stricter")
	if n := len(c.status("D-41").holds); n != 1 {
		t.Errorf("judged twice, it has %d holds", n)
	}
	other := New(Options{Flows: stricterScript(t)[1:], Seed: &seed}) // another set, judged by all the same
	if h := c.remind(other); strings.Contains(h.text(), "edition 2") {
		t.Errorf("said although it was judged: %s", h.text())
	}
}

// Verify names a hold that is missing after a stricter judgement, and a signature by somebody who wasn't competent.
func TestVerifyNamesAMissingHoldAndAForeignSignature(t *testing.T) {
	t.Parallel()
	c := byPin(t)
	c.keySheet("@ana", "", dunlin("7.7"))
	c.confirmSheet("@fay", "", dunlin("7.7"))
	// again goes through the record and leaves out what skip names.
	again := func(skip func(store.Event) bool) (found []string) {
		a := c.bot.audit(t.Context(), c.db)
		c.view(func(tx *store.Tx) error {
			entries, err := tx.EntriesAfter(0, 10_000)
			for _, e := range entries {
				ev, err := e.Event()
				if err != nil {
					return err
				}
				if !skip(ev) {
					found = append(found, a.check(e, ev)...)
				}
			}
			for _, f := range a.end() {
				found = append(found, f.What)
			}
			return err
		})
		return found
	}
	if found := again(func(store.Event) bool { return false }); len(found) > 0 {
		t.Errorf("as it was written: %v", found)
	}
	found := again(func(ev store.Event) bool {
		h, is := ev.(*store.HoldPlaced)
		return is && h.Source == store.NewFigures
	})
	if !strings.Contains(strings.Join(found, "\n"), "judged D-41 again more strictly, and no hold follows") {
		t.Errorf("without its hold: %v", found)
	}
	found = again(func(ev store.Event) bool {
		p, is := ev.(*store.PersonListed)
		return is && p.ID == "@ben"
	})
	if !strings.Contains(strings.Join(found, "\n"), "by @ben, who wasn't competent for it on 14 November 2026") {
		t.Errorf("with @ben never listed: %v", found)
	}
}

// What fails in one room stays that room's: the others are told, and it is tried again later.
func TestARoomInTroubleStopsNoOther(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-41", nil)
	if err := c.load(strings.NewReplacer("!yard", "!barn", "D-", "B-", "22-1", "33-1", "K-77", "K-78").Replace(yard)); err != nil {
		t.Fatal(err)
	}
	err := c.db.Do(t.Context(), func(tx *store.Tx) error {
		_, err := tx.Append("!barn", "test", "test", store.TeamNamed{Name: "Barn (invented)", Zone: "Nowhere/At-all"})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	library, err := flows.Library()
	if err != nil {
		t.Fatal(err)
	}
	var troubled []string
	b := New(Options{Flows: library, Troubled: func(room string, _ error) { troubled = append(troubled, room) }})
	c.remind(b)
	troubled = nil
	c.forward(400 * 24 * time.Hour)
	c.wantSaid(c.remind(b), "D-41")
	c.remind(b)
	if !slices.Equal(troubled, []string{"!barn"}) {
		t.Errorf("in trouble: %v", troubled)
	}
	c.forward(troubledFor)
	c.remind(b)
	if len(troubled) != 2 {
		t.Errorf("a quarter of an hour later: %v", troubled)
	}
}

// Numbers that were given after the copy was made stand on papers, so a record that goes on from it gives none of them again.
func TestSafety18_NoRecordNumberTwice(t *testing.T) {
	t.Parallel()
	c := byPin(t)
	number := func() (number string) {
		err := c.db.Do(t.Context(), func(tx *store.Tx) (err error) {
			number, err = (&turn{bot: c.bot, tx: tx, m: Message{Room: "!yard"}, zone: time.UTC}).nextNumber()
			return errors.Join(err, errUndo)
		})
		if !errors.Is(err, errUndo) {
			t.Fatal(err)
		}
		return number
	}
	if got := number(); got != "2026-0002" {
		t.Errorf("before, the next is %s", got)
	}
	err := c.db.Do(t.Context(), func(tx *store.Tx) error {
		_, _, err := tx.GoOn(restorer, restorer)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := number(); got != "2026-0002-R1114" {
		t.Errorf("after going on from a copy on 14 November, the next is %s", got)
	}
	c.forward(60 * 24 * time.Hour)
	if got := number(); got != "2027-0001" {
		t.Errorf("the next year's first is %s", got)
	}
}
