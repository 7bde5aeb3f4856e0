package calendar

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
	"unicode"

	ical "github.com/emersion/go-ical"
	"pgregory.net/rapid"

	"becket/flows/due"
)

func date(t interface{ Fatal(...any) }, text string) due.Date {
	d, err := due.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// read opens a calendar with a parser that shares nothing with what wrote it.
func read(t interface {
	Helper()
	Fatal(...any)
}, file []byte) []ical.Event {
	t.Helper()
	cal, err := ical.NewDecoder(bytes.NewReader(file)).Decode()
	if err != nil {
		t.Fatal(err)
	}
	return cal.Events()
}

func TestADayIsReadBack(t *testing.T) {
	made := time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC)
	file := File("Becket", []Event{{Key: "d-07", Day: date(t, "2026-12-31"), Title: "D-07 is due", Text: "rack 2; tin 3, left\nno \\ here", Before: []int{14, 1, 0}}}, made, 7)
	events := read(t, file)
	if len(events) != 1 {
		t.Fatalf("%d events", len(events))
	}
	e := events[0]
	for name, want := range map[string]string{"UID": "d-07", "DTSTART": "20261231", "DTEND": "20270101", "DTSTAMP": "20261114T100000Z", "SEQUENCE": "7", "TRANSP": "TRANSPARENT"} {
		if got := e.Props.Get(name); got == nil || got.Value != want {
			t.Errorf("%s is %v, want %s", name, got, want)
		}
	}
	if kind := e.Props.Get("DTSTART").ValueType(); kind != ical.ValueDate { // RFC 5545, 3.6.1: all day
		t.Errorf("the day is a %s", kind)
	}
	if text, err := e.Props.Text("DESCRIPTION"); err != nil || text != "rack 2; tin 3, left\nno \\ here" {
		t.Errorf("its text is read as %q (%v)", text, err)
	}
	// RFC 5545, 3.8.6.3: a trigger on a DATE counts from 00:00 of that day, local time.
	var triggers []time.Duration
	for _, alarm := range e.Children {
		d, err := alarm.Props.Get("TRIGGER").Duration()
		if err != nil {
			t.Fatal(err)
		}
		triggers = append(triggers, d)
	}
	if want := []time.Duration{-(13*24 + 15) * time.Hour, -15 * time.Hour, 9 * time.Hour}; fmt.Sprint(triggers) != fmt.Sprint(want) {
		t.Errorf("reminded at %v, want %v", triggers, want)
	}
}

// TestWhateverIsWritten is read back as it was, in lines of at most 75 octets that end in CRLF (RFC 5545, 3.1).
func TestWhateverIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.RuneFrom([]rune("ab,;\\:\"\n ÄØ漢🪢é"), unicode.Letter, unicode.Punct, unicode.Zs)).Draw(t, "text")
		file := File("Becket", []Event{{Key: "k", Day: date(t, "2028-02-29"), Title: text, Text: text + text + text}}, time.Unix(0, 0), 1)
		for line := range strings.SplitSeq(strings.TrimSuffix(string(file), "\r\n"), "\r\n") {
			if len(line) > 75 || strings.ContainsAny(line, "\r\n") {
				t.Fatalf("a line of %d octets: %q", len(line), line)
			}
		}
		events := read(t, file)
		if len(events) != 1 {
			t.Fatalf("%d events", len(events))
		}
		for name, want := range map[string]string{"SUMMARY": text, "DESCRIPTION": text + text + text} {
			if got, err := events[0].Props.Text(name); err != nil || got != want {
				t.Fatalf("%s: %q is read as %q (%v)", name, want, got, err)
			}
		}
	})
}
