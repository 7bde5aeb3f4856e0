package translate

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/goccy/go-yaml"
)

// written reads a catalogue as it stands in its file.
func written(t *testing.T, name string) (f file) {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := yaml.UnmarshalWithOptions(raw, &f, yaml.Strict()); err != nil {
		t.Fatal(err)
	}
	return f
}

func ours(t *testing.T) *Catalogue {
	t.Helper()
	c, err := Own()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// english collects the conversation's fixed sentences, and each line of those that have several, out of the program's own text.
func english(t *testing.T) map[string]bool {
	t.Helper()
	files, err := filepath.Glob("../catalogue*.go")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	all := map[string]bool{}
	for _, name := range append(files, "../../flows/words.go") {
		tree, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			spec, is := n.(*ast.ValueSpec)
			if !is {
				return true
			}
			for _, v := range spec.Values {
				lit, is := v.(*ast.BasicLit)
				if !is || lit.Kind != token.STRING {
					continue
				}
				text, err := strconv.Unquote(lit.Value)
				if err != nil {
					t.Fatal(err)
				}
				all[text] = true
				for line := range strings.Lines(text) {
					all[strings.TrimSpace(line)] = true
				}
			}
			return true
		})
	}
	return all
}

// A sentence that was changed in English has no translation until somebody has changed that too. What is missing is counted.
func TestEachTranslationIsOfASentenceThatThereIs(t *testing.T) {
	all, f := english(t), written(t, "de.yaml")
	have := 0
	for _, p := range f.Sentences {
		if !all[p.En] {
			t.Errorf("no sentence of the conversation is %q", p.En)
		}
		have++
	}
	t.Logf("%s: %d sentences and %d values are translated, %d texts of the catalogue stay English", f.Language, have, len(f.Values), len(all)-have)
}

var (
	number = regexp.MustCompile(`\d+(?:[.,]\d+)?`)
	unit   = regexp.MustCompile(`\b(?:mm|cm|kN|kg|°C|MB)\b`)
)

func TestTranslationsHaveTheSameValuesNumbersAndUnits(t *testing.T) {
	f := written(t, "de.yaml")
	for _, p := range slices.Concat(f.Values, f.Sentences) {
		if err := sameValues(p); err != nil {
			t.Error(err)
		}
		for _, what := range []*regexp.Regexp{verb(), number, unit} {
			en, to := what.FindAllString(p.En, -1), what.FindAllString(p.To, -1)
			slices.Sort(en)
			slices.Sort(to)
			if !slices.Equal(en, to) {
				t.Errorf("%q has %v, and %q has %v", p.En, en, p.To, to)
			}
		}
	}
}

// Words that can be typed stand in quotation marks, and stay as they are: nothing is understood but those.
func TestTypedWordsStay(t *testing.T) {
	quoted := regexp.MustCompile(`"[^"]*"`)
	for _, p := range written(t, "de.yaml").Sentences {
		en, to := quoted.FindAllString(p.En, -1), quoted.FindAllString(p.To, -1)
		if !slices.Equal(en, to) {
			t.Errorf("%q: to be typed is %v, and in the translation %v", p.En, en, to)
		}
	}
}

// filled puts values into a sentence: numbers, and names that no translation can know.
func filled(sentence string, f file, of []int, from func(pair) string) string {
	n := 0
	return verb().ReplaceAllStringFunc(sentence, func(v string) string {
		n++
		m := verb().FindStringSubmatch(v)
		at := place(m, n)
		switch {
		case slices.Contains(of, at):
			return from(f.Values[at])
		case m[2] == "d":
			return fmt.Sprint(40 + at)
		}
		return fmt.Sprint("X-", at)
	})
}

func TestEachSentenceIsFoundAndSaid(t *testing.T) {
	c, f := ours(t), written(t, "de.yaml")
	for _, p := range f.Sentences {
		en := filled(p.En, f, p.Of, func(v pair) string { return v.En })
		want := strings.TrimSpace(filled(p.To, f, p.Of, func(v pair) string { return v.To }))
		if got := strings.TrimSpace(c.Say("de", en)); got != want {
			t.Errorf("%q\nis said     %q\nand not as %q", en, got, want)
		}
	}
}

func TestVerdictsAndCautionsHaveATranslation(t *testing.T) {
	c := ours(t)
	for verdict, want := range map[string]string{
		"FIT": "TAUGLICH (fit)", "WATCH": "BEOBACHTEN (watch)", "QUARANTINE": "GESPERRT (quarantine)", "RETIRE": "AUSMUSTERN (retire)", "INCOMPLETE": "UNVOLLSTÄNDIG (incomplete)",
	} {
		if got := c.Say("de", "By the rules: "+verdict+"."); got != "Nach den Regeln: "+want+"." {
			t.Error(got)
		}
	}
	for _, caution := range []string{
		"The maker's instructions and local rules come first. In doubt, out of service. This is no strength test.",
		"This speaks for the moment of the inspection. Check before each use, as always.",
		"Check it yourself before each use. The maker's instructions and local rules come first; if in doubt, out of service.",
	} {
		if !c.Has("de", caution) {
			t.Errorf("not translated: %s", caution)
		}
	}
}

