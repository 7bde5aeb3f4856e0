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
const CheckEdition = 2

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
		{"order", inOrder},
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

// ofLength wants about as much said as before.
func ofLength(p pair) string {
	ratio := float64(utf8.RuneCountInString(p.worded)) / float64(max(utf8.RuneCountInString(p.original), 1))
	if ratio < 0.5 || ratio > 1.6 {
		return fmt.Sprintf("it is %.2f times as long, and 0.5 to 1.6 is allowed", ratio)
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

// figures wants every number, unit, date and code, spelled or not, once each and in the same order: two that are swapped mislead.
func figures(p pair) string {
	a, b := figuresIn(p.from, p.was, p.original), figuresIn(p.to, p.is, p.worded)
	for _, inRow := range []bool{false, true} {
		other := func(f string) bool { return ordinal(f) != inRow }
		was, is := slices.DeleteFunc(slices.Clone(a), other), slices.DeleteFunc(slices.Clone(b), other)
		if !slices.Equal(was, is) {
			return fmt.Sprintf("%s became %s", listed(was), listed(is))
		}
	}
	return ""
}

// ordinal tells whether a figure is a place in a row, as a lexicon marks it: "second" is nd2.
func ordinal(figure string) bool {
	return strings.HasPrefix(figure, "nd") || strings.HasPrefix(figure, "th")
}

func figuresIn(t text, l *lexicon, raw string) (all []string) {
	capitals := map[string]bool{}
	for w := range strings.FieldsFuncSeq(raw, func(r rune) bool { return !isWord(r) }) {
		if len([]rune(w)) > 1 && w == strings.ToUpper(w) && !hasDigit(w) {
			capitals[strings.ToLower(w)] = true
		}
	}
	for _, s := range t.sentences {
		for i, w := range s {
			if f, is := l.figureAt(s, i); is {
				all = append(all, f)
			} else if capitals[w] {
				all = append(all, strings.ToUpper(w))
			}
		}
	}
	return all
}

func listed(all []string) string {
	if len(all) == 0 {
		return "nothing"
	}
	return strings.Join(all, ", ")
}

// duties wants what forbids, obliges, allows and bounds as often as before.
func duties(p pair) string {
	a, b := dutiesIn(p.from, p.was), dutiesIn(p.to, p.is)
	for _, class := range slices.Sorted(maps.Keys(p.was.Duties)) {
		if a[class] != b[class] {
			return fmt.Sprintf("%q was there %d times, now %d", class, a[class], b[class])
		}
	}
	if a, b := countOf(p.from, p.was.Wide), countOf(p.to, p.is.Wide); b < a {
		return fmt.Sprintf("words like \"all\" were there %d times, now %d", a, b)
	}
	return ""
}

func dutiesIn(t text, l *lexicon) map[string]int {
	count := map[string]int{}
	for _, w := range t.words() {
		if class := l.dutyOf[w]; class != "" {
			count[class]++
		}
	}
	return count
}

func countOf(t text, words []string) (n int) {
	for _, w := range t.words() {
		if slices.Contains(words, w) {
			n++
		}
	}
	return n
}

// scopeWords is how many words a word of duty reaches.
const scopeWords = 4

// scope is what a word of duty is about.
type scope struct {
	class string
	about []string
}

// scopesIn finds for each word of some classes what follows it in its part of the sentence; where nothing does, what stands before. A condition
// is a part of its own.
func scopesIn(t text, l *lexicon, classOf func(word string) string) (all []scope) {
	ends := func(w string) bool { return w == comma || slices.Contains(l.Conditions, w) }
	for _, s := range t.sentences {
		for i, w := range s {
			class := classOf(w)
			if class == "" {
				continue
			}
			sc := scope{class: class}
			for j := i + 1; j < len(s) && !ends(s[j]) && len(sc.about) < scopeWords; j++ {
				sc.add(s, j, l)
			}
			if len(sc.about) == 0 {
				for j := i - 1; j >= 0 && !ends(s[j]) && len(sc.about) < scopeWords; j-- {
					sc.add(s, j, l)
				}
			}
			all = append(all, sc)
		}
	}
	return all
}

func (sc *scope) add(sentence []string, i int, l *lexicon) {
	if _, figure := l.figureAt(sentence, i); figure || l.carries(sentence[i]) {
		sc.about = append(sc.about, l.stem(sentence[i]))
	}
}

// duty is the class of a word of duty, for scopesIn; condition that of one that opens a condition.
func (l *lexicon) duty(word string) string { return l.dutyOf[word] }
func (l *lexicon) condition(word string) string {
	if slices.Contains(l.Conditions, word) {
		return "if"
	}
	return ""
}

// same tells whether another scope may be about what this one is about.
func (sc scope) same(now scope) bool {
	return sc.class == now.class && (len(sc.about) == 0 || slices.ContainsFunc(now.about, func(w string) bool { return slices.Contains(sc.about, w) }))
}

// sameScope wants each "not", "must" or "before" to be about what it was about: moved to another word it says something else.
func sameScope(p pair) string {
	if p.across {
		return ""
	}
	conditions := scopesIn(p.to, p.is, p.is.condition) // there may be more of them than before
	for _, was := range scopesIn(p.from, p.was, p.was.condition) {
		if !slices.ContainsFunc(conditions, was.same) {
			return fmt.Sprintf("no condition is about %s now", listed(was.about))
		}
	}
	left := scopesIn(p.from, p.was, p.was.duty)
	for _, now := range scopesIn(p.to, p.is, p.is.duty) {
		n := slices.IndexFunc(left, func(was scope) bool { return was.same(now) })
		if n < 0 {
			return fmt.Sprintf("%q is about %s now", now.class, listed(now.about))
		}
		left = slices.Delete(left, n, n+1)
	}
	return ""
}

// conditions wants none dropped, and none before an instruction that had none: "if it is dirty, wipe it".
func conditions(p pair) string {
	a, b := countOf(p.from, p.was.Conditions), countOf(p.to, p.is.Conditions)
	if b < a || p.across && b != a {
		return fmt.Sprintf("conditions were there %d times, now %d", a, b)
	}
	if a == b {
		return ""
	}
	told := set(toldIn(p.from, p.was, comma, "and", "then"))
	for _, s := range p.to.sentences {
		at := slices.IndexFunc(s, func(w string) bool { return slices.Contains(p.is.Conditions, w) })
		end := slices.Index(s, comma)
		if leads := at == 0 && end > 0 && end+1 < len(s) && !told[s[end+1]]; at >= 0 && !leads {
			return fmt.Sprintf("a condition was put to %q", strings.Join(s, " "))
		}
	}
	return ""
}

// toldIn lists the words that begin a sentence, or follow one of some words in it: what is to be done stands there.
func toldIn(t text, l *lexicon, following ...string) (all []string) {
	for _, s := range t.sentences {
		for i, w := range s {
			if begins := i == 0 || slices.Contains(following, s[i-1]); begins && (l.carries(w) || l.neutral[w] && !l.common[w]) {
				all = append(all, w)
			}
		}
	}
	return all
}

// inOrder wants what is to be done in the same order: first the second attachment, then the hand off.
func inOrder(p pair) string {
	if p.across {
		return ""
	}
	var words []string
	for _, w := range p.to.words() {
		words = append(words, p.is.stem(w))
	}
	last, before := -1, ""
	for _, w := range toldIn(p.from, p.was, "and", "then") {
		at := slices.Index(words, p.was.stem(w))
		if at >= 0 && at < last && slices.Index(words[last:], p.was.stem(w)) < 0 {
			return fmt.Sprintf("%q comes before %q now", w, before)
		}
		if at > last {
			last, before = at, w
		}
	}
	return ""
}

// opposites wants no side turned into the other, nor two swapped.
func opposites(p pair) string {
	if p.across {
		return ""
	}
	for _, sides := range p.was.Opposites {
		a, b := sidesIn(p.from, sides), sidesIn(p.to, sides)
		turned := func(side int) bool {
			return slices.Contains(a, 1-side) && !slices.Contains(a, side) && slices.Contains(b, side)
		}
		both := slices.Contains(a, 0) && slices.Contains(a, 1)
		if turned(0) || turned(1) || both && !slices.Equal(a, b) {
			return fmt.Sprintf("%q and %q changed places", sides[0][0], sides[1][0])
		}
	}
	return ""
}

func sidesIn(t text, sides [2][]string) (all []int) {
	for _, w := range t.words() {
		for side, words := range sides {
			if slices.Contains(words, w) {
				all = append(all, side)
			}
		}
	}
	return all
}

// forbidden wants no word of a verdict, of comfort or of an office oftener than before.
func forbidden(p pair) string {
	before := map[string]int{}
	for _, w := range p.from.words() {
		before[w]++
	}
	for _, w := range p.to.words() {
		if !p.is.forbidden[w] {
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
	for _, s := range p.to.sentences {
		if small, all := p.is.small(s); all > 5 && small*4 < all && !slices.ContainsFunc(p.from.sentences, func(was []string) bool { return slices.Equal(was, s) }) {
			return fmt.Sprintf("%q isn't in the language %s", strings.Join(s, " "), p.is.Language)
		}
	}
	was, before := p.was.small(p.from.words())
	now, after := p.is.small(p.to.words())
	if !p.across && now*before*4 < was*after*3 {
		return "too few small words to be sentences"
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
		stray := ""
		for i := range p.from.sentences {
			had := map[string]bool{}
			for _, w := range slices.Concat(p.from.sentences[i:min(i+2, len(p.from.sentences))]...) {
				had[p.was.stem(w)] = true
			}
			at := slices.IndexFunc(s, func(w string) bool { return p.is.carries(w) && !p.is.neutral[w] && !had[p.was.stem(w)] })
			if at < 0 {
				stray = ""
				break
			}
			stray = s[at]
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
	has := map[string]bool{}
	for _, w := range p.to.words() {
		has[p.was.stem(w)] = true
	}
	for _, s := range p.from.sentences {
		all, kept := 0, 0
		for _, w := range s {
			if p.was.carries(w) && !p.was.neutral[w] {
				all++
				if has[p.was.stem(w)] {
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

// notRepeated wants no word said much oftener than before.
func notRepeated(p pair) string {
	if p.across {
		return ""
	}
	before := map[string]int{}
	for _, w := range p.from.words() {
		before[p.was.stem(w)]++
	}
	now := map[string]int{}
	for _, w := range p.to.words() {
		if p.is.carries(w) && !p.is.neutral[w] {
			if now[p.was.stem(w)]++; now[p.was.stem(w)] > before[p.was.stem(w)]+1 {
				return fmt.Sprintf("%q is said %d times", w, now[p.was.stem(w)])
			}
		}
	}
	return ""
}

// sideBySide wants, in another language, sentence for sentence the same figures, duties and words of the trade. No check here can tell
// whether a translation is right; see DEVELOPERS.md for who has to read it.
func sideBySide(p pair) string {
	if !p.across {
		return ""
	}
	if a, b := len(p.from.sentences), len(p.to.sentences); a != b {
		return fmt.Sprintf("%d sentences became %d", a, b)
	}
	for n, s := range p.from.sentences {
		was, now := text{sentences: [][]string{s}}, text{sentences: [][]string{p.to.sentences[n]}}
		if !maps.Equal(dutiesIn(was, p.was), dutiesIn(now, p.is)) {
			return fmt.Sprintf("sentence %d has other duties", n+1)
		}
		if !slices.Equal(figuresIn(was, p.was, ""), figuresIn(now, p.is, "")) {
			return fmt.Sprintf("sentence %d has other figures", n+1)
		}
		for _, english := range slices.Sorted(maps.Keys(p.is.Terms)) {
			there := slices.ContainsFunc(s, func(w string) bool { return p.was.stem(w) == p.was.stem(english) })
			said := slices.ContainsFunc(p.to.sentences[n], func(w string) bool { return p.is.term(w) == english })
			if there != said {
				return fmt.Sprintf("sentence %d: %q should be %s there as it was", n+1, english, listed(p.is.Terms[english]))
			}
		}
	}
	return ""
}
