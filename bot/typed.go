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

// helpOf is what help says of a command: what follows the dash in the part of a line that begins with its words.
func helpOf(c command) string {
	for _, about := range helpTexts() {
		for line := range strings.Lines(about[1]) {
			for part := range strings.SplitSeq(strings.TrimSpace(line), "; ") {
				typed, says, _ := strings.Cut(part, " - ")
				if _, is := afterWords(typed, c.words[0]); is && says != "" {
					return says
				}
			}
		}
	}
	return ""
}
