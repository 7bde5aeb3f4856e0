package main

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"becket/bot"
	"becket/store"
)

// model is a script's command: a server that plays a language model, at $MODEL from then on. It says the lines of a file, one to each text that
// it is asked about, and the last one ever after. A line "dead" is a server that fails.
func model(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 1 {
		ts.Fatalf("usage: model FILE")
	}
	lines := strings.Split(strings.TrimSpace(ts.ReadFile(args[0])), "\n")
	var asked atomic.Int64
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		line := lines[min(int(asked.Add(1)), len(lines))-1]
		if line == "dead" {
			w.WriteHeader(http.StatusServiceUnavailable)
			return
		}
		text, _ := json.Marshal(map[string]string{"text": line})
		content, _ := json.Marshal(string(text))
		_, _ = fmt.Fprintf(w, `{"choices":[{"index":0,"message":{"role":"assistant","content":%s},"finish_reason":"stop"}]}`, content)
	}))
	ts.Defer(s.Close)
	ts.Setenv("MODEL", s.URL+"/v1")
}

// reword is a script's command: the model at $MODEL is asked about one explanation, as happens beside a conversation, and what comes of it is
// kept in a database.
func reword(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: reword DATABASE KEY")
	}
	w, err := wordingFlags{Wording: ts.Getenv("MODEL"), WordingBudget: 10 * time.Second}.wording()
	ts.Check(err)
	b, err := newBot("", bot.Options{})
	ts.Check(err)
	db, err := store.Open(context.Background(), ts.MkAbs(args[0]), time.Now)
	ts.Check(err)
	defer db.Close()
	for _, e := range b.Explained() {
		if e.Key == args[1] {
			ts.Check(w.Fill(context.Background(), db, []string{e.Text}))
			return
		}
	}
	ts.Fatalf("no explanation %s", args[1])
}
