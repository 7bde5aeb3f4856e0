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
	// LooseTerms are those of them that may be said in other words, since they are also words for something to be done: spring, file.
	LooseTerms []string `yaml:"loose_terms"`
	// MaySay gives pieces of words that may say such a word too, and Words pieces of those by which other words of the originals are said.
	MaySay map[string][]string `yaml:"may_say"`
	Words  map[string][]string `yaml:"words"`

	// Forms leads from a form of a word that its ending doesn't show to the word: worn, wear.
	Forms map[string]string `yaml:"forms"`
	// Apart gives two words that may be written as one, or whatever else a word is short for: can't, halfway.
	Apart map[string]string `yaml:"apart"`
	// Endings are what stands after an apostrophe, and the words that it is short for.
	Endings map[string]string `yaml:"endings"`

	// Where a spelled one is no number: after an article ("a new one"), after OneAfter at the end ("if it has one"), before OneBefore ("one that").
	Articles  []string `yaml:"articles"`
	OneAfter  []string `yaml:"one_after"`
	OneBefore []string `yaml:"one_before"`
	// MaybeOneBefore stand after one that may be either.
	MaybeOneBefore []string `yaml:"maybe_one_before"`
	// MaybeFigures may be a number or not, as the German word for one is that for "a".
	MaybeFigures map[string]string `yaml:"maybe_figures"`

	// Repeated are those that may be said again of what follows one of Ors.
	Repeated []string `yaml:"repeated"`
	Ors      []string `yaml:"ors"`
	// Movable are classes of duty that may stand anywhere in what they are about: "at once".
	Movable []string `yaml:"movable"`
	// Hedges are those that are about what stands to either side of them after Copulas ("the worst is often what lies there"), and about what stands
	// before them at the end of a part ("meant well, mostly").
	Hedges  []string `yaml:"hedges"`
	Copulas []string `yaml:"copulas"`
	// NoDutyAfter gives words that are no duty after others, DutyOfNumbers those that are one before a number only, ThenAfter those that only say "then"
	// before another at the end of a part, and Others what "one after the other" ends with.
	NoDutyAfter   map[string][]string `yaml:"no_duty_after"`
	DutyOfNumbers []string            `yaml:"duty_of_numbers"`
	ThenAfter     map[string][]string `yaml:"then_after"`
	Others        []string            `yaml:"others"`
	// WideKinds lists words like "all" by what they say, with the beginnings of the words that say it here. Turned lists words with their opposites, and
	// the beginnings of words for both here. Together wants a word that says what two of the originals do beside another: "gloves off".
	WideKinds []saidHere `yaml:"wide_kinds"`
	Turned    []turned   `yaml:"turned"`
	Together  []together `yaml:"together"`
	// What a word of duty may be read as across languages: Maybe lists words that may be of a class, or of none; Either gives the classes of which a
	// word is one; Beside words of the original beside which a word is no duty, and nothing forbidden.
	Maybe  map[string][]string `yaml:"maybe"`
	Either map[string][]string `yaml:"either"`
	Beside map[string][]string `yaml:"beside"`
	// Forbidding are words that forbid where a "not" follows.
	Forbidding []string `yaml:"forbidding"`
	// Negating are beginnings that turn a word into its opposite, and NotNegating longer ones that don't; Enabling endings say that something can be done.
	Negating    []string `yaml:"negating"`
	NotNegating []string `yaml:"not_negating"`
	Enabling    []string `yaml:"enabling"`
	// Fronting begin a part before a statement that stands for a condition: "home, no turn shows".
	Fronting []string `yaml:"fronting"`
	// FigureBeginnings are figures that a longer word may begin with.
	FigureBeginnings map[string]string `yaml:"figure_beginnings"`
	// A clause that begins with a verb, one of VerbsFirst or any in t but NoVerbsFirst, and one of VerbSubjects after it, is a condition.
	VerbsFirst   []string `yaml:"verbs_first"`
	NoVerbsFirst []string `yaml:"no_verbs_first"`
	VerbSubjects []string `yaml:"verb_subjects"`
	// MayOpen begins what one language may say as a condition and another otherwise: "each time"; Openers only where a part of a sentence begins: "als".
	MayOpen []string `yaml:"may_open"`
	Openers []string `yaml:"openers"`

	// Same gives words that say what one of others did.
	Same map[string][]string `yaml:"same"`

	// Pronouns stand for things.
	Pronouns []string `yaml:"pronouns"`

	// NamedAfter may stand with the thing or without: "each pin", "each".
	NamedAfter []string `yaml:"named_after"`

	// Small are words that a duty isn't about.
	Small []string `yaml:"small"`

	// A condition after WhetherAfter may be none: "you notice if it slips".
	WhetherAfter []string `yaml:"whether_after"`
	// After one of Asking a condition may say "whether".
	Asking []string `yaml:"asking"`
	// Loose are words for things that are numbers too: "pull the halves apart".
	Loose []string `yaml:"loose"`
	// CountsOfClauses are numbers that open a clause where one of these verbs follows: "once grit is in the rope".
	CountsOfClauses map[string][]string `yaml:"counts_of_clauses"`

	// Places may open a condition: "where it is worn". Bound are the classes of duty that no condition may be put to.
	Places []string `yaml:"places"`
	Bound  []string `yaml:"bound"`
	// Links join parts of a sentence; after NoOrderAfter nobody is told to do anything; Orders are told with whatever follows, other words with one of
	// Objects after them.
	Links        []string `yaml:"links"`
	NoOrderAfter []string `yaml:"no_order_after"`
	Orders       []string `yaml:"orders"`
	Objects      []string `yaml:"objects"`
	// NeverTold may begin a sentence that tells to do something, or nothing.
	NeverTold []string `yaml:"never_told"`
	// A statement may begin with Subjects, and Finite are verbs that stand after what it is about.
	Subjects []string `yaml:"subjects"`
	Finite   []string `yaml:"finite"`
	// Alone says that something is alone, and Supposing may open a condition before a "you".
	Alone     []string `yaml:"alone"`
	Supposing []string `yaml:"supposing"`
	// Joining are opposites that may only join others: "on a table".
	Joining []string `yaml:"joining"`
	// Trailing are opposites that are none at the end of a part: "a sample to compare it with".
	Trailing []string `yaml:"trailing"`

	dutyOf                     map[string]string
	maybeOf                    map[string][]string
	saidBy                     map[string][]string // by the stem of a word of the originals, the pieces that say it
	fixed                      []string            // the words of the trade that have to be said
	common, neutral, forbidden map[string]bool
	bare                       map[string]bool // the stems of neutral
	phrases                    [][]string
}

