package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// talk holds a conversation with the real program and prints it as a transcript. What people say is read from a
// transcript, so that one file is both: add a line that begins with "> ", run with -update, and the answer
// stands below it.
//
//	> clear                       @me says it
//	@ben> take over D-07          somebody else does
//	@ben in D-07> clear           in the conversation of that item's inspection
//	@ben alone> b               alone with Becket
//	@me edits "d"> e              an edit of the last message with that text
//	> loose [photos/pin.png]      with a photo, or a spreadsheet from files
//	> [10000 x a]                 a letter so many times
//	--- 2026-11-15T08:00:00Z      the clock is put forward
//	# words                       for the reader
//
// Below each reply stands in brackets what only programs see: files, [refused], the verdict with its rules, and in the
// end how many messages and characters it took. Arguments before the transcript's name go to becket chat.
func talk(args []string, out, errs io.Writer) int {
	if len(args) == 0 {
		fmt.Fprintln(errs, "talk takes the transcript last")
		return exitUsage
	}
	last := len(args) - 1
	script, err := os.ReadFile(args[last])
	if err != nil {
		fmt.Fprintln(errs, "talk:", err)
		return exitFailed
	}
	c := &conversation{
		name: strings.TrimSuffix(filepath.Base(args[last]), ".txt"), out: out,
		threads: map[string]string{}, sent: map[string]string{}, keys: map[string]bool{},
	}
	if err := c.hold(args[:last], string(script), errs); err != nil {
		fmt.Fprintln(errs, "talk:", err)
		return exitFailed
	}
	return exitDone
}

// conversation is one run of becket chat --json.
type conversation struct {
	name    string
	in      io.Writer
	lines   *bufio.Scanner
	out     io.Writer
	threads map[string]string // by the item's mark
	sent    map[string]string // ids of messages, by sender and text
	keys    map[string]bool   // ids of replies
	said    strings.Builder   // all that people said
	n       int               // messages
	letters int               // characters of replies
}

// saidLine has the fields of a line of Becket's. Unknown ones fail: programs outside know these alone.
type saidLine struct {
	ID      string `json:"id"`
	Cause   string `json:"cause"`
	Room    string `json:"room"`
	Thread  string `json:"thread"`
	To      string `json:"to"`
	Text    string `json:"text"`
	HTML    string `json:"html"`
	Refused bool   `json:"refused"`
	Ask     *struct {
		Inspection, Item, Flow, Section, Kind, Unit, Expect string
		Step                                                any
		Choices                                             []struct{ Key, Check, ID, Label, Verdict string }
		Repeat, Position, Of                                int
		Required                                            bool
	} `json:"ask"`
	Verdict *struct {
		Inspection, Item, Verdict string
		NextDue                   *string `json:"next_due"`
		LifeEnds                  *string `json:"life_ends"`
		Rules                     []struct {
			ID, Verdict, Because, Basis string
			TakenBack                   bool `json:"taken_back"`
		}
		Missing, Ignored []string
		NotDone          []string `json:"not_done"`
		Flow             struct {
			ID, Hash string
			Revision int
		}
	} `json:"verdict"`
	Files  []any  `json:"files"`
	Done   string `json:"done"`
	Status string `json:"status"`
	Ready  bool   `json:"ready"`
	Error  string `json:"error"`
	Line   int    `json:"line"`
}

func (c *conversation) hold(args []string, script string, errs io.Writer) error {
	becket := exec.Command("becket", append([]string{"chat", "--json"}, args...)...)
	becket.Stderr = errs
	in, err := becket.StdinPipe()
	if err != nil {
		return err
	}
	from, err := becket.StdoutPipe()
	if err != nil {
		return err
	}
	if err := becket.Start(); err != nil {
		return err
	}
	c.in, c.lines = in, bufio.NewScanner(from)
	c.lines.Buffer(nil, 4<<20)
	held := c.lead(script)
	in.Close()
	return errors.Join(held, becket.Wait())
}

