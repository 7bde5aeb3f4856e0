//go:build documents

package report

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// program runs a program that isn't ours over a document.
func program(t *testing.T, name string, args ...string) string {
	t.Helper()
	out, err := exec.Command(name, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

// written puts the document of a report on disk.
func written(t *testing.T, all ...Data) string {
	t.Helper()
	pdf, err := PDF(all...)
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "report.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestOpenedByQPDF(t *testing.T) {
	d := worn(t, watched(t))
	d.Photos = withPhotos(t, 5).Photos
	said := program(t, "qpdf", "--check", written(t, d, held(t), first(t)))
	if strings.Contains(said, "WARNING") || !strings.Contains(said, "No syntax or stream encoding errors") {
		t.Error(said)
	}
}

// TestOpenedEachItemIsReadUnderItsHeading reads the document as a screen reader would, in the order of its words.
func TestOpenedEachItemIsReadUnderItsHeading(t *testing.T) {
	read := map[string]string{}
	for name, of := range variants() {
		read[name] = program(t, "pdftotext", "-raw", written(t, worn(t, of(t))), "-")
	}
	eachUnderItsHeading(t, read)
}

func TestOpenedLettersAreInTheDocument(t *testing.T) {
	d := watched(t)
	d.Notes = []string{"Приёмка: ÄÖÜ – 40 µm, “drip”, Ω"}
	file := written(t, d)
	for _, line := range strings.Split(strings.TrimSpace(program(t, "pdffonts", file)), "\n")[2:] {
		if words := strings.Fields(line); words[len(words)-5] != "yes" { // embedded, subset, unicode, object, generation
			t.Errorf("a font isn't in the document: %s", line)
		}
	}
	if read := program(t, "pdftotext", file, "-"); !strings.Contains(read, d.Notes[0]) {
		t.Errorf("it reads %s", read)
	}
}

func TestOpenedPagesAreDrawn(t *testing.T) {
	d := worn(t, watched(t))
	d.Photos = withPhotos(t, 1).Photos
	prefix := filepath.Join(t.TempDir(), "page")
	program(t, "pdftoppm", "-r", "50", "-gray", written(t, d), prefix)
	pages, err := filepath.Glob(prefix + "*.pgm")
	if err != nil || len(pages) < 2 {
		t.Fatalf("%d pages, %v", len(pages), err)
	}
	for _, name := range pages {
		page, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		dark := 0
		for _, grey := range page[bytes.LastIndex(page[:20], []byte("\n"))+1:] {
			if grey < 128 {
				dark++
			}
		}
		if share := float64(dark) / float64(len(page)); share < 0.005 || share > 0.4 {
			t.Errorf("%.3f of %s is dark", share, filepath.Base(name))
		}
	}
}