// saidHere are words of the originals and the beginnings of words that say them in another language.
type saidHere struct {
	Words []string `yaml:"words"`
	Here  []string `yaml:"here"`
}

// turned are two opposites, each as words of the originals and as beginnings of words in another language.
type turned struct {
	One   saidHere `yaml:"one"`
	Other saidHere `yaml:"other"`
}

// together says that words of the originals are said by one of With, no further than two words from one that begins with Word.
type together struct {
	Words string   `yaml:"words"`
	Word  string   `yaml:"word"`
	With  []string `yaml:"with"`
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
	for _, l := range all {
		l.indexWords(all[English])
	}
	return all, nil
}

// indexWords finds for each word of the originals by which pieces of words it is said here.
func (l *lexicon) indexWords(originals *lexicon) {
	l.saidBy = map[string][]string{}
	for _, words := range []map[string][]string{l.Terms, l.MaySay, l.Words} {
		for name, pieces := range words {
			l.saidBy[originals.stem(name)] = append(l.saidBy[originals.stem(name)], pieces...)
		}
	}
	for _, words := range []map[string][]string{l.Terms, l.MaySay} {
		for name := range words {
			if !slices.Contains(l.LooseTerms, name) && !slices.Contains(l.fixed, name) {
				l.fixed = append(l.fixed, name)
			}
		}
	}
	slices.Sort(l.fixed)
}

func (l *lexicon) index() {
	l.dutyOf, l.maybeOf, l.common, l.neutral, l.forbidden = map[string]string{}, map[string][]string{}, set(l.Common), set(l.Neutral), set(l.Forbidden)
	for class, words := range l.Duties {
		for _, w := range words {
			l.dutyOf[w] = class
			l.phrase(w)
		}
	}
	l.bare = map[string]bool{}
	for _, w := range l.Neutral {
		l.bare[l.stem(w)] = true
	}
	for class, words := range l.Maybe {
		for _, w := range words {
			l.maybeOf[w] = append(l.maybeOf[w], class)
			l.phrase(w)
		}
	}
	for _, words := range []map[string]string{l.Numbers, l.Units, l.MaybeFigures} {
		for w := range words {
			l.phrase(w)
		}
	}
	for _, w := range slices.Concat(l.Common, l.Neutral, l.Wide, l.Places) {
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

// shortTerm is how long the beginning of a word has to be to say by itself what it is.
const shortTerm = 4

// termsOf are the English words of the trade that a word begins with a form of; of several forms the longest counts: a "Handschuh" is a glove and
// no hand.
func (l *lexicon) termsOf(word string) (english []string) {
	longest := 0
	for name, forms := range l.Terms {
		for _, f := range forms {
			if !strings.HasPrefix(word, f) || len(f) < longest || len(f) < shortTerm && word != f {
				continue
			}
			if len(f) > longest {
				english, longest = nil, len(f)
			}
			english = append(english, name)
		}
	}
	return english
}
