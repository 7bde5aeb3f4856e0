package main

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"becket/prompts"
	"becket/store"
)

func TestShareOfRewordingsIsTold(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "t.db")
	db, err := store.Open(t.Context(), file, func() time.Time { return time.Date(2026, 11, 14, 10, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	for _, try := range []store.WordingTry{
		{Key: "a", Choice: string(prompts.Accepted), Text: "Wipe it first."},
		{Key: "b", Choice: string(prompts.Accepted), Text: "Look at it."},
		{Key: "c", Choice: string(prompts.Refused), Original: "Never file a cam.", Checks: []string{`duties: "never" was there 1 times, now 0`}},
		{Key: "d", Choice: string(prompts.Failed), Original: "Shut your eyes.", Checks: []string{"server: no answer in time"}},
	} {
		if err := db.Do(t.Context(), func(tx *store.Tx) error { return tx.KeepWording(try) }); err != nil {
			t.Fatal(err)
		}
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	for latest, want := range map[string]string{
		"10": `Accepted: 2 of 3 answers. No answer: 1 times.
14 November 2026 10:00, failed: server: no answer in time
  Shut your eyes.
14 November 2026 10:00, refused: duties: "never" was there 1 times, now 0
  Never file a cam.
`,
		"0": "Accepted: 2 of 3 answers. No answer: 1 times.\n",
	} {
		var out, errs bytes.Buffer
		if code := run([]string{"prompts", "share", "--db", file, "--latest", latest}, strings.NewReader(""), &out, &errs); code != 0 || out.String() != want {
			t.Errorf("%d %s: %s\nand wanted is\n%s", code, &errs, &out, want)
		}
	}
}
