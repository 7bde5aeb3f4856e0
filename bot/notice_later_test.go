package bot

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/due"
	"becket/store"
)

// teamWith is the yard's file with one item more.
func teamWith(item string) string { return yard + "- {" + item + "}\n" }

// Ranges as makers publish them, against kit that comes in by a file afterwards; common practice, no source.
func TestSafety03_ANoticeHoldsKitThatComesInLater(t *testing.T) {
	t.Parallel()
	const held, doubted, free = "held", "can't be ruled out", "free"
	for _, one := range []struct{ notice, item, want string }{
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "serial: 22-1200", held},
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "serial: 22 1299", held},
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "serial: 22-1300", free},
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "serial: 22-1199", free},
		{"Skerry Works Dunlin, serials 22-01200 to 22-01299", "serial: 22-1250", held},
		{"Skerry Works Dunlin, serials 22-1200 and above", "serial: 22-9000", held},
		{"Skerry Works Dunlin, serials up to 22-1100", "serial: 22-0007", held},
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "place: rack 9", doubted},
		{"Skerry Works Dunlin, serials 22-1200 to 22-1299", "serial: worn off", doubted},
		{"Skerry Works Dunlin, batch B7", "serial: 22-1250, batch: b7", held},
		{"Skerry Works Dunlin, batch B7", "serial: 22-1250, batch: B8", free},
		{"Skerry Works Dunlin, batch B7", "serial: 22-1250", doubted},
		{"Skerry Works Dunlin, made March 2024", "serial: 22-1250, made: 2024-03-31", held},
		{"Skerry Works Dunlin, made March 2024", "serial: 22-1250, made: 2024-04", free},
		{"Skerry Works Dunlin, made March 2024", "serial: 22-1250", doubted},
		{"Northlight, all", "maker: Northlight, model: Heron", held},
		{"Northlight Heron, all", "maker: northlight, model: heron", held}, // no such model was here when the notice was taken
		{"Northlight Heron, all", "maker: Northlight, model: Petrel", free},
		{"Northlight Heron, all", "maker: Northlight", doubted},
	} {
		t.Run(one.notice+" "+one.item, func(t *testing.T) {
			t.Parallel()
			c := talk(t)
			item := "mark: D-90, flow: cam-handle-descender, holder: \"@fay\", " + one.item
			if !strings.Contains(item, "maker:") {
				item += ", maker: Skerry Works, model: Dunlin"
			}
			c.say("@dee", "", "notice "+one.notice+": pin may be soft")
			c.say("@dee", "", "no")
			if err := c.load(teamWith(item)); err != nil {
				t.Fatal(err)
			}
			told := c.deliver()
			holds := c.status("D-90").holds
			if one.want == free {
				if len(holds) > 0 {
					t.Fatalf("held: %s", holds[0].Why)
				}
				return
			}
			if len(holds) != 1 || !holds[0].Source.NeedsDocument() || holds[0].Why != "a maker's notice (1): pin may be soft" {
				t.Fatalf("holds: %+v", holds)
			}
			c.wantSaid(told, "have it D-90")
			if doubt := strings.Contains(told.text(), "Can't be ruled out: D-90"); doubt != (one.want == doubted) {
				t.Errorf("said: %s", told.text())
			}
			if h := c.say("@fay", "", "have it D-90"); h.refused() {
				t.Errorf("whoever has it is asked: %s", h.text())
			}
		})
	}
}

func TestNotice_TakenTwiceByAFileHoldsOnce(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "notice Skerry Works Dunlin, serials 22-1250: soft")
	team := teamWith("mark: D-90, serial: 22-1250, flow: cam-handle-descender, maker: Skerry Works, model: Dunlin")
	for range 2 {
		if err := c.load(team); err != nil {
			t.Fatal(err)
		}
	}
	if n := len(c.status("D-90").holds); n != 1 {
		t.Errorf("%d holds by one notice", n)
	}
}

func TestNotice_ANearNameHoldsNothingAndIsSaid(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "notice Skerry Works Dunnock, all: soft, none of ours")
	if err := c.load(teamWith("mark: D-90, serial: 22-1250, flow: cam-handle-descender, maker: Skerry Works, model: Dunnok")); err != nil {
		t.Fatal(err)
	}
	told := c.deliver()
	if n := len(c.status("D-90").holds); n != 0 {
		t.Errorf("held by a name that is only near: %d", n)
	}
	c.wantSaid(told, "type the notice again")
}

// TestNoticeNothingLearntLaterMatches: what isn't recorded counts as affected when a notice is taken. So an item that
// isn't spoken of with something unknown isn't spoken of once that is written down, and nothing is missed later.
func TestNoticeNothingLearntLaterMatches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		parts := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"serials 22-10 to 22-19", "serials 22-15 and above", "batch B7", "made 2022", "made before 2021"}), 1, 3,
			func(s string) string { return s[:2] }).Draw(t, "parts")
		n, name, err := readNotice("Skerry Works Dunlin, " + strings.Join(parts, ", ") + ": x")
		if err != nil {
			t.Fatal(err)
		}
		n.named(name, map[[2]string]string{{"Skerry Works", "Dunlin"}: "cam-handle-descender"})
		whole := store.Item{Maker: "Skerry Works", Model: rapid.SampledFrom([]string{"Dunlin", "Knot"}).Draw(t, "model"), Flow: "cam-handle-descender"}
		whole.Serial = fmt.Sprintf("22-%d", rapid.IntRange(1, 30).Draw(t, "serial"))
		whole.Batch = rapid.SampledFrom([]string{"B7", "B8"}).Draw(t, "batch")
		whole.Made = due.Date{Year: rapid.IntRange(2019, 2023).Draw(t, "year")}
		blanked := whole
		if rapid.Bool().Draw(t, "no serial") {
			blanked.Serial = ""
		}
		if rapid.Bool().Draw(t, "no batch") {
			blanked.Batch = ""
		}
		if rapid.Bool().Draw(t, "no date") {
			blanked.Made = due.Date{}
		}
		if before, _ := n.speaksOf(blanked); before {
			return
		}
		if after, _ := n.speaksOf(whole); after {
			t.Fatalf("%v doesn't speak of %+v, and speaks of %+v", parts, blanked, whole)
		}
	})
}

// A notice that was kept in words that aren't taken any more is read still, or nothing could be taken in after it.
func TestNotice_KeptInOtherWordsIsReadStill(t *testing.T) {
	t.Parallel()
	c := talk(t)
	const text = "Skerry Works Dunlin serials 22-1100 to 22-1199 pin soft"
	c.wantRefused(c.say("@dee", "", "notice "+text), "Put a comma after the model")
	err := c.db.Do(c.Context(), func(tx *store.Tx) error {
		_, err := tx.Append(c.room, "@dee", "as it was taken once", store.NoticeTaken{Number: 1, Notice: store.Notice{Text: text, Maker: "Skerry Works"}})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := c.load(teamWith("mark: D-90, serial: 22-1250, flow: cam-handle-descender, maker: Skerry Works, model: Dunlin")); err != nil {
		t.Fatal(err)
	}
	c.wantSaid(c.say("@dee", "", "notice"), "Notice 1")
}
