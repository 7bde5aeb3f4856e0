// Package translate says in another language what Becket has said in English. It works on finished replies, as they go into the
// outbox: what is decided and written down never depends on it. A catalogue holds each sentence beside its English one; a sentence
// that it lacks stays English, and so do values: marks, names, dates, readings, findings and what people wrote.
package translate

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
	"golang.org/x/text/language"
	"golang.org/x/text/language/display"
	"golang.org/x/text/message/catalog"
)

// English is the code of the language that everything is said in to begin with.
const English = "en"

//go:embed *.yaml
var own embed.FS

// file is one catalogue as it is written.
type file struct {
	Language  string `yaml:"language"`
	CheckedBy string `yaml:"checked_by"` // who is competent, speaks both, and has read it; empty: nobody yet
	CheckedOn string `yaml:"checked_on"`
	// Values are what may stand in a sentence and has a translation of its own: verdicts, sections.
	Values    []pair `yaml:"values"`
	Sentences []pair `yaml:"sentences"`
}

// pair is a sentence in English and in the file's language, both as for fmt. Of lists those of its values, counted from 1, that are
// among the file's Values; it stands for nothing else.
type pair struct {
	En string `yaml:"en"`
	To string `yaml:"to"`
	Of []int  `yaml:"of"`
}

// Catalogue holds every language that there is besides English. It is read-only; nil has none.
type Catalogue struct {
	tags    []language.Tag // English first, as it is taken where nothing fits
	matcher language.Matcher
	spoken  map[language.Tag]*speaker
}

// Language is one that can be chosen. Code is its BCP 47 tag; CheckedBy is empty while nobody competent has read its catalogue.
type Language struct{ Code, Name, CheckedBy string }

// Own are the catalogues that come with the program.
func Own() (*Catalogue, error) { return Load(own) }

// Load reads every catalogue of a folder.
func Load(dir fs.FS) (*Catalogue, error) {
	names, err := fs.Glob(dir, "*.yaml")
	if err != nil {
		return nil, fmt.Errorf("the catalogues can't be read: %w", err)
	}
	c := &Catalogue{tags: []language.Tag{language.English}, spoken: map[language.Tag]*speaker{}}
	texts := catalog.NewBuilder(catalog.Fallback(language.English))
	for _, name := range names {
		raw, err := fs.ReadFile(dir, name)
		if err != nil {
			return nil, fmt.Errorf("catalogue %s: %w", name, err)
		}
		var f file
		if err := yaml.UnmarshalWithOptions(raw, &f, yaml.Strict()); err != nil {
			return nil, fmt.Errorf("catalogue %s: %w", name, err)
		}
		tag, err := language.Parse(f.Language)
		if err != nil {
			return nil, fmt.Errorf("catalogue %s: %q is no language: %w", name, f.Language, err)
		}
		if c.spoken[tag], err = newSpeaker(texts, tag, f); err != nil {
			return nil, fmt.Errorf("catalogue %s: %w", name, err)
		}
		c.tags = append(c.tags, tag)
	}
	c.matcher = language.NewMatcher(c.tags)
	return c, nil
}

// Languages lists what can be chosen, English first.
func (c *Catalogue) Languages() []Language {
	all := []Language{c.of(language.English)}
	if c != nil {
		for _, tag := range c.tags[1:] {
			all = append(all, c.of(tag))
		}
	}
	return all
}

// Named finds a language by its code, like de or de-AT, or by its name in English or in itself.
func (c *Catalogue) Named(word string) (Language, bool) {
	for _, l := range c.Languages() {
		tag := language.Make(l.Code)
		if strings.EqualFold(word, l.Code) || strings.EqualFold(word, l.Name) || strings.EqualFold(word, display.Self.Name(tag)) {
			return l, true
		}
	}
	tag, err := language.Parse(word)
	if err != nil || c == nil {
		return Language{}, false
	}
	_, n, sure := c.matcher.Match(tag)
	return c.of(c.tags[n]), sure >= language.High
}

func (c *Catalogue) of(tag language.Tag) Language {
	l := Language{Code: tag.String(), Name: display.English.Languages().Name(tag)}
	if c != nil && c.spoken[tag] != nil {
		l.CheckedBy = c.spoken[tag].checkedBy
	}
	return l
}

// Say puts a reply into the language with a code. Of a language that there isn't, and of an empty code, it stays as it is.
func (c *Catalogue) Say(code, text string) string {
	if c == nil || code == "" {
		return text
	}
	s := c.spoken[language.Make(code)]
	if s == nil {
		return text
	}
	lines := strings.Split(text, "\n")
	for n, line := range lines {
		lines[n] = s.line(line)
	}
	return strings.Join(lines, "\n")
}

// Has tells whether a language has an English sentence of the program's own catalogue.
func (c *Catalogue) Has(code, sentence string) bool {
	s := c.spoken[language.Make(code)]
	return s != nil && slices.ContainsFunc(slices.Concat(s.values, s.sentences), func(p *pattern) bool { return p.en == sentence })
}
