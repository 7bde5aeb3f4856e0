package main

import (
	"archive/zip"
	"io"
	"path/filepath"
	"strings"
	"testing"
)

// TestEvidenceSaysWhatWasTyped types one thing for each section of the pack and looks for it there, under its heading.
func TestEvidenceSaysWhatWasTyped(t *testing.T) {
	dir := t.TempDir()
	db, file := filepath.Join(dir, "t.db"), filepath.Join(dir, "pack.zip")
	typed := strings.Join([]string{
		"quarantine D-09 the catch sticks",
		"quarantine blue pulley, east stack, no mark",
		"notice Skerry Works Dunlin, serials 99-1000 to 99-1100: pin may be soft",
		"notice Skerry Works Dunlin, serials 22-1180: pin may be soft",
		"add @nia",
		"competent @nia pulley until 2027-03-01: course at Hoy (invented)",
	}, "\n") + "\n"
	if ran := becket(t, dir, typed, "chat", "--demo", "--db", db, "--now", "2026-11-14T10:00:00Z", "--seed", "1"); ran.status != exitDone {
		t.Fatal(ran.errOut)
	}
	if ran := becket(t, dir, "", "evidence", "--db", db, "--now", "2026-11-15T10:00:00Z", file); ran.status != exitDone || ran.errOut != "" {
		t.Fatalf("status %d: %s", ran.status, ran.errOut)
	}
	page := pageIn(t, file)
	for _, in := range []struct{ section, says string }{
		{"not-for-use", `<th scope="row" data-head="Mark">B-01</th>`},
		{"register", `<th scope="row" data-head="Mark">D-09</th>`},
		{"register", "in quarantine"},
		{"quarantine", "the catch sticks"},
		{"quarantine", "stands"},
		{"no-mark", "blue pulley, east stack"},
		{"notices", "nothing: none of 9 items matched"},
		{"notices", "D-07; of 9 items"},
		{"records", "Nothing was signed yet."},
		{"people", "course at Hoy (invented)"},
		{"competence", "1 March 2027"},
		{"instruments", "digital caliper"},
		{"instrument-log", "listed: digital caliper, doubt 0.04 mm"},
		{"figures", "Dunlin care sheet (invented), edition 3, table 2"},
	} {
		_, section, found := strings.Cut(page, `<h2 id="`+in.section+`">`)
		section, _, _ = strings.Cut(section, "</section>")
		if !found || !strings.Contains(section, in.says) {
			t.Errorf("under %s isn't said %q: %s", in.section, in.says, section)
		}
	}
	if strings.Contains(page, "%!") {
		t.Error("a sentence of the page isn't filled in")
	}
}

// pageIn reads the page in a pack.
func pageIn(t *testing.T, file string) string {
	t.Helper()
	r, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	in, err := r.Open("evidence.html")
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(in)
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}
