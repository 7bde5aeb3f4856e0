package flows

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// Keys and shapes are those of the design, section 5, `becket flows show ID --json`.
func TestShowHasTheFixedShape(t *testing.T) {
	f := loaded(t, strings.Replace(withAsks, "sections:", "facts:\n  lid: {ask: A lid?, choices: {with: one, without: none}}\nsections:", 1))
	text, err := f.Show()
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	one := func(v any, keys ...string) map[string]any {
		t.Helper()
		m, ok := v.(map[string]any)
		if list, isList := v.([]any); isList {
			m, ok = list[0].(map[string]any)
		}
		if !ok {
			t.Fatalf("%v is no object", v)
		}
		slices.Sort(keys)
		if diff := cmp.Diff(keys, slices.Sorted(maps.Keys(m))); diff != "" {
			t.Errorf("keys (-want +got):\n%s", diff)
		}
		return m
	}
	one(got, "id", "revision", "hash", "title", "facts", "figures", "sections", "together", "clear")
	one(one(got["facts"], "id", "ask", "choices")["choices"], "id", "label")
	if diff := cmp.Diff(map[string]any{"rivets": "count", "wall_new": "mm"}, got["figures"]); diff != "" {
		t.Errorf("figures (-want +got):\n%s", diff)
	}
	section := one(got["sections"], "id", "title", "on_rope", "checks", "readings", "asks")
	check := one(section["checks"], "id", "ask", "critical", "required", "when", "findings")
	one(check["findings"], "id", "label", "verdict", "because", "basis")
	reading := one(section["readings"], "id", "ask", "unit", "harm", "repeat", "doubt", "when", "limits")
	limit := one(reading["limits"], "at", "verdict", "because", "basis")
	if diff := cmp.Diff(map[string]any{"value": "1.5"}, limit["at"]); diff != "" {
		t.Errorf("a fixed point (-want +got):\n%s", diff)
	}
	if reading["doubt"] != "0" || reading["repeat"] != 3.0 {
		t.Errorf("doubt %v, repeat %v: decimals are texts, counts are numbers", reading["doubt"], reading["repeat"])
	}
	var kinds []any
	for _, v := range section["asks"].([]any) {
		kinds = append(kinds, one(v, "id", "ask", "kind")["kind"])
	}
	if diff := cmp.Diff([]any{"match", "match", "note", "photo"}, kinds); diff != "" {
		t.Errorf("kinds (-want +got):\n%s", diff)
	}
	rules := got["together"].([]any)
	if least := one(rules[0], "id", "at_least", "of", "verdict", "because", "basis")["at_least"]; least != 2.0 {
		t.Errorf("at least %v", least)
	}
	one(rules[1], "id", "any", "of", "verdict", "because", "basis")
}

func TestShowPointOnASheet(t *testing.T) {
	text, err := loaded(t, example).Show()
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Sections []struct {
			Readings []struct {
				Limits []struct{ At map[string]string }
			}
			Checks []any
		}
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(map[string]string{"sheet": "cam_groove_max", "percent": "75"}, got.Sections[1].Readings[0].Limits[1].At); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	if got.Sections[2].Checks == nil {
		t.Error("an empty list is not shown as one")
	}
}

// The document beside a flow comes out fit when it is judged as it was printed.
func TestShownClearDocumentIsFit(t *testing.T) {
	list, err := Library()
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range list {
		text, err := f.Show()
		if err != nil {
			t.Fatal(err)
		}
		var shown struct{ Clear json.RawMessage }
		if err := json.Unmarshal(text, &shown); err != nil {
			t.Fatal(err)
		}
		d, err := ParseDocument(shown.Clear)
		if err != nil {
			t.Fatalf("%s: %v", f.ID, err)
		}
		o, err := f.Examine(d, anyDay())
		if err != nil || o.Verdict != Fit {
			t.Errorf("%s: %s %v %v", f.ID, o.Verdict, o.Missing, err)
		}
	}
}

func TestDescribe(t *testing.T) {
	got := loaded(t, withAsks).Describe()
	for _, want := range []string{
		"Cup (cup, edition 2)\n",
		"  rivets, in count: How many rivets\n",
		"  wall: Thickness of the wall. (in mm; 3 times; less is worse; doubt 0)\n",
		"    - at 1.5: quarantine. Thin. (shop rule)\n",
		"    - a chip: watch. It grows. (shop rule)\n",
		"    - dirt: noted\n",
		"  two: at least 2 of rim.chip, rim.dirt, wall.quarantine.1\n",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
}
