package console

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"time"

	"becket/bot"
)

// input is what a JSON line says: a message with its files' paths, or a new time.
type input struct {
	bot.Message
	Paths []string
	Now   *time.Time
}

// parseLine reads a line that starts with "{". wrong says in a sentence what can't be taken, and is empty otherwise. Keys are
// taken exactly as they are named, each once.
func parseLine(line string) (in input, wrong string) {
	dec := json.NewDecoder(bytes.NewReader([]byte(line)))
	dec.UseNumber()
	if _, err := dec.Token(); err != nil {
		return in, "This starts like JSON and isn't: " + err.Error() + "."
	}
	seen := map[string]bool{}
	for dec.More() {
		token, err := dec.Token()
		if err != nil {
			return in, "This starts like JSON and isn't: " + err.Error() + "."
		}
		key := token.(string)
		if seen[key] {
			return in, fmt.Sprintf("%q is given twice; give it once.", key)
		}
		seen[key] = true
		var value json.RawMessage
		if err := dec.Decode(&value); err != nil {
			return in, "This starts like JSON and isn't: " + err.Error() + "."
		}
		if wrong := in.set(key, value); wrong != "" {
			return in, wrong
		}
	}
	if _, err := dec.Token(); err != nil {
		return in, "This starts like JSON and doesn't end."
	}
	if _, err := dec.Token(); err != io.EOF {
		return in, "There is something after the object's end; send one object a line."
	}
	if in.Now != nil && len(seen) > 1 {
		return in, "\"now\" stands alone on its line."
	}
	return in, ""
}

// set takes one key of a line.
func (in *input) set(key string, value json.RawMessage) (wrong string) {
	text := func(into *string) string {
		if json.Unmarshal(value, into) != nil || bytes.Equal(value, []byte("null")) {
			return fmt.Sprintf("%q is a text in quotes.", key)
		}
		return ""
	}
	moment := func(into *time.Time) string {
		var s string
		if wrong := text(&s); wrong != "" {
			return wrong
		}
		t, err := time.Parse(time.RFC3339, s)
		if err != nil {
			return fmt.Sprintf("%q is a time like 2026-03-02T09:15:00Z, not %q.", key, s)
		}
		*into = t
		return ""
	}
	switch key {
	case "id":
		return text(&in.ID)
	case "room":
		return text(&in.Room)
	case "thread":
		return text(&in.Thread)
	case "from":
		return text(&in.From)
	case "text":
		return text(&in.Text)
	case "replaces":
		return text(&in.Replaces)
	case "at":
		return moment(&in.At)
	case "now":
		in.Now = &time.Time{}
		return moment(in.Now)
	case "files":
		return in.setFiles(value)
	}
	return fmt.Sprintf("%q isn't known here. A message has id, room, thread, from, text, files, at and replaces.", key)
}

func (in *input) setFiles(value json.RawMessage) (wrong string) {
	var names []*string // null is no name
	if json.Unmarshal(value, &names) != nil || names == nil || slices.Contains(names, nil) {
		return "\"files\" is a list of file names."
	}
	in.Paths = make([]string, len(names))
	for n, name := range names {
		in.Paths[n] = *name
	}
	return ""
}
