package translate

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/language"
	"golang.org/x/text/message/catalog"
)

// speaker says one language.
type speaker struct {
	checkedBy string
	values    []*pattern
	sentences []*pattern
	texts     *catalog.Builder
	tag       language.Tag
}

// pattern finds an English sentence of the catalogue at the start of a text.
type pattern struct {
	en      string
	of      []int // see pair
	ends    bool  // with a value that is left to be looked at by itself
	finds   *regexp.Regexp
	args    []int // which value each group of finds is
	literal int   // how many letters are fixed: the more, the surer
}

// verb is a place for a value in a sentence, as fmt has it.
func verb() *regexp.Regexp { return regexp.MustCompile(`%(?:\[(\d+)\])?([sdq])`) }

func newSpeaker(texts *catalog.Builder, tag language.Tag, f file) (*speaker, error) {
	s := &speaker{checkedBy: f.CheckedBy, texts: texts, tag: tag}
	known := map[string]bool{}
	add := func(list *[]*pattern, p pair, values string) error {
		if err := sameValues(p); err != nil || known[p.En] {
			return cmp.Or(err, fmt.Errorf("%q stands there twice", p.En))
		}
		known[p.En] = true
		if err := texts.SetString(tag, p.En, p.To); err != nil {
			return fmt.Errorf("%q: %w", p.En, err)
		}
		*list = append(*list, newPattern(p, values))
		return nil
	}
	for _, p := range f.Values {
		if err := add(&s.values, p, ""); err != nil {
			return nil, err
		}
	}
	surest(s.values)
	values := oneOf(s.values)
	for _, p := range f.Sentences {
		if err := add(&s.sentences, p, values); err != nil {
			return nil, err
		}
	}
	surest(s.sentences)
	return s, nil
}

// sameValues tells what is wrong with a translation's values: it has the same, of the same kinds, and in the same place at the end.
func sameValues(p pair) error {
	if en, to := valuesOf(p.En), valuesOf(p.To); !slices.Equal(en, to) {
		return fmt.Errorf("%q has the values %v, and its translation has %v", p.En, en, to)
	}
	if strings.HasSuffix(p.En, "%s") != strings.HasSuffix(p.To, "%s") {
		return fmt.Errorf("%q ends with a value, and its translation doesn't, or the other way round", p.En)
	}
	return nil
}

// valuesOf lists a sentence's values by number and kind, like "1s", in order.
func valuesOf(sentence string) (all []string) {
	for n, v := range verb().FindAllStringSubmatch(sentence, -1) {
		all = append(all, fmt.Sprint(place(v, n+1), v[2]))
	}
	slices.Sort(all)
	return slices.Compact(all)
}

// place is which value a verb is for; next where it doesn't say.
func place(v []string, next int) int {
	if n, err := strconv.Atoi(v[1]); err == nil {
		return n
	}
	return next
}

// surest puts in order which pattern is tried first: what starts with a fixed letter, and of those what has most of them.
func surest(list []*pattern) {
	slices.SortStableFunc(list, func(a, b *pattern) int {
		return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(b.literal, a.literal))
	})
}

func first(p *pattern) int {
	if strings.HasPrefix(p.en, "%s") {
		return 1
	}
	return 0
}

// oneOf is an expression for any value that has a translation.
func oneOf(values []*pattern) string {
	var all []string
	for _, v := range values {
		all = append(all, verb().ReplaceAllString(regexp.QuoteMeta(v.en), `\d+`))
	}
	return strings.Join(all, "|")
}

