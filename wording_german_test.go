package main

import (
	"bytes"
	"encoding/json"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"

	"becket/bot"
	"becket/bot/console"
	"becket/prompts"
	"becket/store"
)

// inGerman are translations of two explanations of the beginner's conversation, by nobody competent: a machine's part is played with them.
func inGerman() map[string]string {
	return map[string]string{
		"Wipe it, tilt it against the light and read every mark aloud, your own and the maker's. Rub faint ones with chalk. Good ones can be read without guessing; bad ones are worn to a shadow, painted over or half filed away. An item that nobody can name brings somebody else's history with it, and without its size and rating the wrong rope or the wrong load goes on it.":         "Wisch es ab, kipp es gegen das Licht und lies jedes Zeichen laut vor, dein eigenes und das des Herstellers. Reib schwache mit Kreide ein. Gute kann man ohne Raten lesen; schlechte sind zu einem Schatten abgenutzt, übermalt oder halb weggefeilt. Ein Stück, das niemand benennen kann, bringt die Geschichte eines anderen mit, und ohne seine Größe und Nennlast kommt das falsche Seil oder die falsche Last daran.",
		"Turn it over slowly and compare it with the picture in the maker's instructions, hole for hole. Look for fresh bright metal, a name cut into it, a screw that isn't like its neighbours, tape or glue. A mark cut into metal starts a crack, and a hole drilled where the load runs leaves less than anybody tested. Whoever did it mostly meant well: ask, and don't tell them off.": "Dreh es langsam um und vergleich es Loch für Loch mit dem Bild in der Anleitung des Herstellers. Such nach frischem blankem Metall, einem eingeschnittenen Namen, einer Schraube, die nicht wie ihre Nachbarn ist, Klebeband oder Leim. Ein in Metall geschnittenes Zeichen beginnt einen Riss, und ein Loch, das gebohrt ist, wo die Last läuft, lässt weniger als das übrig, was jemand geprüft hat. Wer es tat, hat es meist gut gemeint: frag, und schimpf nicht.",
	}
}

const machines = "\nVon einer Maschine übersetzt und von niemandem gelesen. Es gilt das Englische:\n"

// TestAModelChangesNothingOfSubstanceInGerman is the same for somebody who chose German: without a model, and with a good, a hostile, a slow and a
// dead one the record ends in the same hash; a machine's German stands before the English, and nowhere alone.
func TestAModelChangesNothingOfSubstanceInGerman(t *testing.T) {
	off := holdConversation(t, "", nil, "language de")
	if !strings.Contains(off.said, "Nach den Regeln: BEOBACHTEN") {
		t.Fatal("the conversation doesn't come to its verdict:", off.said)
	}
	german := inGerman()
	fill := func(db *store.DB, w *bot.Wording, all []string) {
		all = slices.DeleteFunc(all, func(s string) bool { return german[s] == "" })
		if err := w.Fill(t.Context(), db, all); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("good", func(t *testing.T) {
		t.Parallel()
		on := holdConversation(t, translating(t, func(s string) string { return german[s] }), fill, "language de")
		back, twice := []string{}, 0
		for en, de := range german {
			twice += strings.Count(on.said, inJSON(de+machines+en))
			back = append(back, inJSON(de+machines+en), inJSON(en))
		}
		if got := strings.NewReplacer(back...).Replace(on.said); got != off.said || on.head != off.head || twice != 2 {
			t.Errorf("%d explanations came in German, or more than they changed:\n%s", twice, firstDifference(got, off.said))
		}
	})
	turn := atomic.Int64{}
	lies := []string{" Das ist sicher.", " Das ist ausgemustert.", " Du kannst das überspringen.", " Nie.", " 5 mm sind genug.", " <b>Gut.</b>", " Siehe https://example.org.", " @ana sagt es."}
	for name, url := range map[string]string{
		"hostile": translating(t, func(s string) string { return german[s] + lies[int(turn.Add(1))%len(lies)] }),
		"turned": translating(t, func(s string) string {
			return strings.NewReplacer("niemand", "jemand", "ohne Raten", "mit Raten", "nicht", "", "jedes Zeichen", "ein Zeichen").Replace(german[s])
		}),
		"english": translating(t, func(s string) string { return s }),
		"slow":    translating(t, func(s string) string { time.Sleep(150 * time.Millisecond); return german[s] }),
		"dead":    "http://127.0.0.1:1/v1",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			before := fill
			if name == "slow" {
				before = nil
			}
			if on := holdConversation(t, url, before, "language de"); on != off {
				t.Errorf("it isn't the same conversation: %s", firstDifference(on.said, off.said))
			}
		})
	}
	t.Run("forged", func(t *testing.T) {
		t.Parallel()
		on := holdConversation(t, "http://127.0.0.1:1/v1", func(db *store.DB, w *bot.Wording, all []string) {
			for en, de := range german {
				try := store.WordingTry{Key: prompts.Key(en, "de", ""), Language: "de", Original: en, Choice: string(prompts.Accepted), Text: de + " Das ist sicher."}
				if err := db.Do(t.Context(), func(tx *store.Tx) error { return tx.KeepWording(try) }); err != nil {
					t.Fatal(err)
				}
			}
		}, "language de")
		if on != off {
			t.Errorf("what was forged in the file is said: %s", firstDifference(on.said, off.said))
		}
	})
}