// spoken is a line of a transcript that somebody says.
var spoken = regexp.MustCompile(`^(@[a-z]+)?(?: in (\S+)| (alone))?(?: edits "([^"]*)")?>(?: (.*))?$`)

// lead goes through the transcript's lines.
func (c *conversation) lead(script string) error {
	if err := c.hear(func(s saidLine) bool { return s.Ready }); err != nil {
		return err
	}
	for line := range strings.Lines(script) {
		line = strings.TrimRight(line, "\n")
		var err error
		switch {
		case strings.HasPrefix(line, "#"):
			_, err = fmt.Fprintln(c.out, line)
		case strings.HasPrefix(line, "--- "):
			err = c.forward(line)
		case spoken.MatchString(line):
			err = c.say(line, spoken.FindStringSubmatch(line))
		}
		if err != nil {
			return fmt.Errorf("%s: %w", line, err)
		}
	}
	_, err := fmt.Fprintf(c.out, "[%d messages, %d characters in reply]\n", c.n, c.letters)
	return err
}

// attached is what stands in brackets at the end of a message, or is all of it.
var (
	attached = regexp.MustCompile(`\s*\[((?:photos|files)/[^\]]+)\]$`)
	repeated = regexp.MustCompile(`^\[(\d+) x (.)\]$`)
)

// say sends one message and prints what is answered.
func (c *conversation) say(line string, part []string) error {
	from, in, alone, edited, text := part[1], part[2], part[3], part[4], part[5]
	if from == "" {
		from = "@me"
	}
	c.n++
	id := fmt.Sprintf("$%s-%d", c.name, c.n)
	m := map[string]any{"id": id, "from": from}
	if file := attached.FindStringSubmatch(text); file != nil {
		text = strings.TrimSuffix(text, file[0])
		m["files"] = []string{file[1]}
	}
	if many := repeated.FindStringSubmatch(text); many != nil {
		n := 0
		fmt.Sscan(many[1], &n)
		text = strings.Repeat(many[2], n)
	}
	if in != "" {
		if m["thread"] = c.threads[in]; m["thread"] == "" {
			return fmt.Errorf("%s has no conversation yet", in)
		}
	}
	if edited != "" {
		if m["replaces"] = c.sent[from+edited]; m["replaces"] == "" {
			return fmt.Errorf("%s said no %q", from, edited)
		}
	}
	if alone != "" {
		m["room"] = from
	}
	m["text"] = text
	c.sent[from+text] = id
	c.said.WriteString(" " + strings.ToLower(text))
	if _, err := fmt.Fprintln(c.out, line); err != nil {
		return err
	}
	if err := c.send(m); err != nil {
		return err
	}
	var last saidLine
	err := c.hear(func(s saidLine) bool {
		if s.Done == "" {
			last = s
		}
		return s.Done == id
	})
	if err == nil && last.Text != "" && last.Cause != id {
		err = fmt.Errorf("the reply %s has the cause %q", last.ID, last.Cause)
	}
	return err
}

func (c *conversation) forward(line string) error {
	if _, err := fmt.Fprintln(c.out, line); err != nil {
		return err
	}
	if err := c.send(map[string]any{"now": strings.TrimPrefix(line, "--- ")}); err != nil {
		return err
	}
	// The clock's line has no end of its own; a message sent twice has, and says nothing.
	if c.n == 0 {
		return errors.New("somebody has to speak before the clock is put forward")
	}
	id := fmt.Sprintf("$%s-%d", c.name, c.n)
	if err := c.send(map[string]any{"id": id, "text": ""}); err != nil {
		return err
	}
	return c.hear(func(s saidLine) bool { return s.Done == id && s.Status == "repeated" })
}

func (c *conversation) send(m map[string]any) error {
	text, err := json.Marshal(m)
	if err == nil {
		_, err = c.in.Write(append(text, '\n'))
	}
	return err
}

