package console

import (
	"bufio"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

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

// lineWidth is where lines are broken on a terminal, between words.
const lineWidth = 88

// wrap breaks long lines between words and keeps their indent.
func wrap(text string) string {
	var lines []string
	for line := range strings.Lines(text) {
		lines = append(lines, wrapLine(strings.TrimRight(line, "\n"))...)
	}
	return strings.Join(lines, "\n")
}

func wrapLine(line string) []string {
	words := strings.Fields(line)
	indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
	if utf8.RuneCountInString(line) <= lineWidth || len(words) == 0 {
		return []string{line}
	}
	if indent != "" {
		words[0] = indent + words[0]
		indent += "   " // under the label, past its letter
	}
	lines := []string{words[0]}
	for _, w := range words[1:] {
		last := &lines[len(lines)-1]
		if utf8.RuneCountInString(*last)+1+utf8.RuneCountInString(w) > lineWidth {
			lines = append(lines, indent+w)
			continue
		}
		*last += " " + w
	}
	return lines
}
