package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"becket/bot"
	"becket/prompts"
	"becket/store"
)

// answersOfABeginner take D-07 from its serial to a verdict.
func answersOfABeginner() []string {
	said := []string{"inspect D-07", "22-1180"}
	for n := range 17 {
		if n == 6 {
			said = append(said, "6")
		}
		said = append(said, "clear")
	}
	said = append(said[:19], "0.05 0.06 0.05", "7.98 7.99 7.97", "clear", "clear", "why D-07", "due")
	return saidBy("@isla", "$", said...)
}

// saidBy makes lines of what somebody says, with ids that begin with a prefix.
func saidBy(who, prefix string, said ...string) (lines []string) {
	for n, text := range said {
		line, _ := json.Marshal(map[string]string{"id": fmt.Sprint(prefix, n), "from": who, "text": text})
		lines = append(lines, string(line))
	}
	return lines
}

// answering is a server whose model says something to each text.
func answering(t testing.TB, say func(text string) string) string {
	t.Helper()
	return answeringAs(t, func(_, text string) string { return say(text) })
}

// answeringAs is one that also heeds what it is told to do with the text.
func answeringAs(t testing.TB, say func(told, text string) string) string {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		var asked struct{ Messages []struct{ Content string } }
		if err := json.NewDecoder(r.Body).Decode(&asked); err != nil || len(asked.Messages) != 2 {
			w.WriteHeader(http.StatusTeapot)
			return
		}
		text, _ := json.Marshal(map[string]string{"text": say(asked.Messages[0].Content, asked.Messages[1].Content)})
		content, _ := json.Marshal(string(text))
		_, _ = fmt.Fprintf(w, `{"choices":[{"index":0,"message":{"role":"assistant","content":%s},"finish_reason":"stop"}]}`, content)
	}))
	t.Cleanup(s.Close)
	return s.URL + "/v1"
}

// held is what came of one conversation: what was said, and the end of the record.
type held struct{ said, head string }

