package prompts

import (
	"maps"
	"slices"
	"strings"
	"unicode"
)

// text is a text taken apart for comparison: its sentences, each a list of words in small letters. A mark that ends a part of a
// sentence is a word of its own.
type text struct {
	raw       string
	sentences [][]string
}

// comma stands for whatever divides a sentence within itself.
const comma = ","

// readText takes a text apart. Phrases are joined into one word, so that "at least" can be looked up.
func readText(raw string, l *lexicon) text {
	t := text{raw: raw}
	var sentence []string
	end := func() {
		if len(sentence) > 0 {
			t.sentences = append(t.sentences, l.joined(sentence))
		}
		sentence = nil
	}
	runes := []rune(raw)
	for i := 0; i < len(runes); {
		r := runes[i]
		switch {
		case isWord(r):
			j := i + 1
			for j < len(runes) && (isWord(runes[j]) || joins(runes, j)) {
				j++
			}
			sentence = append(sentence, l.apart(strings.ToLower(strings.ReplaceAll(string(runes[i:j]), "’", "'")))...)
			i = j
			continue
		case strings.ContainsRune(".?!;", r):
			end()
		case strings.ContainsRune(",:()–—", r):
			sentence = append(sentence, comma)
		}
		i++
	}
	end()
	return t
}

func isWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsNumber(r) || r == '°' || r == '%' }

// joins tells whether a mark stands within a word: "don't", "half-way", "0.35", "22-1180", "rope.example".
func joins(runes []rune, i int) bool {
	return strings.ContainsRune("'’-./,:@_", runes[i]) && i+1 < len(runes) && isWord(runes[i+1]) &&
		(!strings.ContainsRune(",:", runes[i]) || unicode.IsNumber(runes[i-1]) && unicode.IsNumber(runes[i+1]))
}

// apart takes a word apart that holds several: "isn't", "it's", "half-way".
func (l *lexicon) apart(word string) (all []string) {
	if several, is := l.Apart[word]; is {
		return strings.Fields(several)
	}
	if strings.Contains(word, "-") && !hasDigit(word) {
		for inner := range strings.SplitSeq(word, "-") {
			all = append(all, l.apart(inner)...)
		}
		return all
	}
	if verb, is := strings.CutSuffix(word, "n't"); is {
		return []string{verb, "not"}
	}
	for _, ending := range slices.Sorted(maps.Keys(l.Endings)) {
		if inner, is := strings.CutSuffix(word, ending); is {
			return append([]string{inner}, strings.Fields(l.Endings[ending])...)
		}
	}
	return []string{word}
}

// words are all words in order, without marks.
func (t text) words() (all []string) {
	for _, s := range t.sentences {
		for _, w := range s {
			if w != comma {
				all = append(all, w)
			}
		}
	}
	return all
}

// stem is a word without its ending, so that "files" and "filing" are one.
func (l *lexicon) stem(word string) string {
	if base, is := l.Forms[word]; is {
		word = base
	}
	if inner, is := strings.CutSuffix(word, "ies"); is && len(inner) > 1 {
		word = inner + "y"
	} else if inner, is := strings.CutSuffix(word, "ied"); is && len(inner) > 1 {
		word = inner + "y"
	}
	for _, ending := range []string{"ing", "ed", "es", "ly", "s", "e", "y"} {
		if inner, is := strings.CutSuffix(word, ending); is && len([]rune(inner)) >= 3 && (ending != "s" || !strings.HasSuffix(inner, "s")) {
			if n := len(inner); ending != "s" && inner[n-1] == inner[n-2] && inner[n-1] != 'l' && inner[n-1] != 's' {
				inner = inner[:n-1] // "slipped"
			}
			if ending == "es" || ending == "ly" || ending == "s" {
				return l.stem(inner)
			}
			return inner
		}
	}
	return word
}

// hasDigit tells whether a word is a figure or a code.
func hasDigit(word string) bool { return strings.ContainsFunc(word, unicode.IsNumber) }