// hear prints what Becket says until a line ends it.
func (c *conversation) hear(ends func(saidLine) bool) error {
	var replies []saidLine
	for c.lines.Scan() {
		var s saidLine
		dec := json.NewDecoder(bytes.NewReader(c.lines.Bytes()))
		dec.DisallowUnknownFields()
		if err := dec.Decode(&s); err != nil {
			return fmt.Errorf("%w in %s", err, c.lines.Text())
		}
		end := ends(s)
		switch {
		case s.Error != "":
			return fmt.Errorf("the line was refused: %s", s.Error)
		case s.Text != "":
			if err := c.print(s); err != nil {
				return err
			}
			replies = append(replies, s)
		case !end:
			return fmt.Errorf("unlooked for: %s", c.lines.Text())
		}
		if end {
			_, err := fmt.Fprintln(c.out)
			return errors.Join(err, fits(replies, s))
		}
	}
	return errors.Join(errors.New("the program ended before it had answered"), c.lines.Err())
}

// fits tests that how a message ended agrees with what was answered.
func fits(replies []saidLine, end saidLine) error {
	if len(replies) == 0 {
		return nil
	}
	last := replies[len(replies)-1]
	if end.Done != "" && (end.Status == "refused") != last.Refused {
		return fmt.Errorf("done says %s, and the last reply has refused: %v", end.Status, last.Refused)
	}
	for _, r := range replies[:len(replies)-1] {
		if r.Ask != nil && r.Thread == last.Thread && r.Room == last.Room {
			return fmt.Errorf("%s asks, and isn't the last reply there", r.ID)
		}
	}
	return nil
}

// posted is the end of the record as the digest posts it. It changes with every word of a script, so no transcript has it.
var posted = regexp.MustCompile(`entries, ends [0-9a-f]{16}`)

// print writes one reply, and in brackets what it says to programs.
func (c *conversation) print(s saidLine) error {
	if s.ID == "" || c.keys[s.ID] {
		return fmt.Errorf("a reply's id is missing or not its own: %q", s.ID)
	}
	c.keys[s.ID] = true
	if s.Ask != nil && s.Ask.Item != "" {
		c.threads[s.Ask.Item] = s.Thread
	}
	c.letters += len([]rune(s.Text))
	if s.Room == s.To {
		fmt.Fprintf(c.out, "(to %s alone)\n", s.To)
	}
	fmt.Fprintln(c.out, posted.ReplaceAllString(s.Text, "entries, ends (16 digits)"))
	for _, file := range s.Files {
		fmt.Fprintf(c.out, "[with %v]\n", file)
	}
	if s.Refused {
		fmt.Fprintln(c.out, "[refused]")
	}
	if v := s.Verdict; v != nil {
		fmt.Fprintf(c.out, "[%s, next due %s; %s]\n", v.Verdict, orNone(v.NextDue), rulesOf(s))
	}
	return c.plain(s.Text)
}

func orNone(day *string) string {
	if day == nil {
		return "none"
	}
	return *day
}

func rulesOf(s saidLine) string {
	ids := make([]string, 0, len(s.Verdict.Rules))
	for _, r := range s.Verdict.Rules {
		ids = append(ids, r.ID)
	}
	if len(ids) == 0 {
		return "no rule"
	}
	return strings.Join(ids, ", ")
}

// unsaid are words of programmers, and bare words of approval, that no person is told.
var unsaid = regexp.MustCompile(`(?i)\b(schema|hash|journal|sync|token|session|null|invalid|parse|submit|pending|workflow|override|admin|timeout|queue|database|retry|abort|cancel|undo|escalate|thread|ticket|revision|safe|ok|passed|approved)\b|!`)

// plain tests that a reply has none of the words that no person is told, unless somebody said them first.
func (c *conversation) plain(text string) error {
	for _, laws := range []string{"afe working load", "afe to operate on that day"} { // a report has to say it in the law's own words
		text = strings.ReplaceAll(text, "s"+laws, "")
		text = strings.ReplaceAll(text, "S"+laws, "")
	}
	words := unsaid.FindAllString(text, -1)
	words = slices.DeleteFunc(words, func(w string) bool { return strings.Contains(c.said.String(), strings.ToLower(w)) })
	if len(words) > 0 {
		return fmt.Errorf("no person is told %q", words)
	}
	return nil
}
