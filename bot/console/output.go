package console

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"becket/bot"
)

// output is where replies go.
type output interface {
	ready() error
	// reply writes a reply, whose body is its JSON; files are the paths of what goes with it.
	reply(r bot.Reply, body []byte, files []string) error
	done(id, status string) error
	wrong(line int, sentence string) error
}

func (c *Console) output() output {
	if c.JSON {
		return jsonOutput{c.Out}
	}
	return plainOutput{w: c.Out, as: c.As, terminal: c.Terminal}
}

// jsonOutput writes an object a line.
type jsonOutput struct{ w io.Writer }

func (o jsonOutput) line(v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return err
	}
	_, err = o.w.Write(append(text, '\n'))
	return err
}

func (o jsonOutput) ready() error { return o.line(map[string]any{"ready": true}) }

func (o jsonOutput) reply(r bot.Reply, body []byte, files []string) error {
	if len(r.Files) > 0 {
		kept, err := json.Marshal(r.Files)
		if err != nil {
			return err
		}
		before, is := bytes.CutSuffix(body, append(kept, '}')) // the last thing that a reply says
		if !is {
			return fmt.Errorf("the files of the reply %s stand elsewhere than where they are written", r.Key)
		}
		paths, err := json.Marshal(append([]string{}, files...))
		if err != nil {
			return err
		}
		body = append(append(bytes.Clone(before), paths...), '}')
	}
	_, err := o.w.Write(append(body, '\n'))
	return err
}

func (o jsonOutput) done(id, status string) error {
	return o.line(struct {
		Done   string `json:"done"`
		Status string `json:"status"`
	}{id, status})
}

func (o jsonOutput) wrong(line int, sentence string) error {
	return o.line(struct {
		Error string `json:"error"`
		Line  int    `json:"line"`
	}{sentence, line})
}

// plainOutput writes for a person.
type plainOutput struct {
	w        io.Writer
	as       string
	terminal bool
}

func (o plainOutput) ready() error { return nil }

func (o plainOutput) reply(r bot.Reply, _ []byte, files []string) error {
	to := ""
	if r.To != "" && r.To != o.as {
		to = fmt.Sprintf("(to %s)\n", r.To)
	}
	text := r.Text
	if o.terminal {
		text = wrap(text)
	}
	for _, path := range files {
		text += "\n(photo: " + path + ")"
	}
	_, err := fmt.Fprintf(o.w, "%s%s\n\n", to, text)
	return err
}

func (o plainOutput) done(string, string) error { return nil }

func (o plainOutput) wrong(_ int, sentence string) error {
	_, err := fmt.Fprintf(o.w, "%s\n\n", sentence)
	return err
}
