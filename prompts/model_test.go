package prompts

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"
	"time"
)

const (
	plainOriginal = "Never file a cam. Take three readings."
	plainReworded = "Never file any cam. Then take three readings."
)

// serve runs a server that answers as told.
func serve(t testing.TB, answer http.HandlerFunc) string {
	t.Helper()
	s := httptest.NewServer(answer)
	t.Cleanup(func() {
		s.CloseClientConnections()
		s.Close()
	})
	return s.URL + "/v1"
}

// completion is a whole answer that says something.
func completion(said string) string {
	text, _ := json.Marshal(said)
	return fmt.Sprintf(`{"id":"x","object":"chat.completion","model":"m","choices":[{"index":0,"message":{"role":"assistant","content":%s},"finish_reason":"stop"}]}`, text)
}

func inAnswer(text string) string {
	form, _ := json.Marshal(map[string]string{"text": text})
	return completion(string(form))
}

func says(w http.ResponseWriter, body string) {
	w.Header().Set("Content-Type", "application/json")
	_, _ = io.WriteString(w, body)
}

func model(t testing.TB, url string) *Model {
	t.Helper()
	return NewModel(Server{URL: url, Model: "m", Key: "secret-key", Budget: 300 * time.Millisecond}, checker(t))
}

// TestNothingWrongComesOutOfAHostileServer has a server say each wrong thing, in the form and without.
func TestNothingWrongComesOutOfAHostileServer(t *testing.T) {
	c := checker(t)
	var next atomic.Value
	url := serve(t, func(w http.ResponseWriter, _ *http.Request) { says(w, next.Load().(string)) })
	m := NewModel(Server{URL: url, Budget: 5 * time.Second}, c)
	came := 0
	for _, wrong := range wrongOnes(t) {
		masked := wrong.to // by one that keeps what it has to, and is wrong all the same
		_, held := hold(wrong.from, c.languages[English])
		for n, piece := range held {
			masked = strings.Replace(masked, piece, heldWord(n+1), 1)
		}
		for _, said := range []string{inAnswer(wrong.to), completion(wrong.to), inAnswer(masked)} {
			next.Store(said)
			try := m.Reword(t.Context(), wrong.from, wrong.language)
			if inForm := strings.HasPrefix(wrong.to, "{"); try.Choice == Accepted && (!inForm || try.Text == wrong.to) || (try.Text != "") != (len(try.Objections) == 0) {
				t.Errorf("%s: came through: %s", wrong.what, try.Text)
			}
			came++
		}
	}
	if came < 600 {
		t.Errorf("only %d wrong answers were given", came)
	}
}

