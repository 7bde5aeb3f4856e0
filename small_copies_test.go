package main

import (
	"bytes"
	"image"
	"image/png"
	"math/rand/v2"
	"path/filepath"
	"testing"
	"time"

	"becket/bot/photo/small"
	"becket/store"
)

// TestSmallCopiesAreMadeWhileTheProgramRuns: of a photo without one there is one soon, and nothing is told of it.
func TestSmallCopiesAreMadeWhileTheProgramRuns(t *testing.T) {
	t.Parallel()
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "becket.db"), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = db.Close() })
	noise := image.NewGray(image.Rect(0, 0, 1000, 800))
	chance := rand.New(rand.NewPCG(3, 4))
	for n := range noise.Pix {
		noise.Pix[n] = byte(chance.Uint32())
	}
	var picture, said bytes.Buffer
	if err := png.Encode(&picture, noise); err != nil {
		t.Fatal(err)
	}
	hash, size, err := db.PutBlob(t.Context(), bytes.NewReader(picture.Bytes()), 1<<21)
	if err == nil {
		err = db.Do(t.Context(), func(tx *store.Tx) error {
			_, err := tx.Append("!here", "@me", "$1", store.Photographed{Mark: "D-07", Hash: hash, Type: "image/png", Size: size})
			return err
		})
	}
	if err != nil {
		t.Fatal(err)
	}
	stop := makeSmall(t.Context(), db, &said)
	for end := time.Now().Add(20 * time.Second); db.LacksSmall(hash, small.AsItIs); time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("there is no small copy")
		}
	}
	stop()
	if said.Len() > 0 {
		t.Errorf("it says %s", said.String())
	}
}
