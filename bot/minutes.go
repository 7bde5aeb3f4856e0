package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/store"
)

// minutes is how long looking at one item takes, from the quickest to the slowest usual.
type minutes struct{ least, most int }

func (m minutes) plus(n minutes) minutes { return minutes{m.least + n.least, m.most + n.most} }

// middle is the usual in between.
func (m minutes) middle() int { return (m.least + m.most + 1) / 2 }

func (m minutes) words() string {
	if m.least == m.most {
		return format(minutesAbout, m.most)
	}
	return format(minutesRange, m.least, m.most)
}

// minutesOf is how long one item of a family takes, by what its name says it is: common practice, no source. A kind
// that isn't here is reckoned like the longest of those held in one hand.
func minutesOf(family string) minutes {
	for _, kind := range []struct {
		word string
		minutes
	}{
		{"connector", minutes{1, 2}}, {"quick-link", minutes{1, 2}}, {"pulley", minutes{3, 5}},
		{"rope-grab", minutes{4, 6}}, {"ascender", minutes{4, 6}}, {"descender", minutes{6, 10}}, {"belay-device", minutes{6, 10}},
		{"guided", minutes{6, 10}}, {"retractable", minutes{10, 15}}, {"harness", minutes{10, 15}}, {"lanyard", minutes{4, 6}},
		{"helmet", minutes{3, 5}}, {"tripod", minutes{20, 20}}, {"rope", minutes{15, 20}},
	} {
		if strings.Contains(family, kind.word) {
			return kind.minutes
		}
	}
	return minutes{6, 10}
}

// minutesFor is how long one item of a family takes at the longest usual.
func minutesFor(family string) int { return minutesOf(family).most }

// dayMinutes is how much looking is a day's work: forty mixed items of 6 minutes (30 to 50 a day are realistic:
// common practice, no source).
const dayMinutes = 240

// workload says of items how many there are and how long they take, a line for each family.
func (t *turn) workload(items []store.Item) (lines []string, all minutes) {
	count := map[string]int{}
	var families []string
	for _, item := range items {
		if count[item.Flow]++; count[item.Flow] == 1 {
			families = append(families, item.Flow)
		}
	}
	slices.Sort(families)
	for _, family := range families {
		each, n := minutesOf(family), count[family]
		sum := minutes{each.least * n, each.most * n}
		all = all.plus(sum)
		lines = append(lines, fmt.Sprintf("  %s: %d, %s", t.titleOf(family), n, sum.words()))
	}
	return lines, all
}
