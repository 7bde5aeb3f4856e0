package prompts

import (
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
)

// The words of a sentence in whatever order are all there, and say nothing, or something else. Of the sentences of the guidance, shuffled, hardly
// any comes through; without the check on how words ran more than half would.
func TestShuffledSentencesAreRefused(t *testing.T) {
	c, chance := checker(t), rand.New(rand.NewPCG(6, 26))
	tried, through, alone := 0, 0, 0
	for _, original := range longSentences(t) {
		words := readText(original, c.languages[English]).words()
		chance.Shuffle(len(words), func(i, j int) { words[i], words[j] = words[j], words[i] })
		joined := strings.Join(words, " ")
		worded := strings.ToUpper(joined[:1]) + joined[1:] + "."
		tried++
		switch why := c.Objections(original, worded, English); {
		case len(why) == 0:
			through++
			t.Logf("comes through: %s", worded)
		case len(why) == 1 && why[0].Check == "as it ran":
			alone++
		}
	}
	t.Logf("%d of %d came through; %d more would without the check", through, tried, alone)
	if tried < 300 || through*100 > tried {
		t.Errorf("%d of %d came through", through, tried)
	}
}

// longSentences are those of the guidance that state or tell something, and have six words at least, in the order of the alphabet.
func longSentences(t *testing.T) []string {
	own, err := Own()
	if err != nil {
		t.Fatal(err)
	}
	all := map[string]bool{}
	for _, words := range []map[string]map[string]Words{own.families, own.blocks} {
		for of := range maps.Values(words) {
			for w := range maps.Values(of) {
				for s := range strings.SplitAfterSeq(strings.ReplaceAll(w.Explained, partMark, "frame"), ". ") {
					if s = strings.TrimSpace(s); strings.Count(s, " ") >= 5 && !strings.ContainsAny(s, ";?") {
						all[s] = true
					}
				}
			}
		}
	}
	return slices.Sorted(maps.Keys(all))
}