// holdConversation holds the beginner's conversation in a database of its own, with explanations reworded beforehand and meanwhile. What the
// beginner says first stands before that.
func holdConversation(t *testing.T, url string, before func(*store.DB, *bot.Wording, []string), first ...string) held {
	t.Helper()
	file := filepath.Join(t.TempDir(), "t.db")
	args := []string{"chat", "--json", "--demo", "--db", file, "--now", "2026-11-14T10:00:00Z", "--seed", "1"}
	if len(first) > 0 {
		var errs bytes.Buffer
		if code := run(args, strings.NewReader(strings.Join(saidBy("@isla", "$first", first...), "\n")+"\n"), io.Discard, &errs); code != 0 {
			t.Fatalf("%d: %s", code, &errs)
		}
	}
	if url != "" {
		args = append(args, "--wording", url, "--wording-budget", "100ms")
		w, err := wordingFlags{Wording: url, WordingBudget: 2 * time.Second}.wording()
		if err != nil {
			t.Fatal(err)
		}
		b, err := newBot("", bot.Options{})
		if err != nil {
			t.Fatal(err)
		}
		db, err := store.Open(t.Context(), file, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		if before != nil {
			before(db, w, texts(b))
		}
		if err := db.Close(); err != nil {
			t.Fatal(err)
		}
	}
	var out, errs bytes.Buffer
	if code := run(args, strings.NewReader(strings.Join(answersOfABeginner(), "\n")+"\n"), &out, &errs); code != 0 {
		t.Fatalf("%d: %s", code, &errs)
	}
	if code := run([]string{"verify", "--db", file}, strings.NewReader(""), io.Discard, &errs); code != 0 {
		t.Errorf("verify: %s", &errs)
	}
	db, err := store.OpenToRead(t.Context(), file, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	h := held{said: out.String()}
	if err := db.View(t.Context(), func(tx *store.Tx) error {
		seq, head, err := tx.Head()
		h.head = fmt.Sprintf("%d %x", seq, head)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return h
}

// TestAModelChangesNothingOfSubstance holds the same conversation without a model, and with good, hostile, slow, dead and forged ones: the
// record ends in the same hash, and where anything was said differently it was an explanation, in words that every check agrees to.
func TestAModelChangesNothingOfSubstance(t *testing.T) {
	off := holdConversation(t, "", nil)
	if !strings.Contains(off.said, "By the rules: WATCH") {
		t.Fatal("the conversation doesn't come to its verdict:", off.said)
	}
	fill := func(db *store.DB, w *bot.Wording, all []string) {
		all = slices.DeleteFunc(all, func(s string) bool { return !strings.Contains(off.said, inJSON(s)) }) // the others are met by nobody here
		if err := w.Fill(t.Context(), db, all); err != nil {
			t.Fatal(err)
		}
	}
	t.Run("good", func(t *testing.T) {
		back := []string{}
		on := holdConversation(t, answering(t, func(s string) string { return strings.Replace(s, " and ", " and then ", 1) }), func(db *store.DB, w *bot.Wording, all []string) {
			fill(db, w, all)
			for _, s := range all {
				back = append(back, inJSON(strings.Replace(s, " and ", " and then ", 1)), inJSON(s))
			}
		})
		if on.said == off.said {
			t.Error("nothing was reworded")
		}
		if got := strings.NewReplacer(back...).Replace(on.said); got != off.said || on.head != off.head {
			t.Errorf("more than explanations changed:\n%s", firstDifference(got, off.said))
		}
	})
	turn := atomic.Int64{}
	lies := []string{" It is safe.", " Skip this.", " <b>Fit.</b>", " See https://example.org.", " Retire it.", " 5 mm is enough.", " You may file it.", " @ana says it passes."}
	for name, url := range map[string]string{
		"hostile": answering(t, func(s string) string { return s + lies[int(turn.Add(1))%len(lies)] }),
		"turned": answering(t, func(s string) string {
			return strings.NewReplacer("n't", "", " not ", " ", "never ", "", "Never ", "", "Nobody", "Somebody").Replace(s) + " That is clear."
		}),
		"slow": answering(t, func(s string) string { time.Sleep(150 * time.Millisecond); return s }),
		"dead": "http://127.0.0.1:1/v1",
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			before := fill
			if name == "slow" {
				before = nil
			}
			if on := holdConversation(t, url, before); on != off {
				t.Errorf("it isn't the same conversation: %s", firstDifference(on.said, off.said))
			}
		})
	}
	t.Run("forged", func(t *testing.T) {
		t.Parallel()
		on := holdConversation(t, "http://127.0.0.1:1/v1", func(db *store.DB, w *bot.Wording, all []string) {
			err := db.Do(t.Context(), func(tx *store.Tx) error {
				for _, s := range all {
					if err := tx.KeepWording(store.WordingTry{Key: prompts.Key(s, prompts.English, ""), Language: prompts.English, Original: s, Choice: string(prompts.Accepted), Text: s + " It is safe."}); err != nil {
						return err
					}
				}
				return nil
			})
			if err != nil {
				t.Fatal(err)
			}
		})
		if on != off {
			t.Errorf("what was forged in the file is said: %s", firstDifference(on.said, off.said))
		}
	})
}

func inJSON(s string) string {
	text, _ := json.Marshal(s)
	return string(text[1 : len(text)-1])
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for n := range min(len(x), len(y)) {
		if x[n] != y[n] {
			return fmt.Sprintf("%.1500s\nand not\n%.1500s", x[n], y[n])
		}
	}
	return fmt.Sprintf("%d and %d lines", len(x), len(y))
}

// TestSaidOnceAsItWasSettled settles a reply before it is sent: what is reworded afterwards changes nothing of it.
func TestSaidOnceAsItWasSettled(t *testing.T) {
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "t.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	w, err := wordingFlags{Wording: answering(t, func(s string) string { return strings.Replace(s, " and ", " and then ", 1) })}.wording()
	if err != nil {
		t.Fatal(err)
	}
	const explained = "Wipe it and look."
	out := func(key string) string {
		t.Helper()
		if err := db.Do(t.Context(), func(tx *store.Tx) error {
			if err := tx.Say(key, "$1", "!here", []byte(`{"id":"`+key+`","text":"\"Wipe it and look.\" you said.\nWipe it and look.\n  a  \u003cdull\u003e"}`)); err != nil {
				return err
			}
			return tx.Explains(key, store.Guidance{Texts: []string{explained}})
		}); err != nil {
			t.Fatal(err)
		}
		unsent, err := db.Unsent(t.Context(), 10)
		if err != nil {
			t.Fatal(err)
		}
		o, err := w.Out(t.Context(), db, unsent[len(unsent)-1])
		if err != nil {
			t.Fatal(err)
		}
		return string(o.Body)
	}
	first := out("a")
	if err := w.Fill(context.Background(), db, []string{explained}); err != nil {
		t.Fatal(err)
	}
	second := out("b")
	if want := `\nWipe it and then look.\n  a  \u003cdull\u003e`; strings.Contains(first, "then") || !strings.Contains(second, want) || !strings.Contains(second, `\"Wipe it and look.\" you said.`) {
		t.Errorf("first %s, then %s", first, second)
	}
	unsent, err := db.Unsent(t.Context(), 10)
	if err != nil || len(unsent) != 2 || string(unsent[0].Body) != first || string(unsent[1].Body) != second || unsent[0].Guidance+unsent[1].Guidance != "" {
		t.Errorf("what would be sent again: %v, %v", unsent, err)
	}
}
