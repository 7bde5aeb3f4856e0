package bot

import (
	"bytes"
	"image"
	"image/png"
	"math/rand/v2"
	"os"
	"testing"

	"becket/bot/photo/small"
	"becket/store"
)

// TestSmallCopiesAreMadeBeside: of a large photo whose copy is missing one is made, the same that a report would make; of a small photo,
// of one that is gone and of one that can't be opened none is.
func TestSmallCopiesAreMadeBeside(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	noise := image.NewRGBA(image.Rect(0, 0, 600, 500))
	chance := rand.New(rand.NewPCG(1, 2))
	for n := range noise.Pix {
		noise.Pix[n] = byte(chance.Uint32()) | 0xFF*byte(n&3/3)
	}
	var large, little bytes.Buffer
	if err := png.Encode(&large, noise); err != nil {
		t.Fatal(err)
	}
	if err := png.Encode(&little, noise.SubImage(image.Rect(0, 0, 40, 30))); err != nil {
		t.Fatal(err)
	}
	kept := []File{c.photo(large.String()), c.photo(little.String()), c.photo(large.String()[:large.Len()-9]), c.photo(large.String() + "another file, the same picture")}
	thread := c.begin("@ben", "D-41")
	c.until("@ben", thread, "look.cam", nil)
	q, _ := c.open(thread).next()
	c.send(Message{From: "@ben", Thread: thread, Text: finds{}.words(q), Files: kept})
	slow, err := SlowPhotos(t.Context(), c.db)
	if err != nil || len(slow) != 3 || slow[0].Hash != kept[3].Hash || slow[2].Hash != kept[0].Hash {
		t.Fatalf("to be made are %v, %v", slow, err)
	}
	gone := c.file + "-photos/" + kept[3].Hash
	if err := os.Rename(gone, gone+"-away"); err != nil {
		t.Fatal(err)
	}
	for n, p := range slow {
		if err := MakeSmall(c.db, p); (err == nil) != (n > 0) {
			t.Errorf("%d: %v", n, err)
		}
	}
	want, _, err := small.Of("image/png", large.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	c.view(func(tx *store.Tx) error {
		for n, p := range kept {
			if got, whole := tx.Small(p.Hash); whole != (n == 0) || whole && !bytes.Equal(got, want) {
				t.Errorf("%d has the small copy %v, of %d bytes", n, whole, len(got))
			}
		}
		return nil
	})
	if err := os.Rename(gone+"-away", gone); err != nil {
		t.Fatal(err)
	}
	if slow, err := SlowPhotos(t.Context(), c.db); err != nil || len(slow) != 2 {
		t.Errorf("afterwards %v are to be made, %v", slow, err)
	}
}
