// Package pattern finds what worn items of a store have in common, and tells what is likely by luck alone from what isn't. It is pure.
// Nothing here decides a verdict.
//
// Counts are always given. What was looked at in many ways shows something somewhere by luck: so that this is said once in twenty
// stores at most, what each count must show is made stricter by how many counts could have shown anything (Tarone, Biometrics 46, 1990).
package pattern

import (
	"cmp"
	"slices"

	"becket/flows/chance"
)

// Item is one item of the store, in use or not.
type Item struct {
	Mark       string
	Family     string
	Model      string   // empty: not known
	Worn       bool     // whether wear was noted of it
	Cause      string   // what wore it; empty: nobody said
	Side       string   // where it was worn: "left", "right", "top", "bottom", or anything else; empty: nobody said
	Measured   bool     // whether anything of it was measured
	Read       bool     // whether its readings show wear
	ReadSide   string   // on which side they do, "both" among them; empty: it isn't measured by sides, or they show none
	Conditions []string // what it was used in: "dusty", "salt"
}

// Kind is what a finding counts.
type Kind uint8

// The kinds of finding.
const (
	Side      Kind = iota + 1 // worn items of a family or a model on one side, against the opposite one
	Cause                     // worn items of a family with one cause, against those of all other families
	Model                     // worn items among all of a model, against the other models of its family
	Condition                 // worn items among all used in something, against all others
)

// Finding is one count. Group is a family or a model, and empty for a Condition; What is empty for a Model.
type Finding struct {
	Kind        Kind
	Read        bool // by what readings show, among what was measured; false: by what was noted, among all
	Group, What string
	Hit, In     int     // "6 of 9"
	Against     int     // of the Others; for a Side, how many are on the opposite one
	Others      int     // for a Side the same In
	ByChance    float64 // how likely so much or more is by luck alone
	Shown       bool    // whether that is too unlikely to be luck
	least       float64 // the least that ByChance could have been
}

// few is how many must have something in common before it is worth counting.
const few = 3

// level is how often luck alone may be taken for a pattern, over all that is counted.
const level = 0.05

// Find counts everything that at least three worn items have in common, what is least likely by luck first: by what was noted, and apart from it by
// what readings show. What is no more often so than elsewhere isn't counted.
func Find(items []Item) []Finding {
	found := count(items)
	for _, f := range count(byReadings(items)) {
		f.Read = true
		found = append(found, f)
	}
	show(found) // before anything is left out: what came of a count has no say in how many were looked at
	found = slices.DeleteFunc(found, func(f Finding) bool { return f.Hit < few || f.Kind != Side && f.Hit*f.Others <= f.Against*f.In })
	slices.SortStableFunc(found, func(a, b Finding) int {
		return cmp.Or(cmp.Compare(a.ByChance, b.ByChance), -cmp.Compare(a.Hit, b.Hit), cmp.Compare(a.Group+a.What, b.Group+b.What))
	})
	return found
}

// byReadings are the items of which something was measured, worn where readings show it. What wore them no reading tells.
func byReadings(items []Item) (measured []Item) {
	for _, i := range items {
		if i.Measured {
			i.Worn, i.Side, i.Cause = i.Read, i.ReadSide, ""
			measured = append(measured, i)
		}
	}
	return measured
}

// count counts all that could be in common.
func count(items []Item) (found []Finding) {
	for _, family := range values(items, func(i Item) []string { return []string{i.Family} }) {
		alike := slices.DeleteFunc(slices.Clone(items), func(i Item) bool { return i.Family != family })
		found = append(append(found, sides(alike, family)...), causes(items, family)...)
		models := values(alike, func(i Item) []string { return []string{i.Model} })
		if len(models) < 2 {
			continue
		}
		for _, model := range models {
			is := func(i Item) bool { return i.Model == model }
			found = append(found, of(alike, Finding{Kind: Model, Group: model}, is, worn))
			found = append(found, sides(slices.DeleteFunc(slices.Clone(alike), func(i Item) bool { return !is(i) }), model)...)
		}
	}
	for _, condition := range values(items, func(i Item) []string { return i.Conditions }) {
		in := func(i Item) bool { return slices.Contains(i.Conditions, condition) }
		found = append(found, of(items, Finding{Kind: Condition, What: condition}, in, worn))
	}
	return found
}

func worn(i Item) bool { return i.Worn }

// opposite is the other side of a pair; false for what has none.
func opposite(side string) (string, bool) {
	for _, pair := range [][2]string{{"left", "right"}, {"top", "bottom"}, {"front", "back"}, {"inside", "outside"}} {
		switch side {
		case pair[0]:
			return pair[1], true
		case pair[1]:
			return pair[0], true
		}
	}
	return "", false
}

// sides counts the worn items of a group, which these are.
func sides(items []Item, group string) (found []Finding) {
	count, all := map[string]int{}, 0
	for _, i := range items {
		if i.Worn && i.Side != "" {
			count[i.Side]++
			all++
		}
	}
	for side, n := range count {
		other, paired := opposite(side)
		if !paired || n < count[other] {
			continue
		}
		found = append(found, Finding{
			Kind: Side, Group: group, What: side, Hit: n, In: all, Against: count[other], Others: all,
			ByChance: chance.Sides(n, count[other]), least: chance.Sides(n+count[other], 0),
		})
	}
	return found
}

func causes(items []Item, family string) (found []Finding) {
	said := slices.DeleteFunc(slices.Clone(items), func(i Item) bool { return !i.Worn || i.Cause == "" })
	for _, cause := range values(said, func(i Item) []string { return []string{i.Cause} }) {
		found = append(found, of(said, Finding{Kind: Cause, Group: family, What: cause},
			func(i Item) bool { return i.Family == family }, func(i Item) bool { return i.Cause == cause }))
	}
	return found
}

// of counts the hits among those in a group and among all others.
func of(items []Item, f Finding, in, hit func(Item) bool) Finding {
	for _, i := range items {
		of, n := &f.Others, &f.Against
		if in(i) {
			of, n = &f.In, &f.Hit
		}
		*of++
		if hit(i) {
			*n++
		}
	}
	t := chance.Table{Hit: f.Hit, In: f.In, OtherHit: f.Against, Others: f.Others}
	f.ByChance, f.least = t.More(), t.Least()
	return f
}

// show marks what is too unlikely to be luck, given how many counts could have been so.
func show(found []Finding) {
	could := func(limit float64) (n int) {
		for _, f := range found {
			if f.least <= limit {
				n++
			}
		}
		return n
	}
	k := 1
	for could(level/float64(k)) > k {
		k++
	}
	for i := range found {
		found[i].Shown = found[i].ByChance <= level/float64(k)
	}
}

// values lists what items have, each once, sorted; empty ones are left out.
func values(items []Item, of func(Item) []string) (all []string) {
	for _, i := range items {
		all = append(all, of(i)...)
	}
	slices.Sort(all)
	return slices.DeleteFunc(slices.Compact(all), func(s string) bool { return s == "" })
}