// Whatever isn't a sentence of the catalogue stays, to the letter, and so does all that follows it in its line.
func TestOtherWordsStay(t *testing.T) {
	c := ours(t)
	for _, stays := range []string{
		"", "Lay it flat. Noted.", "  a  a groove that can be seen", "By the rules: good.", "Notedly.", "4 of 12, looking", "Clearly. Clear.",
		"D-07: fit. D-07 is held from now: it doesn't go on a rope today.", "  WATCH: Clear.",
	} {
		if got := c.Say("de", stays); got != stays {
			t.Errorf("%q became %q", stays, got)
		}
	}
	for said, want := range map[string]string{
		"Noted: WATCH; Clear. Then 0.31 mm.":                                         "Notiert: WATCH; Clear. Then 0.31 mm.",
		"Tag it: QUARANTINE Clear, FIT, record 2026-1. Keep it apart.":               "Häng ein Schild daran: QUARANTINE Clear, FIT, Protokoll 2026-1. Halt es getrennt.",
		"\"Clear.\" doesn't say what you saw. Nothing was written: send one letter.": "\"Clear.\" sagt nicht, was du gesehen hast. Nichts wurde aufgeschrieben: schick einen Buchstaben.",
	} {
		if got := c.Say("de", said); got != want {
			t.Errorf("%q\nbecame %q\nand not %q", said, got, want)
		}
	}
	for _, code := range []string{"", "en", "fr", "no language"} {
		if got := c.Say(code, "Noted."); got != "Noted." {
			t.Errorf("in %q: %q", code, got)
		}
	}
}

// What the rules say by themselves is said where it follows what is known: the lines are those of conversations in testdata/script.
func TestWhatTheRulesSayIsSaidInALine(t *testing.T) {
	c := ours(t)
	for en, de := range map[string]string{
		"4 of 13, since last time: Found before: catch sticks. How is it now?":               "4 von 13, seit dem letzten Mal: Früher gefunden: catch sticks. Wie ist es jetzt?",
		"13 of 14, before signing: Found before and gone now: catch sticks. What was done?":  "13 von 14, vor dem Unterschreiben: Früher gefunden und jetzt weg: catch sticks. Was wurde getan?",
		"11 of 13, before signing: Why couldn't this be told: rivets (look), facing (feel)?": "11 von 13, vor dem Unterschreiben: Warum war das nicht feststellbar: rivets (look), facing (feel)?",
		"Worst 4.2, doubt 0.1 mm. It has worn, and the sheet gives no limit: ask the maker.": "Schlechtester 4.2, Unsicherheit 0.1 mm. Es ist abgenutzt, und das Blatt nennt keine Grenze: frag den Hersteller.",
	} {
		if got := c.Say("de", en); got != de {
			t.Errorf("%s\n%s, and wanted is\n%s", en, got, de)
		}
	}
}

func TestLanguagesAreFoundByCodeAndName(t *testing.T) {
	c := ours(t)
	for word, want := range map[string]string{"de": "de", "DE": "de", "de-AT": "de", "German": "de", "deutsch": "de", "en": "en", "English": "en", "en-GB": "en", "fr": "", "": "", "clear": "", "nl": ""} {
		l, is := c.Named(word)
		if is != (want != "") || is && l.Code != want {
			t.Errorf("%q: %v, %v", word, l, is)
		}
	}
	if l, _ := c.Named("de"); l.Name != "German" || l.CheckedBy != "" {
		t.Errorf("%+v: it says who has checked it, and nobody has", l)
	}
	var none *Catalogue
	if l, is := none.Named("en"); !is || l.Code != English || none.Say("de", "Noted.") != "Noted." {
		t.Error(l, is)
	}
}

func TestFaultyCataloguesAreRefused(t *testing.T) {
	for name, sentence := range map[string]string{
		"a value lost":            `{en: "%s is in quarantine: %s", to: "gesperrt: %s"}`,
		"a value of no kind":      `{en: "At %d.", to: "Bei %s."}`,
		"an end moved":            `{en: "Found: %s", to: "%s gefunden"}`,
		"an unknown word":         `{en: "Noted.", tu: "Notiert."}`,
		"the same sentence twice": `{en: "Noted.", to: "Notiert."}, {en: "Noted.", to: "Gut."}`,
	} {
		_, err := Load(fstest.MapFS{"xx.yaml": {Data: []byte("language: de\nsentences: [" + sentence + "]\n")}})
		if err == nil {
			t.Errorf("%s, and it is taken", name)
		}
	}
	if _, err := Load(fstest.MapFS{"xx.yaml": {Data: []byte("language: nothing at all\n")}}); err == nil {
		t.Error("a language that there isn't is taken")
	}
}