// translating is a server whose model translates where it is asked to, and otherwise says what it was given.
func translating(t testing.TB, say func(text string) string) string {
	return answeringAs(t, func(told, text string) string {
		if strings.Contains(told, "German") {
			return say(text)
		}
		return text
	})
}

// TestWhoeverIsAskedGetsTheirs has two people in one room asked the same: only who chose German gets the translation.
func TestWhoeverIsAskedGetsTheirs(t *testing.T) {
	german := inGerman()
	said := talkWith(t, translating(t, func(s string) string { return german[s] }), nil, slices.Concat(
		saidBy("@isla", "$a", "language de"), []string{"fill"},
		saidBy("@isla", "$b", "inspect D-07", "22-1180"), saidBy("@ben", "$c", "words explained", "inspect D-09", "22-1187"))...)
	for en, de := range german {
		wanted := 0 // @ben is asked both at once, @isla no more than the first
		if strings.HasPrefix(en, "Wipe it, tilt") {
			wanted = 1
		}
		if strings.Count(said, inJSON(de)) != wanted || strings.Count(said, inJSON(de+machines+en)) != wanted || strings.Count(said, inJSON(en)) != 1+wanted {
			t.Errorf("each should be asked in their own language:\n%s", said)
		}
	}
}

// TestWhatSomebodyHasReadComesFirst holds a whole inspection with a reviewed text and a model beside: the model isn't asked for it, and what was
// read is said without the English after it.
func TestWhatSomebodyHasReadComesFirst(t *testing.T) {
	german := inGerman()
	var read string
	for en := range german {
		if strings.HasPrefix(en, "Wipe it, tilt") {
			read = en
		}
	}
	text, err := json.Marshal([]map[string]string{{"from": read, "to": german[read]}})
	if err != nil {
		t.Fatal(err)
	}
	checker, err := prompts.NewChecker()
	if err != nil {
		t.Fatal(err)
	}
	reviewed, err := prompts.LoadReviewed(fstest.MapFS{"german.yaml": {Data: []byte("language: de\nread_by: nobody, this is a test\nread_on: 2026-11-14\ntexts: " + string(text))}}, checker)
	if err != nil {
		t.Fatal(err)
	}
	asked := map[string]int{}
	var mu sync.Mutex
	url := answeringAs(t, func(told, text string) string {
		mu.Lock()
		defer mu.Unlock()
		if strings.Contains(told, "German") {
			asked[text]++
			return german[text]
		}
		return text
	})
	said := talkWith(t, url, reviewed, slices.Concat(saidBy("@isla", "$first", "language de"), []string{"fill"}, answersOfABeginner())...)
	if !strings.Contains(said, inJSON(german[read])) || strings.Contains(said, inJSON(read)) || !strings.Contains(said, "Nach den Regeln: BEOBACHTEN") {
		t.Errorf("what was read isn't said alone:\n%s", said)
	}
	mu.Lock()
	defer mu.Unlock()
	if asked[read] != 0 || len(asked) == 0 {
		t.Errorf("the model was asked %d times for what somebody has read, and for %d texts in all", asked[read], len(asked))
	}
}

// talkWith holds a conversation with a model and reviewed texts beside it, and gives all that was said. At a line "fill" the model is asked for
// what is in the demo's first inspection.
func talkWith(t *testing.T, url string, reviewed *prompts.Reviewed, lines ...string) string {
	t.Helper()
	w, err := wordingFlags{Wording: url, WordingBudget: 2 * time.Second}.wording()
	if err != nil {
		t.Fatal(err)
	}
	w.Reviewed = reviewed
	seed := uint64(1)
	b, err := newBot("", bot.Options{Rewords: rewords(w), Seed: &seed})
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	clock := console.NewClock(now, time.Now)
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "t.db"), clock.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	if err := loadDemo(t.Context(), b, db, io.Discard, "@isla", true); err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	for part := range strings.SplitSeq(strings.Join(lines, "\n"), "\nfill\n") {
		con := console.Console{Bot: b, DB: db, Wording: w, Clock: clock, In: strings.NewReader(part + "\n"), Out: &out, JSON: true, As: "@isla", Room: "!here"}
		if err := con.Run(t.Context()); err != nil {
			t.Fatal(err)
		}
		if err := w.Fill(t.Context(), db, slices.Collect(maps.Keys(inGerman()))); err != nil {
			t.Fatal(err)
		}
	}
	return out.String()
}
