package prompts

import (
	"maps"
	"regexp"
	"strings"
	"testing"
)

// TestWholeExplanationsMayBeReworded rewords every explanation that there is, whole, in ways that change nothing: sentences split, "not" written
// out, another word for "since". A text that the checks can't read would never be reworded at all.
func TestWholeExplanationsMayBeReworded(t *testing.T) {
	c, g := checker(t), Guidance{}
	if own, err := Own(); err != nil {
		t.Fatal(err)
	} else {
		g = *own
	}
	upper := func(m string) string { return ". " + strings.ToUpper(m[len(m)-1:]) }
	ways := map[string]func(string) string{
		"as it is":     func(s string) string { return s },
		"split":        func(s string) string { return regexp.MustCompile(`[;:] [a-z]`).ReplaceAllStringFunc(s, upper) },
		"split at and": func(s string) string { return regexp.MustCompile(`, and [a-z]`).ReplaceAllStringFunc(s, upper) },
		"then":         func(s string) string { return strings.Replace(s, " and ", ", and then ", 1) },
		"because":      strings.NewReplacer(", since ", ", because ", "so that", "so").Replace,
		"not":          strings.NewReplacer("won't", "will not", "oesn't", "oes not", "on't", "o not", "can't", "cannot", "sn't", "s not", "shouldn't", "should not", "ren't", "re not").Replace,
		"which":        strings.NewReplacer(" one that ", " one which ", " place that ", " place which ").Replace,
		"if for where": func(s string) string { return strings.Replace(s, "Where ", "If ", 1) },
		"your":         strings.NewReplacer(" a finger", " your finger", " a thumb", " your thumb", " a nail", " your nail").Replace,
	}
	tried, refused := 0, 0
	for _, words := range []map[string]map[string]Words{g.families, g.blocks} {
		for of := range maps.Values(words) {
			for w := range maps.Values(of) {
				text := strings.ReplaceAll(w.Explained, partMark, "frame")
				for name, way := range ways {
					to := way(text)
					if to == text && name != "as it is" {
						continue
					}
					tried++
					if why := c.Objections(text, to, English); len(why) > 0 {
						refused++
						t.Logf("%s: %v\n%s", name, why, to)
					}
				}
			}
		}
	}
	t.Logf("%d were tried, %d refused", tried, refused)
	if tried < 1000 || refused*200 > tried {
		t.Errorf("of %d, %d were refused", tried, refused)
	}
}
