package bot

import "strings"

// Typed is something that can be typed, for apps that list such things.
type Typed struct {
	Words string   // how it begins, like "can i use"
	Or    []string // other beginnings of the same
	Bare  bool     // nothing follows it
	Says  string   // what it is for, as help says it; empty where help doesn't
}

// AllTyped lists what can be typed besides answers.
func AllTyped() []Typed {
	var all []Typed
	for _, c := range commands() {
		all = append(all, Typed{Words: c.words[0], Or: c.words[1:], Bare: c.bare, Says: helpOf(c)})
	}
	return all
}

// helpOf is what help says of a command: what follows the dash, where a line or a part of one begins with its words.
func helpOf(c command) string {
	for line := range strings.Lines(helpIdle + "\n" + helpKit) {
		typed, says, _ := strings.Cut(strings.TrimSpace(line), " - ")
		parts := strings.Split(typed, ";")
		if before, after, also := strings.Cut(says, "; "); also {
			// "sheet - a maker's figures; confirm sheet - typed by a second person"
			also, then, has := strings.Cut(after, " - ")
			if _, is := afterWords(also, c.words[0]); is && has {
				return then
			}
			says = before
		}
		for _, part := range parts {
			if _, is := afterWords(part, c.words[0]); is && says != "" {
				return says
			}
		}
	}
	return ""
}
