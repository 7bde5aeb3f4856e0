package console

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"becket/bot"
)

func TestParseLineTakesMessages(t *testing.T) {
	at := time.Date(2026, 3, 2, 9, 15, 0, 0, time.UTC)
	for line, want := range map[string]input{
		`{}`:                                 {},
		`{"id":"$1","text":""}`:              {Message: bot.Message{ID: "$1"}},
		`{ "text" : "clear" } `:              {Message: bot.Message{Text: "clear"}},
		`{"text":"\u00e9 \"d\"\n"}`:          {Message: bot.Message{Text: "é \"d\"\n"}},
		`{"files":[]}`:                       {Paths: []string{}},
		`{"files":["a.jpg","photos/b c"]}`:   {Paths: []string{"a.jpg", "photos/b c"}},
		`{"at":"2026-03-02T10:15:00+01:00"}`: {Message: bot.Message{At: at}},
		`{"now":"2026-03-02T09:15:00Z"}`:     {Now: &at},
		`{"id":"$1","room":"!yard","thread":"$0","from":"@ana","text":"d","files":["p.jpg"],"at":"2026-03-02T09:15:00Z","replaces":"$0"}`: {
			Message: bot.Message{ID: "$1", Room: "!yard", Thread: "$0", From: "@ana", Text: "d", Replaces: "$0", At: at}, Paths: []string{"p.jpg"},
		},
	} {
		got, wrong := parseLine(line)
		if wrong != "" {
			t.Errorf("%s: %s", line, wrong)
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%s (- wanted, + got):\n%s", line, diff)
		}
	}
}

// A key is taken exactly as it is named, and once: what is mistaken mustn't be taken for something else.
func TestParseLineRefuses(t *testing.T) {
	for line, want := range map[string]string{
		`{`:                             "doesn't end",
		`{"text":"a"`:                   "doesn't end",
		`{"text":"a"]`:                  "doesn't end",
		`{"text":"a`:                    "isn't",
		`{"text":"a",}`:                 "isn't",
		`{"text" "a"}`:                  "isn't",
		`{text:"a"}`:                    "isn't",
		`{"text":}`:                     "isn't",
		`{1:"a"}`:                       "isn't",
		`{"text":"a"} {}`:               "one object a line",
		`{"text":"a"}x`:                 "one object a line",
		`{"text":"a","text":"a"}`:       `"text" is given twice`,
		`{"text":"a","te\u0078t":"b"}`:  `"text" is given twice`,
		`{"Text":"a"}`:                  `"Text" isn't known`,
		`{"text ":"a"}`:                 `"text " isn't known`,
		`{"":"a"}`:                      `"" isn't known`,
		`{"html":"a"}`:                  `"html" isn't known`,
		`{"text":1}`:                    `"text" is a text`,
		`{"text":null}`:                 `"text" is a text`,
		`{"text":["a"]}`:                `"text" is a text`,
		`{"id":{}}`:                     `"id" is a text`,
		`{"files":"a.jpg"}`:             `"files" is a list`,
		`{"files":[1]}`:                 `"files" is a list`,
		`{"files":null}`:                `"files" is a list`,
		`{"files":["a.jpg",null]}`:      `"files" is a list`,
		`{"at":"yesterday"}`:            `"at" is a time`,
		`{"at":"2026-02-30T09:15:00Z"}`: `"at" is a time`,
		`{"at":"2026-03-02"}`:           `"at" is a time`,
		`{"at":0}`:                      `"at" is a text`,
		`{"now":"soon"}`:                `"now" is a time`,
		`{"now":"2026-03-02T09:15:00Z","text":"a"}`: `"now" stands alone`,
		`{"text":"a","now":"2026-03-02T09:15:00Z"}`: `"now" stands alone`,
	} {
		if _, wrong := parseLine(line); !strings.Contains(wrong, want) {
			t.Errorf("%s: wanted %q, got %q", line, want, wrong)
		}
	}
}

