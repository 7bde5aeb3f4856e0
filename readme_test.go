package main

import (
	"os"
	"regexp"
	"strings"
	"testing"
)

// TestReadmeSessionIsReal types what README.md says was typed, and looks in what comes back for all that it shows, in
// its order. Spaces aside: the page breaks lines. When it fails, copy the session anew from a run.
func TestReadmeSessionIsReal(t *testing.T) {
	page, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, byHand, found := strings.Cut(string(page), "The same by hand: `go run . ")
	if !found {
		t.Fatal("README.md doesn't say how to do the same by hand")
	}
	arguments, byHand, _ := strings.Cut(byHand, "`")
	byHand, _, _ = strings.Cut(byHand, "`--seed 1`")
	var typed strings.Builder
	for _, line := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(byHand, -1) {
		typed.WriteString(line[1] + "\n")
	}
	ran := becket(t, t.TempDir(), typed.String(), strings.Fields(arguments)...)
	if ran.status != exitDone || ran.errOut != "" {
		t.Fatalf("status %d: %s", ran.status, ran.errOut)
	}
	rest := oneLine(ran.out)
	shown := 0
	for _, piece := range sessionPieces(string(page)) {
		at := strings.Index(rest, piece)
		if at < 0 {
			t.Fatalf("this isn't said, or not in this place:\n%s", piece)
		}
		rest = rest[at+len(piece):]
		shown++
	}
	if shown < 10 {
		t.Errorf("only %d pieces of the session were found on the page", shown)
	}
}

// sessionPieces are the stretches that Becket says in the page's session: what stands between lines that were typed
// and places where it was shortened.
func sessionPieces(page string) (pieces []string) {
	_, session, _ := strings.Cut(page, "    > ")
	session, _, _ = strings.Cut("    > "+session, "\nThe same by hand")
	for _, piece := range regexp.MustCompile(`(?m)\[\.\.\.\]|^ {4}> .*$`).Split(session, -1) {
		if piece = oneLine(piece); piece != "" {
			pieces = append(pieces, piece)
		}
	}
	return pieces
}

func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }
