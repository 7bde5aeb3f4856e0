package console

import (
	"bufio"
	"errors"
	"io"

	"github.com/peterh/liner"
)

// reader gives one line after another.
type reader interface {
	next() (string, error)
	close()
}

func (c *Console) input() (reader, error) {
	if c.Terminal {
		line := liner.NewLiner()
		line.SetCtrlCAborts(true)
		line.SetMultiLineMode(true)
		return terminal{line}, nil
	}
	return lineReader{bufio.NewReaderSize(c.In, 64<<10)}, nil
}

// terminal edits lines and remembers them.
type terminal struct{ line *liner.State }

func (t terminal) next() (string, error) {
	text, err := t.line.Prompt("> ")
	if errors.Is(err, liner.ErrPromptAborted) {
		return "", io.EOF
	}
	if err == nil && text != "" {
		t.line.AppendHistory(text)
	}
	return text, err
}

func (t terminal) close() { _ = t.line.Close() }
