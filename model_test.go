package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync/atomic"

	"github.com/rogpeppe/go-internal/testscript"
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
