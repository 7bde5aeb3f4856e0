//go:build documents

package tag

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// TestOpenedEachTagIsReadOffItsSheet label by label and from near and far, by a reader (zbar) that shares no code with Becket's. Of a whole
// page it mixes up the corners of several codes.
func TestOpenedEachTagIsReadOffItsSheet(t *testing.T) {
	kinds := []string{"K-%02d", "MAR-%04d", "PPE/%d/26", "Ü-%d", "7%07d", "H %dB"}
	var marks []string
	for n := range across * down {
		marks = append(marks, fmt.Sprintf(kinds[n%len(kinds)], n+1))
	}
	sheet, err := Sheet(marks, time.Date(2026, 11, 14, 0, 0, 0, 0, time.UTC))
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "tags.pdf")
	if err := os.WriteFile(file, sheet, 0o600); err != nil {
		t.Fatal(err)
	}
	for n, mark := range marks {
		x, y := float64(n%across)*width, above+float64(n/across)*height
		for _, perInch := range []float64{100, 150, 200, 400} {
			if got := seen(t, file, x, y, perInch); got != mark {
				t.Errorf("at %g dots an inch the tag of %s is read as %q", perInch, mark, got)
			}
		}
	}
}

// seen is what zbar reads of the label at a place of a sheet, in mm, drawn with so many dots an inch; empty for nothing.
func seen(t *testing.T, sheet string, x, y, perInch float64) string {
	t.Helper()
	picture := strings.TrimSuffix(sheet, ".pdf")
	dots := func(mm float64) string { return strconv.Itoa(int(mm / 25.4 * perInch)) }
	if said, err := exec.Command("pdftoppm", "-r", dots(25.4), "-gray", "-singlefile",
		"-x", dots(x), "-y", dots(y), "-W", dots(width), "-H", dots(height), sheet, picture).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v\n%s", err, said)
	}
	const nothing = 4 // its status where it finds no code (zbarimg(1))
	read, err := exec.Command("zbarimg", "--quiet", "--nodbus", "--raw", picture+".pgm").Output()
	var failed *exec.ExitError
	if err != nil && (!errors.As(err, &failed) || failed.ExitCode() != nothing) {
		t.Fatalf("zbarimg: %v", err)
	}
	return strings.TrimSuffix(string(read), "\n")
}