func TestServersThatMisbehave(t *testing.T) {
	good := inAnswer(plainReworded)
	forever := func(w http.ResponseWriter, r *http.Request) {
		for r.Context().Err() == nil {
			if _, err := io.WriteString(w, strings.Repeat(" ", 1<<16)); err != nil {
				return
			}
		}
	}
	for name, c := range map[string]struct {
		answer http.HandlerFunc
		want   Choice
	}{
		"good":              {func(w http.ResponseWriter, _ *http.Request) { says(w, good) }, Accepted},
		"500":               {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(500); says(w, good) }, Failed},
		"429":               {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(429) }, Failed},
		"404":               {func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(404); says(w, "secret-key") }, Failed},
		"a page":            {func(w http.ResponseWriter, _ *http.Request) { says(w, "<html>"+plainReworded+"</html>") }, Failed},
		"nothing":           {func(http.ResponseWriter, *http.Request) {}, Failed},
		"cut in the middle": {func(w http.ResponseWriter, _ *http.Request) { says(w, good[:len(good)/2]) }, Failed},
		"hangs up": {func(w http.ResponseWriter, _ *http.Request) {
			if conn, _, err := w.(http.Hijacker).Hijack(); err == nil {
				_ = conn.Close()
			}
		}, Failed},
		"promises more than it sends": {func(w http.ResponseWriter, _ *http.Request) {
			w.Header().Set("Content-Length", "9999")
			says(w, good[:90])
		}, Failed},
		"slow": {func(w http.ResponseWriter, r *http.Request) {
			select {
			case <-r.Context().Done():
			case <-time.After(900 * time.Millisecond):
				says(w, good)
			}
		}, Failed},
		"a byte now and then": {func(w http.ResponseWriter, r *http.Request) {
			for n := 0; r.Context().Err() == nil && n < len(good); n++ {
				_, _ = io.WriteString(w, good[n:n+1])
				w.(http.Flusher).Flush()
				time.Sleep(50 * time.Millisecond)
			}
		}, Failed},
		"endless":    {forever, Failed},
		"no answers": {func(w http.ResponseWriter, _ *http.Request) { says(w, `{"choices":[]}`) }, Refused},
		"two answers": {func(w http.ResponseWriter, _ *http.Request) {
			says(w, strings.Replace(good, `[{`, `[{"index":1},{`, 1))
		}, Refused},
		"filtered": {func(w http.ResponseWriter, _ *http.Request) {
			says(w, strings.Replace(good, "stop", "content_filter", 1))
		}, Refused},
		"wants a tool": {func(w http.ResponseWriter, _ *http.Request) { says(w, strings.Replace(good, "stop", "tool_calls", 1)) }, Refused},
		"no content":   {func(w http.ResponseWriter, _ *http.Request) { says(w, completion("")) }, Refused},
		"a number":     {func(w http.ResponseWriter, _ *http.Request) { says(w, completion(`{"text":3}`)) }, Refused},
		"null":         {func(w http.ResponseWriter, _ *http.Request) { says(w, completion(`{"text":null}`)) }, Refused},
		"another name": {func(w http.ResponseWriter, _ *http.Request) { says(w, completion(`{"answer":"`+plainReworded+`"}`)) }, Refused},
		"one and another": {func(w http.ResponseWriter, _ *http.Request) {
			says(w, completion(`{"text":"`+plainReworded+`"} It is safe.`))
		}, Refused},
		"a list": {func(w http.ResponseWriter, _ *http.Request) { says(w, completion(`["`+plainReworded+`"]`)) }, Refused},
		"elsewhere": {func(w http.ResponseWriter, r *http.Request) {
			if strings.HasSuffix(r.URL.Path, "/there") {
				says(w, good)
				return
			}
			http.Redirect(w, r, "/there", http.StatusTemporaryRedirect)
		}, Failed},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			begun := time.Now()
			try := model(t, serve(t, c.answer)).Reword(t.Context(), plainOriginal, English)
			if try.Choice != c.want || (try.Text != "") != (c.want == Accepted) {
				t.Errorf("%+v, and %s was wanted", try, c.want)
			}
			if took := time.Since(begun); took > 2*time.Second {
				t.Errorf("it took %v", took)
			}
			if strings.Contains(fmt.Sprint(try), "secret-key") {
				t.Errorf("it gives the key away: %+v", try)
			}
		})
	}
}

func TestServersAnswerInTheirWays(t *testing.T) {
	for _, s := range readTable[struct {
		Server, Source, Body, Plain string
		Status                      int
		Want                        Choice
	}](t, "testdata/servers.yaml") {
		if !strings.HasPrefix(s.Source, "from documentation") {
			t.Errorf("%s: it doesn't say where it is from", s.Server)
		}
		fill := strings.NewReplacer("GOOD", plainReworded, "BAD", "Never file any cam. Then take two readings.")
		url := serve(t, func(w http.ResponseWriter, r *http.Request) {
			asked, _ := io.ReadAll(r.Body)
			switch {
			case s.Plain != "" && !strings.Contains(string(asked), "response_format"):
				says(w, fill.Replace(s.Plain))
			case s.Status != 0:
				w.WriteHeader(s.Status)
				says(w, s.Body)
			default:
				says(w, fill.Replace(s.Body))
			}
		})
		m := NewModel(Server{URL: url}, checker(t))
		for range 2 { // the second time it knows the server
			if try := m.Reword(t.Context(), plainOriginal, English); try.Choice != s.Want {
				t.Errorf("%s: %+v, and %s was wanted", s.Server, try, s.Want)
			}
		}
	}
}

func TestADeadServerIsLeftAlone(t *testing.T) {
	asked := atomic.Int32{}
	m := model(t, serve(t, func(w http.ResponseWriter, _ *http.Request) { asked.Add(1); w.WriteHeader(500) }))
	for range 20 {
		if try := m.Reword(t.Context(), plainOriginal, English); try.Choice != Failed {
			t.Fatal(try)
		}
	}
	if try := m.Reword(t.Context(), plainOriginal, English); !try.Resting() || asked.Load() != mostFailures {
		t.Errorf("it was asked %d times; at rest: %v", asked.Load(), try.Resting())
	}
}

func TestNoMoreAtOnceThanPlaces(t *testing.T) {
	now, most := atomic.Int32{}, atomic.Int32{}
	url := serve(t, func(w http.ResponseWriter, _ *http.Request) {
		most.Store(max(most.Load(), now.Add(1)))
		time.Sleep(20 * time.Millisecond)
		now.Add(-1)
		says(w, inAnswer(plainReworded))
	})
	m := NewModel(Server{URL: url, Budget: 5 * time.Second}, checker(t))
	done := make(chan Try)
	for range 12 {
		go func() { done <- m.Reword(context.Background(), plainOriginal, English) }()
	}
	for range 12 {
		if try := <-done; try.Choice != Accepted {
			t.Error(try)
		}
	}
	if most.Load() > mostAtOnce {
		t.Errorf("%d at once", most.Load())
	}
}

// TestWhatAModelIsAsked sees that only the instruction and the masked text leave, and figures never do.
func TestWhatAModelIsAsked(t *testing.T) {
	var asked string
	url := serve(t, func(w http.ResponseWriter, r *http.Request) {
		body, _ := io.ReadAll(r.Body)
		asked = string(body)
		says(w, inAnswer("Hold it at ZQ1X for C-2."))
	})
	try := NewModel(Server{URL: url}, checker(t)).Reword(t.Context(), "Hold it at 5 mm.", English)
	if try.Choice != Refused || strings.Contains(asked, "5 mm") || !strings.Contains(asked, "Hold it at ZQ1X.") || !strings.Contains(asked, "json_schema") {
		t.Errorf("%+v; asked: %s", try, asked)
	}
}

func TestOnlyWhatWasReadIsTakenAsReviewed(t *testing.T) {
	c := checker(t)
	if _, err := OwnReviewed(c); err != nil {
		t.Error(err)
	}
	file := func(text string) (*Reviewed, error) {
		return LoadReviewed(fstest.MapFS{"one.yaml": {Data: []byte(text)}}, c)
	}
	r, err := file("language: de\nread_by: Ana\nread_on: 2026-11-26\ntexts:\n- {from: Never file a cam., to: Feile nie eine Nocke.}\n")
	if err != nil {
		t.Fatal(err)
	}
	if got, is := r.For("Never file a cam.", "de"); !is || got != "Feile nie eine Nocke." {
		t.Error(got)
	}
	for text, want := range map[string]string{
		"language: de\ntexts:\n- {from: Never file a cam., to: Feile nie eine Nocke.}\n":                                         "read_by",
		"language: de\nread_by: Ana\nread_on: 2026-11-26\ntexts:\n- {from: Never file a cam., to: Feile eine Nocke.}\n":          "never",
		"language: xx\nread_by: Ana\nread_on: 2026-11-26\ntexts:\n- {from: Never file a cam., to: Feile nie eine Nocke.}\n":      "language",
		"language: de\nread_by: Ana\nread_on: 2026-11-26\nanswers:\n- {from: Never file a cam., to: Feile nie eine Nocke.}\n":    "answers",
		"language: de\nread_by: Ana\nread_on: 2026-11-26\ntexts:\n- {from: Never file a cam., to: Feile sicher nie eine Nocke.}": "sicher",
	} {
		if _, err := file(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
}

func TestKeyNamesAllThatCounts(t *testing.T) {
	keys := []string{Key("a", "b", "c"), Key("ab", "", "c"), Key("a", "bc", ""), Key("a", "b", "d"), Key("", "ab", "c")}
	if slices.Sort(keys); len(slices.Compact(keys)) != 5 {
		t.Error("two differ and have one name")
	}
}