// FuzzLine holds parseLine against the standard library's reading of the same line.
func FuzzLine(f *testing.F) {
	for _, line := range []string{
		`{}`, `{"id":"$1","text":"clear"}`, `{"files":["a",""],"at":"2026-03-02T09:15:00.5+01:00"}`, `{"now":"2026-03-02T09:15:00Z"}`,
		`{"text":"\ud800"}`, `{"text":"a","text":"b"}`, `{"TEXT":"a"}`, `{"text":null}`, `{"files":null}`, `{"text":"a"}}`, "{\"text\":\"\xff\"}", `{"text":"a"`,
		`{"a":[[[[[[1e999]]]]]]}`,
	} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		if !strings.HasPrefix(line, "{") {
			t.Skip("any other line is plain text")
		}
		in, wrong := parseLine(line)
		if wrong != "" {
			if strings.Contains(wrong, "%!") && !strings.Contains(line, "%") || !strings.HasSuffix(wrong, ".") {
				t.Errorf("%q is refused with %q", line, wrong)
			}
			return
		}
		keys := map[string]json.RawMessage{}
		if err := json.Unmarshal([]byte(line), &keys); err != nil {
			t.Fatalf("%q was taken, and it is no object: %v", line, err)
		}
		want := map[string]any{}
		for key, value := range map[string]string{
			"id": in.ID, "room": in.Room, "thread": in.Thread, "from": in.From, "text": in.Text, "replaces": in.Replaces,
		} {
			if _, given := keys[key]; given {
				want[key] = value
			} else if value != "" {
				t.Errorf("%q: %q comes from nowhere: %q", line, key, value)
			}
		}
		for key, moment := range map[string]*time.Time{"at": &in.At, "now": in.Now} {
			if _, given := keys[key]; given {
				want[key] = moment.Format(time.RFC3339Nano)
			}
		}
		if _, given := keys["files"]; given {
			want["files"] = in.Paths
		}
		if len(want) != len(keys) {
			t.Errorf("%q: of %d keys %v were taken", line, len(keys), want)
		}
		sameAgain(t, in, want)
	})
}

// sameAgain tests that what was taken, written as a line, is taken as the same.
func sameAgain(t *testing.T, in input, want map[string]any) {
	t.Helper()
	text, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	again, wrong := parseLine(string(text))
	if diff := cmp.Diff(in, again); diff != "" || wrong != "" {
		t.Errorf("%s is %q, and differs (- before, + again):\n%s", text, wrong, diff)
	}
}

func TestLinesUpToOneMebibyteAreRead(t *testing.T) {
	whole := strings.Repeat("a", maxLine)
	for name, c := range map[string]struct {
		in   string
		want []string // what is read; "-" for a line that is too long
	}{
		"nothing":                    {"", nil},
		"a blank line":               {"\n", []string{""}},
		"without an end":             {"a\nb", []string{"a", "b"}},
		"the ends of another system": {"a\r\nb\r\n", []string{"a", "b"}},
		"the longest":                {whole + "\n" + "b\n", []string{whole, "b"}},
		"too long":                   {whole + "a\nb\n", []string{"-", "b"}},
		"much too long":              {"c\n" + strings.Repeat(whole, 3) + "\nb\n", []string{"c", "-", "b"}},
		"the longest without an end": {whole, []string{whole}},
		"too long without an end":    {whole + "a", []string{"-"}},
	} {
		if got := linesOf(t, c.in); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %d lines, wanted %d, or others: %.40q, %.40q", name, len(got), len(c.want), got, c.want)
		}
	}
}

func linesOf(t *testing.T, in string) (lines []string) {
	t.Helper()
	r := lineReader{bufio.NewReaderSize(bytes.NewReader([]byte(in)), 64<<10)}
	for {
		line, err := r.next()
		switch {
		case errors.Is(err, io.EOF):
			return lines
		case errors.Is(err, errTooLong):
			line = "-"
		case err != nil:
			t.Fatal(err)
		}
		lines = append(lines, line)
	}
}