// newPattern makes what finds a sentence. A value at its very end is left to be looked at by itself: often it is a sentence too.
func newPattern(p pair, values string) *pattern {
	en := strings.TrimSpace(p.En)
	open := strings.HasSuffix(en, "%s") && !slices.Contains(p.Of, len(valuesOf(p.En)))
	if open {
		en = strings.TrimSuffix(en, "%s")
	}
	made := &pattern{en: p.En, of: p.Of, ends: open}
	expr, at := "", 0
	literal := func(text string) string {
		made.literal += utf8.RuneCountInString(text)
		r, size := utf8.DecodeRuneInString(text)
		if expr != "" || !unicode.IsLetter(r) {
			return regexp.QuoteMeta(text)
		}
		return "(?i:" + text[:size] + ")" + regexp.QuoteMeta(text[size:])
	}
	for n, loc := range verb().FindAllStringSubmatchIndex(en, -1) {
		v := verb().FindStringSubmatch(en[loc[0]:loc[1]])
		number := place(v, n+1)
		expr += literal(en[at:loc[0]])
		switch {
		case slices.Contains(p.Of, number):
			expr += "(" + values + ")"
		case v[2] == "d":
			expr += `(\d+)`
		case loc[0] == 0:
			expr += `(\S+?)` // a mark, a name: a whole sentence before it is none
		default:
			expr += `(.+?)`
		}
		made.args = append(made.args, number)
		at = loc[1]
	}
	expr += literal(en[at:])
	end := `(?:[\s.,:;]|$)`
	switch {
	case open:
		end = ""
	case strings.HasSuffix(en, "%s"): // all of a value, not its first word
		end = `(?:[.,:;]|$)`
	}
	made.finds = regexp.MustCompile("^(" + expr + ")" + end)
	return made
}

// match finds what a text begins with: how long it is, and its values. A value that stands there twice is the same both times.
func (p *pattern) match(text string) (length int, values map[int]string, ok bool) {
	m := p.finds.FindStringSubmatchIndex(text)
	if m == nil {
		return 0, nil, false
	}
	values = map[int]string{}
	for n, number := range p.args {
		value := text[m[2*n+4]:m[2*n+5]]
		if was, is := values[number]; is && was != value {
			return 0, nil, false
		}
		values[number] = value
	}
	return m[3], values, true
}

// line says a line: sentence by sentence from its start, for as long as the catalogue has them. From the first that it lacks on, all
// stays as it is: that may be the script's words, or somebody's own.
func (s *speaker) line(text string) string {
	var said strings.Builder
	for text != "" {
		rest := strings.TrimLeft(text, " :")
		said.WriteString(text[:len(text)-len(rest)])
		translated, length := s.first(rest)
		if length == 0 {
			said.WriteString(rest)
			break
		}
		said.WriteString(translated)
		text = rest[length:]
	}
	return said.String()
}

// first translates the sentence that a text begins with, and says how long that is; 0: none that the catalogue has.
func (s *speaker) first(text string) (string, int) {
	for _, p := range s.sentences {
		if length, values, ok := p.match(text); ok {
			to := strings.TrimSpace(s.put(p, values))
			if p.ends { // the English one was cut there too
				to = strings.TrimSuffix(to, "%s")
			}
			if r, _ := utf8.DecodeRuneInString(text); unicode.IsUpper(r) {
				r, size := utf8.DecodeRuneInString(to)
				to = string(unicode.ToUpper(r)) + to[size:]
			}
			return to, length
		}
	}
	return "", 0
}

// put fills a translation with values. One for which there is no value is left as it stands.
func (s *speaker) put(p *pattern, values map[int]string) string {
	n := 0
	return verb().ReplaceAllStringFunc(s.text(p.en), func(v string) string {
		n++
		number := place(verb().FindStringSubmatch(v), n)
		value, is := values[number]
		switch {
		case !is:
			return v
		case slices.Contains(p.of, number):
			return s.value(value)
		}
		return value
	})
}

// value translates a value that has a translation.
func (s *speaker) value(text string) string {
	for _, p := range s.values {
		if length, values, ok := p.match(text); ok && length == len(text) {
			return s.put(p, values)
		}
	}
	return text
}

// text looks a sentence up in the catalogue; what that lacks comes back as it is.
func (s *speaker) text(en string) string {
	var f found
	if err := s.texts.Context(s.tag, &f).Execute(en); err != nil {
		return en
	}
	return f.text
}

// found takes what a catalogue finds, without putting values in: those come out of a text here and have the form of words already.
type found struct{ text string }

func (f *found) Render(text string) { f.text = text }
func (f *found) Arg(int) any        { return nil }
