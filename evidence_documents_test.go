//go:build documents

package main

import (
	"archive/zip"
	"encoding/json"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"
)

// browser is a browser without a window. It may run as root in a container, where it can't fence itself in; it opens our own page alone.
func browser(t *testing.T, args ...string) string {
	t.Helper()
	args = append([]string{"--headless", "--no-sandbox", "--disable-gpu", "--user-data-dir=" + t.TempDir()}, args...)
	out, err := exec.Command(os.Getenv("BECKET_BROWSER"), args...).Output()
	if err != nil {
		t.Fatalf("the browser that BECKET_BROWSER names, .ci/documents does: %v", err)
	}
	return string(out)
}

// unpacked is a folder with the evidence pack of a transcript that has signed records and photos.
func unpacked(t *testing.T) string {
	t.Helper()
	script, err := txtar.ParseFile("testdata/script/row-28-evidence.txtar")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := txtar.Write(script, dir); err != nil {
		t.Fatal(err)
	}
	if err := os.CopyFS(filepath.Join(dir, "photos"), os.DirFS("testdata/photos")); err != nil {
		t.Fatal(err)
	}
	for _, line := range [][]string{
		{"talk", "--demo", "--db", "t.db", "--now", "2026-11-14T10:42:00Z", "--seed", "1", "evidence.txt"},
		{"becket", "evidence", "--db", "t.db", "--now", "2026-11-15T08:00:00Z", "pack.zip"},
	} {
		cmd := exec.Command(line[0], line[1:]...)
		cmd.Dir = dir
		if said, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%s: %v\n%s", line[0], err, said)
		}
	}
	pack, err := zip.OpenReader(filepath.Join(dir, "pack.zip"))
	if err != nil {
		t.Fatal(err)
	}
	defer pack.Close()
	to := filepath.Join(dir, "pack")
	if err := os.CopyFS(to, pack); err != nil {
		t.Fatal(err)
	}
	return to
}

// judged is what axe-core says of a page, by rule, with the first place where it was broken.
type judged struct{ Passes, Broken, Unsure []string }

// axed opens a page with axe-core in it. The page lets no script run but its own; that line is taken out of the copy that is opened.
func axed(t *testing.T, folder, page string) (said judged) {
	t.Helper()
	axe, err := os.ReadFile(os.Getenv("BECKET_AXE"))
	if err != nil {
		t.Fatalf("BECKET_AXE names axe-core, .ci/documents does: %v", err)
	}
	if err := os.WriteFile(filepath.Join(folder, "axe.js"), axe, 0o600); err != nil {
		t.Fatal(err)
	}
	page = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy"[^>]*>`).ReplaceAllString(page, "")
	page = strings.Replace(page, "</body>", `<script src="axe.js"></script><script>
axe.run({resultTypes: ["violations"]}).then(function (r) {
  function told(all) { return all.map(function (v) { return v.id + ": " + v.help + " (" + v.nodes[0].html + ")"; }); }
  var out = document.createElement("pre");
  out.id = "judged";
  out.textContent = JSON.stringify({Passes: told(r.passes), Broken: told(r.violations), Unsure: told(r.incomplete)});
  document.body.appendChild(out);
});
</script></body>`, 1)
	file := filepath.Join(folder, "judged.html")
	if err := os.WriteFile(file, []byte(page), 0o600); err != nil {
		t.Fatal(err)
	}
	seen := browser(t, "--virtual-time-budget=60000", "--dump-dom", "file://"+file)
	_, out, _ := strings.Cut(seen, `<pre id="judged">`)
	out, _, _ = strings.Cut(out, "</pre>")
	if err := json.Unmarshal([]byte(html.UnescapeString(out)), &said); err != nil {
		t.Fatalf("axe-core said nothing: %v", err)
	}
	return said
}

// TestOpenedEvidenceCanBeReadByEverybody: axe-core finds nothing wrong with the evidence page, and does find a picture without words.
func TestOpenedEvidenceCanBeReadByEverybody(t *testing.T) {
	folder := unpacked(t)
	file, err := os.ReadFile(filepath.Join(folder, "evidence.html"))
	if err != nil {
		t.Fatal(err)
	}
	page := string(file)
	said := axed(t, folder, page)
	if len(said.Broken) > 0 || len(said.Passes) < 20 {
		t.Errorf("%d rules are kept, broken are\n%s", len(said.Passes), strings.Join(said.Broken, "\n"))
	}
	t.Logf("axe-core: %d rules kept, not sure of %q", len(said.Passes), said.Unsure)
	worse := axed(t, folder, regexp.MustCompile(` alt="[^"]*"`).ReplaceAllString(page, ""))
	if len(worse.Broken) != 1 || !strings.HasPrefix(worse.Broken[0], "image-alt:") {
		t.Errorf("of a page whose pictures aren't told in words it says %q", worse.Broken)
	}
}

func TestOpenedEvidenceIsPrinted(t *testing.T) {
	folder := unpacked(t)
	printed := filepath.Join(folder, "printed.pdf")
	browser(t, "--print-to-pdf="+printed, "file://"+filepath.Join(folder, "evidence.html"))
	out, err := exec.Command("pdftotext", "-layout", printed, "-").CombinedOutput()
	if err != nil {
		t.Fatalf("pdftotext: %v\n%s", err, out)
	}
	for _, words := range []string{"Register", "D-09", "Skerry Works Dunlin", "in quarantine", "End of"} {
		if !strings.Contains(string(out), words) {
			t.Errorf("on paper there is no %q:\n%s", words, out)
		}
	}
}
