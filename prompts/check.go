package prompts

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// CheckEdition counts what the checks are. It goes up with every change of a check or of a lexicon, so that what was accepted by an older one is
// checked again.
const CheckEdition = 21

// Objection is why a rewording isn't used: which check says so, and what it found.
type Objection struct{ Check, Why string }

func (o Objection) String() string { return o.Check + ": " + o.Why }

// Checker holds rewordings against what they reword. It is read-only, and so may serve many at once.
type Checker struct {
	languages map[string]*lexicon
	checks    []check
}

// check is one way to object. An empty answer is none.
type check struct {
	name    string
	objects func(pair) string
}

// pair is a text and its rewording. Where the languages are the same, across is false.
type pair struct {
	from, to         text
	was, is          *lexicon
	across           bool
	original, worded string
}

// NewChecker reads what is known of languages.
func NewChecker() (*Checker, error) {
	languages, err := readLexicons()
	if err != nil {
		return nil, err
	}
	return &Checker{languages, checks()}, nil
}

// English is the language that all originals are in.
const English = "en"

// Languages lists those that a rewording can be checked in.
func (c *Checker) Languages() []string { return slices.Sorted(maps.Keys(c.languages)) }

// Checks names every check, in the order in which they are made.
func (c *Checker) Checks() (names []string) {
	for _, one := range c.checks {
		names = append(names, one.name)
	}
	return names
}

// Objections holds a rewording in a language against its English original. None: it may be used. Any doubt is an objection: the
// original says the same, and nothing is lost by it.
func (c *Checker) Objections(original, worded, language string) (all []Objection) {
	is, known := c.languages[language]
	if !known {
		return []Objection{{"language", fmt.Sprintf("nothing is known here of the language %q", language)}}
	}
	was := c.languages[English]
	p := pair{readText(original, was), readText(worded, is), was, is, language != English, original, worded}
	for _, one := range c.checks {
		if why := one.objects(p); why != "" {
			all = append(all, Objection{one.name, why})
		}
	}
	return all
}

// checks are all of them. A test takes away each in turn and wants something wrong to come through.
func checks() []check {
	return []check{
		{"whole", whole},
		{"length", ofLength},
		{"marks", marks},
		{"figures", figures},
		{"duties", duties},
		{"about the same", sameScope},
		{"conditions", conditions},
		{"still told", stillTold},
		{"alone", aloneAsBefore},
		{"order", inOrder},
		{"as it ran", runsOn},
		{"opposites", opposites},
		{"forbidden words", forbidden},
		{"questions", questions},
		{"language", inLanguage},
		{"nothing new", nothingNew},
		{"nothing lost", nothingLost},
		{"nothing again and again", notRepeated},
		{"sentence by sentence", sideBySide},
	}
}

// whole wants a text with a beginning and an end.
func whole(p pair) string {
	first, _ := utf8.DecodeRuneInString(p.worded)
	last, _ := utf8.DecodeLastRuneInString(p.worded)
	switch {
	case !utf8.ValidString(p.worded) || len(p.to.words()) == 0:
		return "it says nothing that can be read"
	case p.worded != strings.TrimSpace(p.worded) || !unicode.IsUpper(first) && !unicode.IsDigit(first) && first != '"':
		return "it doesn't begin as a sentence does"
	case !strings.ContainsRune(".?", last):
		return "it doesn't end as a sentence does; it may have been cut"
	}
	return ""
}

// shortText is below how many letters a translation may be twice as long: its articles and endings weigh more there.
const shortText = 80

// ofLength wants about as much said as before.
func ofLength(p pair) string {
	before := utf8.RuneCountInString(p.original)
	most := 1.6
	switch {
	case p.across && before < shortText:
		most = 2
	case p.across:
		most = 1.7
	}
	ratio := float64(utf8.RuneCountInString(p.worded)) / float64(max(before, 1))
	if ratio < 0.5 || ratio > most {
		return fmt.Sprintf("it is %.2f times as long, and 0.5 to %.1f is allowed", ratio, most)
	}
	return ""
}

// plain are the marks that a sentence may bring in.
const plain = " .,;:'’-"

// marks wants no sign that the original doesn't have, so no link, mention, markup or picture, and letters of one script.
func marks(p pair) string {
	for _, r := range p.worded {
		latin := unicode.Is(unicode.Latin, r)
		if !latin && !('0' <= r && r <= '9') && !strings.ContainsRune(plain, r) && !strings.ContainsRune(p.original, r) {
			return fmt.Sprintf("%q isn't in the original", r)
		}
	}
	for _, w := range p.to.words() {
		if strings.ContainsAny(w, ".@_/:") && !hasDigit(w) && !slices.Contains(p.from.words(), w) {
			return fmt.Sprintf("%q looks like a link", w)
		}
	}
	if a, b := strings.Count(p.original, `"`), strings.Count(p.worded, `"`); a != b {
		return fmt.Sprintf("%d quotation marks became %d", a, b)
	}
	return ""
}

// forbidden wants no word of a verdict, of comfort or of an office oftener than before.
func forbidden(p pair) string {
	before, original := map[string]int{}, asBeside(p.from, p.was)
	for _, w := range p.from.words() {
		before[w]++
	}
	for _, w := range p.to.words() {
		if !p.is.forbidden[w] || p.across && p.is.excused(w, original) {
			continue
		}
		if before[w]--; before[w] < 0 {
			return fmt.Sprintf("%q isn't for a model to say", w)
		}
	}
	return ""
}

