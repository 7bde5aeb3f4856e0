package prompts

import (
	"errors"
	"fmt"
	"slices"
	"strings"
)

// closing are the marks that may stand right after a word.
const closing = ".,;:?)"

// hold takes out of a text what a model must not touch, and puts words that mean nothing in its place: what is quoted, figures with
// their units, and codes. The held pieces come back in order.
func hold(raw string, l *lexicon) (masked string, held []string) {
	words := strings.Split(raw, " ")
	var out []string
	for len(words) > 0 {
		n := untouched(words, l)
		if n == 0 {
			out, words = append(out, words[0]), words[1:]
			continue
		}
		piece := strings.Join(words[:n], " ")
		core := strings.TrimLeft(strings.TrimRight(piece, closing), "(")
		held = append(held, core)
		out, words = append(out, strings.Replace(piece, core, heldWord(len(held)), 1)), words[n:]
	}
	return strings.Join(out, " "), held
}

// untouched is how many words from the first on are held together; 0: the first is free.
func untouched(words []string, l *lexicon) int {
	first := strings.TrimLeft(words[0], "(")
	switch {
	case strings.HasPrefix(first, `"`):
		for n, w := range words {
			if w = strings.TrimRight(w, closing); strings.HasSuffix(w, `"`) && (n > 0 || len(first) > 1) {
				return n + 1
			}
		}
	case !hasDigit(first):
	case len(words) > 1 && strings.TrimRight(first, closing) == first:
		if _, is := l.Units[strings.ToLower(strings.TrimRight(words[1], closing))]; is {
			return 2
		}
		return 1
	default:
		return 1
	}
	return 0
}

// heldWord stands for the nth held piece. It looks like no word of any language, so that none is taken for it.
func heldWord(n int) string { return fmt.Sprintf("ZQ%dX", n) }

// release puts the held pieces back. Each has to be there once, and in order.
func release(masked string, held []string) (string, error) {
	at := 0
	for n, piece := range held {
		word := heldWord(n + 1)
		if strings.Count(masked, word) != 1 {
			return "", fmt.Errorf("%s should come back once", piece)
		}
		i := strings.Index(masked, word)
		if i < at {
			return "", fmt.Errorf("%s came back in another place", piece)
		}
		at = i
	}
	for n, piece := range slices.Backward(held) {
		masked = strings.Replace(masked, heldWord(n+1), piece, 1)
	}
	if strings.Contains(masked, "ZQ") {
		return "", errors.New("a stand-in came back for what was never held")
	}
	return masked, nil
}
