package bot

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"image"
	"image/png"
	"os"
	"strings"
	"testing"

	"becket/bot/photo/small"
	"becket/flows"
	"becket/store"
)

// TestReportShowsTheSameWithAndWithoutSmallCopies: it is the same document whether a photo's small copy was made before, is missing or
// is spoilt, and there is none once the record has lost the photo itself.
func TestReportShowsTheSameWithAndWithoutSmallCopies(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	var content bytes.Buffer
	if err := png.Encode(&content, image.NewGray(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	kept := c.photo(content.String())
	thread := c.begin("@ben", "D-41")
	c.until("@ben", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	c.send(Message{From: "@ben", Thread: thread, Text: finds{}.words(q), Files: []File{kept}})
	c.until("@ben", thread, "", nil)
	c.say("@ben", thread, "sign fit")
	for name, spoil := range map[string]func(file string) error{
		"there":   func(string) error { return nil },
		"missing": os.Remove,
		"spoilt":  func(file string) error { return os.WriteFile(file, []byte("no picture"), 0o600) },
	} {
		c.say("@ana", "", "swl D-41: 215 kg")
		before := c.document(c.reports("@ben", "D-41", "no"))
		file := fmt.Sprintf("%s-small/%x", c.file, sha256.Sum256(content.Bytes()))
		if err := spoil(file); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		c.say("@ana", "", "swl D-41: 216 kg")
		c.reports("@ben", "D-41", "no")
		c.say("@ana", "", "swl D-41: 215 kg")
		if after := c.document(c.reports("@ben", "D-41", "no")); !bytes.Equal(before, after) || !bytes.Contains(after, []byte("/DCTDecode")) {
			t.Errorf("%s: the report is another document, or shows no photo", name)
		}
		c.view(func(tx *store.Tx) error {
			want, _, err := small.Of(kept.Type, content.Bytes())
			if got, whole := tx.Small(kept.Hash); !whole || !bytes.Equal(got, want) {
				t.Errorf("%s: the small copy isn't made again", name)
			}
			return err
		})
	}
	if err := os.Remove(fmt.Sprintf("%s-photos/%s", c.file, kept.Hash)); err != nil {
		t.Fatal(err)
	}
	c.say("@ana", "", "swl D-41: 217 kg")
	in := store.Incoming{ID: "$lost", Room: c.room, Body: []byte(`{"id":"$lost","room":"` + c.room + `","from":"@ben","text":"report D-41"}`)}
	if _, err := c.db.Receive(c.Context(), "test", []store.Incoming{in}, ""); err != nil {
		t.Fatal(err)
	}
	if err := c.db.Do(c.Context(), func(tx *store.Tx) error { return c.bot.TakeStored(tx, in) }); err == nil || !strings.Contains(err.Error(), "is missing") {
		t.Errorf("of a photo that is lost it says: %v", err)
	}
	c.photo(content.String()) // back from a backup
}

// TestAPhotoIsNamedForPeople: by what it was asked of, one check or a part that several checks look at, or by what is watched there.
func TestAPhotoIsNamedForPeople(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	i := c.open(c.begin("@ben", "D-41"))
	for step, want := range map[string]string{
		"": "The item", flows.PhotoStep: "The item", "on-rope.hold": "On rope: hold", "look.plates_body": "Look: side plates and handle", "look.cam": "Look: cam",
		flows.PlaceStep("cam.groove"): "Where it is: cam groove", "measure.wear_pin": "Measure: wear pin",
	} {
		if got := i.shownAt(step); got != want {
			t.Errorf("a photo of the step %q is named %q, not %q", step, got, want)
		}
	}
}