// questions wants as many as before, and one at the end where one was.
func questions(p pair) string {
	a, b := strings.Count(p.original, "?"), strings.Count(p.worded, "?")
	if a != b || strings.HasSuffix(p.original, "?") != strings.HasSuffix(p.worded, "?") {
		return fmt.Sprintf("%d questions became %d, or one moved", a, b)
	}
	return ""
}

// inLanguage wants the language's own small words in every longer sentence, and no fewer of them in all than before: a heap of words is no sentence.
func inLanguage(p pair) string {
	least, short := 4, 5
	if p.across {
		least, short = 6, 7 // an ending says there what a small word says in English
	}
	for _, s := range p.to.sentences {
		if small, all := p.is.small(s); all > short && small*least < all && !slices.ContainsFunc(p.from.sentences, func(was []string) bool { return within(was, s) }) {
			return fmt.Sprintf("%q isn't in the language %s", strings.Join(s, " "), p.is.Language)
		}
	}
	was, before := p.was.small(p.from.words())
	now, after := p.is.small(p.to.words())
	if !p.across && (now+1)*before*4 < was*after*3 {
		return "too few small words to be sentences"
	}
	return ""
}

// holds tells whether words stand in a sentence just so.
func holds(sentence, words []string) bool {
	for i := 0; i+len(words) <= len(sentence); i++ {
		if slices.Equal(sentence[i:i+len(words)], words) {
			return true
		}
	}
	return false
}

// within tells whether every word of some stands in a sentence.
func within(sentence, words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(sentence, w) })
}

// named is a word of an earlier sentence by which one "it" or "they" of the original's nth sentence may be said, or that may stand after one of its
// "each" or "other"; empty: none.
func (p pair) named(s []string, n int, words []string) string {
	now, was := text{sentences: [][]string{s}}, text{sentences: [][]string{words}}
	fewer := countOf(now, p.is.Pronouns) < countOf(was, p.was.Pronouns)
	here := map[string]bool{}
	for _, w := range words {
		here[p.was.stem(w)] = true
	}
	for i, w := range s {
		after := slices.Contains(p.is.NamedAfter, at(s, i-1)) && slices.Contains(words, at(s, i-1))
		if !p.is.carries(w) || p.is.neutral[w] || here[p.was.stem(w)] || !fewer && !after {
			continue
		}
		for _, before := range p.from.sentences[:n] {
			for j, b := range before {
				if p.was.stem(b) == p.was.stem(w) && (fewer || slices.Contains(p.is.NamedAfter, at(before, j-1))) {
					return p.was.stem(w)
				}
			}
		}
	}
	return ""
}

// nothingNew wants each sentence to say what one sentence did, or two neighbours, in their words and in such as say nothing by themselves: advice
// and claims come in by new words, and a part that was moved to another sentence stands in the wrong place.
func nothingNew(p pair) string {
	if p.across {
		return ""
	}
	for _, s := range p.to.sentences {
		stray, furthest := "", -1
		for i := range p.from.sentences {
			had := map[string]bool{}
			words := slices.Concat(p.from.sentences[i:min(i+2, len(p.from.sentences))]...)
			for _, w := range words {
				had[p.was.stem(w)] = true
			}
			named := p.named(s, i, words)
			said := func(w string) bool {
				return had[p.was.stem(w)] || p.was.stem(w) == named || slices.ContainsFunc(p.is.Same[w], func(as string) bool { return slices.Contains(words, as) })
			}
			at := slices.IndexFunc(s, func(w string) bool { return p.is.carries(w) && !p.is.neutral[w] && !said(w) })
			if at < 0 {
				stray = ""
				break
			}
			if at > furthest {
				stray, furthest = s[at], at
			}
		}
		if stray != "" {
			return fmt.Sprintf("%q is new there", stray)
		}
	}
	return ""
}

// nothingLost wants most of what each sentence says by itself to be there still.
func nothingLost(p pair) string {
	if p.across {
		return ""
	}
	has, alike := map[string]bool{}, map[string]bool{}
	for _, phrase := range p.to.words() {
		for w := range strings.FieldsSeq(phrase) {
			has[p.was.stem(w)] = true
		}
		for _, as := range p.is.Same[phrase] {
			alike[p.was.stem(as)] = true
		}
	}
	for _, s := range p.from.sentences {
		all, kept := 0, 0
		for i, w := range s {
			told := i == 0 || s[i-1] == comma || slices.Contains(p.was.Links, s[i-1])
			if p.was.carries(w) && !p.was.neutral[w] {
				all++
				if stem := p.was.stem(w); has[stem] || alike[stem] && !told {
					kept++
				}
			}
		}
		if kept*4 < all*3 {
			return fmt.Sprintf("%d of %d words are left of %q", kept, all, strings.Join(s, " "))
		}
	}
	return ""
}

// notRepeated wants no word said much oftener than before; where an "it" or "one" went, once more.
func notRepeated(p pair) string {
	if p.across {
		return ""
	}
	before := map[string]int{}
	for _, w := range p.from.words() {
		before[p.was.stem(w)]++
	}
	went := min(1, max(0, countOf(p.from, p.was.Pronouns)-countOf(p.to, p.is.Pronouns)))
	now := map[string]int{}
	for _, w := range p.to.words() {
		if p.is.carries(w) && !p.is.neutral[w] {
			if now[p.was.stem(w)]++; now[p.was.stem(w)] > max(before[p.was.stem(w)]*2, before[p.was.stem(w)]+1)+went {
				return fmt.Sprintf("%q is said %d times", w, now[p.was.stem(w)])
			}
		}
	}
	return ""
}
