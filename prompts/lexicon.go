package prompts

import (
	"embed"
	"fmt"
	"path"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

//go:embed lexicon
var lexicons embed.FS

// lexicon is what the checks know of one language.
type lexicon struct {
	Language   string              `yaml:"language"`
	Numbers    map[string]string   `yaml:"numbers"`
	Units      map[string]string   `yaml:"units"`
	Duties     map[string][]string `yaml:"duties"`
	Wide       []string            `yaml:"wide"`
	Conditions []string            `yaml:"conditions"`
	Opposites  [][2][]string       `yaml:"opposites"`
	Forbidden  []string            `yaml:"forbidden"`
	Common     []string            `yaml:"common"`
	Neutral    []string            `yaml:"neutral"`
	// Terms gives words of the trade in the other language: the beginning of each form that serves. Empty for the language of the originals.
	Terms map[string][]string `yaml:"terms"`

	// Forms leads from a form of a word that its ending doesn't show to the word: worn, wear.
	Forms map[string]string `yaml:"forms"`
	// Articles come before "a new one", where one is no number.
	Articles []string `yaml:"articles"`

	dutyOf                     map[string]string
	common, neutral, forbidden map[string]bool
	phrases                    [][]string
}

// readLexicons reads what is known of every language.
func readLexicons() (map[string]*lexicon, error) {
	files, err := lexicons.ReadDir("lexicon")
	if err != nil {
		return nil, fmt.Errorf("the words of languages can't be read, the program must be built again: %w", err)
	}
	all := map[string]*lexicon{}
	for _, f := range files {
		raw, err := lexicons.ReadFile(path.Join("lexicon", f.Name()))
		if err != nil {
			return nil, fmt.Errorf("%s can't be read: %w", f.Name(), err)
		}
		l := &lexicon{}
		if err := yaml.UnmarshalWithOptions(raw, l, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("%s isn't written as it should be: %w", f.Name(), err)
		}
		l.index()
		all[l.Language] = l
	}
	return all, nil
}

func (l *lexicon) index() {
	l.dutyOf, l.common, l.neutral, l.forbidden = map[string]string{}, set(l.Common), set(l.Neutral), set(l.Forbidden)
	for class, words := range l.Duties {
		for _, w := range words {
			l.dutyOf[w] = class
			l.phrase(w)
		}
	}
	for w := range l.Units {
		l.phrase(w)
	}
	slices.SortFunc(l.phrases, func(a, b []string) int { return len(b) - len(a) })
}

func set(words []string) map[string]bool {
	all := map[string]bool{}
	for _, w := range words {
		all[w] = true
	}
	return all
}

func (l *lexicon) phrase(words string) {
	if strings.Contains(words, " ") {
		l.phrases = append(l.phrases, strings.Fields(words))
	}
}

// joined makes one word of each phrase that the lexicon knows.
func (l *lexicon) joined(words []string) (all []string) {
	for i := 0; i < len(words); {
		n := slices.IndexFunc(l.phrases, func(p []string) bool { return len(words)-i >= len(p) && slices.Equal(words[i:i+len(p)], p) })
		if n < 0 {
			all = append(all, words[i])
			i++
			continue
		}
		all = append(all, strings.Join(l.phrases[n], " "))
		i += len(l.phrases[n])
	}
	return all
}

// figure gives what a word says as a number, a unit, a date or a code.
func (l *lexicon) figure(word string) (string, bool) {
	if f, is := l.Numbers[word]; is {
		return f, true
	}
	if f, is := l.Units[word]; is {
		return f, true
	}
	return strings.ReplaceAll(word, ",", "."), hasDigit(word)
}

// figureAt is figure for a sentence's nth word. "One" is none where it stands for a thing, as in "a new one".
func (l *lexicon) figureAt(sentence []string, n int) (string, bool) {
	f, is := l.figure(sentence[n])
	if is && f == "1" && !hasDigit(sentence[n]) {
		for back := 1; back <= 2 && n-back >= 0; back++ {
			if slices.Contains(l.Articles, sentence[n-back]) {
				return "", false
			}
		}
	}
	return f, is
}

// carries tells whether a word says something by itself.
func (l *lexicon) carries(word string) bool {
	_, figure := l.figure(word)
	return word != comma && !figure && l.dutyOf[word] == "" && !l.common[word]
}

// small counts the words by which the language is known, and all words.
func (l *lexicon) small(words []string) (small, all int) {
	for _, w := range words {
		if w == comma {
			continue
		}
		all++
		if l.common[w] || l.neutral[w] || l.dutyOf[w] != "" {
			small++
		}
	}
	return small, all
}

// term is the English word of the trade that a word begins with a form of; of several the longest: a "Handschuh" is a glove and no hand.
func (l *lexicon) term(word string) (english string) {
	longest := 0
	for name, forms := range l.Terms {
		for _, f := range forms {
			if len(f) > longest && strings.HasPrefix(word, f) {
				english, longest = name, len(f)
			}
		}
	}
	return english
}
