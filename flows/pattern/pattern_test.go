package pattern_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"becket/flows/pattern"
)

// grabs are worn grabs with so many on the left, on the right, and with both sides alike.
func grabs(left, right, both int) (items []pattern.Item) {
	for side, n := range map[string]int{"left": left, "right": right, "both": both} {
		for range n {
			items = append(items, pattern.Item{Mark: fmt.Sprint("G-", len(items)), Family: "grab", Worn: true, Side: side})
		}
	}
	return items
}

func find(found []pattern.Finding, kind pattern.Kind, group, what string) pattern.Finding {
	for _, f := range found {
		if f.Kind == kind && f.Group == group && f.What == what {
			return f
		}
	}
	return pattern.Finding{}
}

func TestSixOfNine(t *testing.T) {
	shown := find(pattern.Find(grabs(6, 0, 3)), pattern.Side, "grab", "left")
	if !shown.Shown || shown.Hit != 6 || shown.In != 9 || math.Abs(shown.ByChance-1./32) > 1e-12 {
		t.Errorf("6 of 9 on the left, none on the right: %+v", shown)
	}
	luck := find(pattern.Find(grabs(6, 3, 0)), pattern.Side, "grab", "left")
	if luck.Shown || luck.Hit != 6 || luck.In != 9 || luck.Against != 3 || math.Abs(luck.ByChance-.5078125) > 1e-9 { // 2·(1+9+36+84)/512
		t.Errorf("6 on the left and 3 on the right: %+v", luck)
	}
	if f := find(pattern.Find(grabs(2, 0, 0)), pattern.Side, "grab", "left"); f.Hit != 0 {
		t.Errorf("two are nothing to count: %+v", f)
	}
}

func TestWhatIsWornWhereAndBy(t *testing.T) {
	var items []pattern.Item
	add := func(n int, i pattern.Item) {
		for range n {
			i.Mark = fmt.Sprint("K-", len(items))
			items = append(items, i)
		}
	}
	add(7, pattern.Item{Family: "pulley", Worn: true, Cause: "grit", Conditions: []string{"dusty"}})
	add(1, pattern.Item{Family: "pulley", Conditions: []string{"dusty"}})
	add(1, pattern.Item{Family: "sling", Worn: true, Cause: "edge"})
	add(20, pattern.Item{Family: "sling"})
	found := pattern.Find(items)
	// by hand, all hits in the first group: 1/C(29,8)·(C(8,7)·C(21,1)+C(8,8)·C(21,0)) = (168+1)/4292145
	const byHand = 169. / 4292145
	if f := find(found, pattern.Condition, "", "dusty"); !f.Shown || f.Hit != 7 || f.In != 8 || f.Against != 1 || f.Others != 21 || math.Abs(f.ByChance-byHand) > 1e-12 {
		t.Errorf("%+v, by chance %v", f, byHand)
	}
	if f := find(found, pattern.Cause, "pulley", "grit"); f.Shown || f.Hit != 7 || f.In != 7 || f.Against != 0 || f.Others != 1 || math.Abs(f.ByChance-1./8) > 1e-12 {
		t.Errorf("against one other, nothing can be shown: %+v", f)
	}
}

// In stores without any pattern one is shown in at most one of twenty.
func TestLuckIsSeldomTakenForAPattern(t *testing.T) {
	const stores = 600
	luck, told := rand.New(rand.NewPCG(3, 4)), 0
	pick := func(of ...string) string { return of[luck.IntN(len(of))] }
	for range stores {
		var items []pattern.Item
		for range 60 {
			i := pattern.Item{Family: pick("grab", "pulley", "descender", "sling"), Model: pick("Tern", "Knot"), Conditions: []string{pick("dusty", "salt", "wet")}}
			if luck.IntN(3) == 0 {
				i.Worn, i.Cause, i.Side = true, pick("grit", "edge", "drop"), pick("left", "right", "both")
			}
			if i.Measured = luck.IntN(2) == 0; i.Measured && luck.IntN(3) == 0 {
				i.Read, i.ReadSide = true, pick("left", "right", "both")
			}
			items = append(items, i)
		}
		for _, f := range pattern.Find(items) {
			if f.Shown {
				told++
				break
			}
		}
	}
	if told > stores/20 {
		t.Errorf("a pattern in %d of %d stores that have none", told, stores)
	}
	if told == 0 {
		t.Error("never a pattern: the test finds nothing out")
	}
}

