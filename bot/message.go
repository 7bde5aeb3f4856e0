// Package bot is the conversation: it takes a message, writes down what it says, and answers. A transport turns
// what arrives into a Message, and a Reply into what leaves; it knows nothing of inspections.
package bot

import (
	"encoding/json"
	"time"

	"becket/flows"
)

// Message is what somebody sent. ID is the transport's own and unique; Thread is empty outside a conversation
// of its own; Replaces names an earlier message that this one edits. Answers is the Key of the reply whose question
// this answers, where somebody tapped one of its Taps; empty for what was typed. Deletes names an earlier message that was
// deleted by From.
type Message struct {
	ID       string    `json:"id"`
	Room     string    `json:"room"`
	Thread   string    `json:"thread,omitempty"`
	From     string    `json:"from"`
	Text     string    `json:"text"`
	Replaces string    `json:"replaces,omitempty"`
	Answers  string    `json:"answers,omitempty"`
	Deletes  string    `json:"deletes,omitempty"`
	Files    []File    `json:"files,omitempty"`
	At       time.Time `json:"at,omitzero"` // the sender's clock
}

// File is something that came with a message or goes with a reply. Hash finds it in the store; Problem says
// in a sentence why it couldn't be kept.
type File struct {
	Name    string `json:"name"`
	Hash    string `json:"hash,omitempty"`
	Type    string `json:"type,omitempty"`
	Size    int64  `json:"size,omitempty"`
	Taken   string `json:"taken,omitempty"` // of a picture: when, by its camera's clock, as 2006-01-02T15:04:05 with or without +01:00
	Code    string `json:"code,omitempty"`  // of a picture: what a tag or a maker's code in it reads
	Problem string `json:"problem,omitempty"`
}

// What a spreadsheet is as a File's type.
const (
	WorkbookType = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
	CSVType      = "text/csv"
)

// isSheet tells whether a file is a spreadsheet, and so no photo.
func (f File) isSheet() bool { return f.Type == WorkbookType || f.Type == CSVType }

// Reply is what Becket says. Its text is complete by itself. Key is unique and follows from the cause, so that
// it can be written twice and said once.
type Reply struct {
	Key     string         `json:"id"`
	Cause   string         `json:"cause,omitempty"`
	Room    string         `json:"room"`
	Thread  string         `json:"thread"`
	To      string         `json:"to"`
	Text    string         `json:"text"`
	HTML    string         `json:"html,omitempty"`
	Refused bool           `json:"refused,omitempty"`
	Ask     *Ask           `json:"ask,omitempty"`
	Verdict *flows.Outcome `json:"verdict,omitempty"`
	Files   []File         `json:"files,omitempty"`
}

// Ask describes the awaited answer to a program. Expect and the choices' verdicts are never in the text.
type Ask struct {
	Inspection string     `json:"inspection,omitempty"`
	Item       string     `json:"item,omitempty"`
	Flow       string     `json:"flow,omitempty"`
	Section    string     `json:"section,omitempty"`
	Steps      []string   `json:"-"`
	Kind       flows.Kind `json:"kind"`
	Choices    []Choice   `json:"choices,omitempty"`
	Unit       string     `json:"unit,omitempty"`
	Repeat     int        `json:"repeat,omitempty"`
	Required   bool       `json:"required"`
	Position   int        `json:"position,omitempty"`
	Of         int        `json:"of,omitempty"`
	Expect     string     `json:"expect,omitempty"`

	asking string // names this asking of the question, as (*inspection).asking does
}

// Choice is one thing that can be chosen by its key.
type Choice struct {
	Key     string         `json:"key"`
	Check   string         `json:"check,omitempty"`
	ID      string         `json:"id"`
	Label   string         `json:"label"`
	Verdict *flows.Verdict `json:"verdict,omitempty"`
}

// MarshalJSON writes the step as a list for a group of checks, as one name otherwise.
func (a Ask) MarshalJSON() ([]byte, error) {
	type bare Ask
	var step any
	switch {
	case a.Kind == flows.KindChecks:
		step = a.Steps
	case len(a.Steps) == 1:
		step = a.Steps[0]
	}
	return json.Marshal(struct {
		bare
		Step any `json:"step,omitempty"`
	}{bare(a), step})
}