// What readings show is counted apart from what was noted, and only among what was measured: what nobody measured is no sign that nothing wore.
func TestByReadings(t *testing.T) {
	var items []pattern.Item
	add := func(n int, i pattern.Item) {
		for range n {
			i.Mark = fmt.Sprint("W-", len(items))
			items = append(items, i)
		}
	}
	add(6, pattern.Item{Family: "grab", Model: "Tern", Measured: true, Read: true, ReadSide: "left", Cause: "grit"})
	add(3, pattern.Item{Family: "grab", Model: "Tern", Measured: true, Read: true, ReadSide: "both"})
	add(10, pattern.Item{Family: "grab", Model: "Knot", Measured: true})
	add(50, pattern.Item{Family: "grab", Model: "Knot"})
	add(3, pattern.Item{Family: "grab", Model: "Knot", Worn: true, Side: "right", Cause: "rope"})
	found := pattern.Find(items)
	of := func(read bool, kind pattern.Kind, group, what string) pattern.Finding {
		return find(slices.DeleteFunc(slices.Clone(found), func(f pattern.Finding) bool { return f.Read != read }), kind, group, what)
	}
	if f := of(true, pattern.Side, "grab", "left"); f.Hit != 6 || f.In != 9 || f.Against != 0 || math.Abs(f.ByChance-1./32) > 1e-12 {
		t.Errorf("%+v", f)
	}
	// by hand: all 9 worn in the 9 of one model, of 19 measured: 1/C(19,9) = 1/92378
	if f := of(true, pattern.Model, "Tern", ""); !f.Shown || f.Hit != 9 || f.In != 9 || f.Against != 0 || f.Others != 10 || math.Abs(f.ByChance-1./92378) > 1e-15 {
		t.Errorf("%+v", f)
	}
	if f := of(false, pattern.Side, "grab", "right"); f.Hit != 3 || f.In != 3 {
		t.Errorf("what was noted: %+v", f)
	}
	if f := of(true, pattern.Cause, "grab", "grit"); f.Hit != 0 {
		t.Errorf("no reading tells a cause: %+v", f)
	}
	if f := of(false, pattern.Model, "Tern", ""); f.Hit != 0 {
		t.Errorf("nothing was noted of it: %+v", f)
	}
}

// A model is held against the other models of its family, and never against other kit.
func TestOneModelWearsMore(t *testing.T) {
	var items []pattern.Item
	for n := range 12 {
		items = append(items,
			pattern.Item{Mark: fmt.Sprint("A", n), Family: "grab", Model: "Tern", Worn: n < 8},
			pattern.Item{Mark: fmt.Sprint("B", n), Family: "grab", Model: "Knot", Worn: n < 1},
			pattern.Item{Mark: fmt.Sprint("C", n), Family: "sling", Model: "Rail", Worn: true})
	}
	found := pattern.Find(items)
	f := find(found, pattern.Model, "Tern", "")
	// by hand: 1/C(24,9)·(C(12,8)·C(12,1)+C(12,9)·C(12,0)) = (5940+220)/1307504
	if !f.Shown || f.Hit != 8 || f.In != 12 || f.Against != 1 || f.Others != 12 || math.Abs(f.ByChance-6160./1307504) > 1e-12 {
		t.Errorf("%+v", f)
	}
	if none := find(found, pattern.Model, "Knot", ""); none.In != 0 {
		t.Errorf("less than the others: %+v", none)
	}
	if none := find(found, pattern.Model, "Rail", ""); none.In != 0 {
		t.Errorf("the only model of its family: %+v", none)
	}
}
