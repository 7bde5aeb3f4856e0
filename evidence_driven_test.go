//go:build documents

package main

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"golang.org/x/net/html"
)

// hand is somebody at the evidence page with a keyboard alone.
type hand struct {
	*testing.T
	ctx  context.Context
	page string // as it was written
}

// atEvidence opens the page of a pack as it was written, its policy included, in a window of a laptop's size.
func atEvidence(t *testing.T) hand {
	t.Helper()
	file := filepath.Join(unpacked(t), "evidence.html")
	page, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	// As in browser: it may run as root in a container, and opens our own page alone.
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(os.Getenv("BECKET_BROWSER")), chromedp.NoSandbox, chromedp.UserDataDir(t.TempDir()), chromedp.WindowSize(1280, 800))
	ctx, stop := chromedp.NewExecAllocator(t.Context(), options...)
	t.Cleanup(stop)
	ctx, shut := chromedp.NewContext(ctx)
	t.Cleanup(shut)
	h := hand{t, ctx, string(page)}
	h.do(chromedp.Navigate("file://" + file))
	return h
}

func (h hand) do(steps ...chromedp.Action[chromedp.Void]) {
	h.Helper()
	if err := chromedp.Do(h.ctx, steps...); err != nil {
		h.Fatalf("the browser that BECKET_BROWSER names, .ci/documents does: %v", err)
	}
}

// press types words, or one key of kb.
func (h hand) press(keys ...string) {
	h.Helper()
	for _, key := range keys {
		h.do(chromedp.KeyEvent(key))
	}
}

func (h hand) backwards() {
	h.Helper()
	h.do(chromedp.KeyEvent(kb.Tab, chromedp.KeyModifiers(chromedp.ModifierShift)))
}

// seen runs a line in the page and gives what it comes to.
func seen[E any](h hand, script string) E {
	h.Helper()
	said, err := chromedp.Run(h.ctx, chromedp.Evaluate[E](script))
	if err != nil {
		h.Fatal(err)
	}
	return said
}

// said is what a screen reader says of itself when the search has ended.
func (h hand) said() string { return seen[string](h, `document.getElementById("found").textContent`) }

// shown are the rows and records that can be seen, each with all its words.
func (h hand) shown() []string {
	return seen[[]string](h, `[...document.querySelectorAll(".one")].filter(e => e.checkVisibility()).map(e => e.textContent)`)
}

// parts are the headings that can be seen, of what the contents lead to as well.
func (h hand) parts() []string {
	return seen[[]string](h, `[...document.querySelectorAll("h2, nav li")].filter(e => e.checkVisibility()).map(e => e.textContent)`)
}

// having are the rows and records of the page's text that have all words.
func (h hand) having(words string) (having []string, all int) {
	h.Helper()
	top, err := html.Parse(strings.NewReader(h.page))
	if err != nil {
		h.Fatal(err)
	}
	for n := range top.Descendants() {
		if !slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == "class" && a.Val == "one" }) {
			continue
		}
		all++
		var text strings.Builder
		for in := range n.Descendants() {
			if in.Type == html.TextNode {
				text.WriteString(in.Data)
			}
		}
		lacks := func(word string) bool {
			return !strings.Contains(strings.ToLower(text.String()), strings.ToLower(word))
		}
		if !slices.ContainsFunc(strings.Fields(words), lacks) {
			having = append(having, text.String())
		}
	}
	return having, all
}

// TestOpenedEvidenceIsSearched types into the page's search: what stays is what has the words, the number is told without being
// looked for, and everything comes back.
func TestOpenedEvidenceIsSearched(t *testing.T) {
	h := atEvidence(t)
	all, _ := h.having("")
	if shown := h.shown(); !slices.Equal(shown, all) || len(all) < 30 {
		t.Fatalf("of %d rows and records %d are shown", len(all), len(shown))
	}
	h.told()
	for _, in := range []struct {
		words string
		some  bool
	}{{"D-09", true}, {"dunlin  QUARANTINE", true}, {"<script>", true}, {"D-09 K-12 nobody", false}} {
		want, n := h.having(in.words)
		if in.some != (len(want) > 0 && len(want) < n) {
			t.Fatalf("%d of %d have %q, which shows nothing", len(want), n, in.words)
		}
		h.do(chromedp.Focus("#words"), chromedp.KeyEvent("a", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
		h.press(in.words, kb.Enter)
		if got := h.shown(); !slices.Equal(got, want) {
			t.Errorf("%q leaves %d, and %d have these words:\n%q", in.words, len(got), len(want), got)
		}
		if got, want := h.said(), fmt.Sprintf("%d of %d ", len(want), n); !strings.HasPrefix(got, want) {
			t.Errorf("after %q it says %q, not %q", in.words, got, want)
		}
	}
	if parts := h.parts(); len(parts) > 0 {
		t.Errorf("where nothing has the words there still stand %q", parts)
	}
	h.press(kb.Tab, kb.Tab, " ") // past Show, on Show all
	if shown := h.shown(); !slices.Equal(shown, all) || h.said() != "" {
		t.Errorf("after Show all %d of %d are shown, and it says %q", len(shown), len(all), h.said())
	}
	if parts := h.parts(); len(parts) < 10 {
		t.Errorf("after Show all there are only %q", parts)
	}
	if left := seen[string](h, `document.getElementById("words").value`); left != "" {
		t.Errorf("after Show all there stands %q", left)
	}
}

// told fails where a screen reader wouldn't be told of the number by itself.
func (h hand) told() {
	h.Helper()
	tree, err := chromedp.Run(h.ctx, func(ctx context.Context, page *chromedp.Target) (accessibility.GetFullAXTreeResult, error) {
		return cdp.Call(ctx, page, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	})
	if err != nil {
		h.Fatal(err)
	}
	live := slices.ContainsFunc(tree.Nodes, func(n *accessibility.Node) bool {
		return n.Role != nil && string(n.Role.Value) == `"status"` && slices.ContainsFunc(n.Properties, func(p *accessibility.Property) bool {
			return p.Name == accessibility.PropertyNameLive && string(p.Value.Value) == `"polite"`
		})
	})
	if !live {
		h.Error("nobody is told of the number of rows by itself")
	}
}

// focus is where the keyboard is.
type focus struct {
	Is       string // what it is and says
	Outlined bool   // that it has the keyboard can be seen
	There    bool   // it lies in the window, and nothing lies over it
}

// focused looks at the first line of a link that goes over two.
const focused = `(function () {
  var e = document.activeElement, s = getComputedStyle(e), r = e.getClientRects()[0] || {}, x = r.left + r.width / 2, y = r.top + r.height / 2;
  var over = x >= 0 && y >= 0 && document.elementFromPoint(x, y);
  return {Is: e.localName + " " + (e.getAttribute("href") || e.id || e.type || ""), Outlined: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2, There: !!over && e.contains(over)};
})()`

// order is what of the page's text the keyboard should come to, in the order of reading.
func (h hand) order() (all []string) {
	h.Helper()
	top, err := html.Parse(strings.NewReader(h.page))
	if err != nil {
		h.Fatal(err)
	}
	for n := range top.Descendants() {
		of := map[string]string{}
		for _, a := range n.Attr {
			of[a.Key] = a.Val
		}
		switch n.Data {
		case "a":
			all = append(all, "a "+of["href"])
		case "input":
			all = append(all, "input "+of["id"])
		case "button":
			all = append(all, "button "+of["type"])
		}
	}
	return all
}

// TestOpenedEvidenceIsWalkedByKeyboard goes through the page by Tab alone, there and back, and does by keys what a mouse does.
func TestOpenedEvidenceIsWalkedByKeyboard(t *testing.T) {
	h := atEvidence(t)
	want := h.order()
	if len(want) < 10 {
		t.Fatalf("only %q are to be come to", want)
	}
	var there, back []string
	for range want {
		h.press(kb.Tab)
		f := seen[focus](h, focused)
		if !f.Outlined || !f.There {
			t.Errorf("that the keyboard is at %q can't be seen: %+v", f.Is, f)
		}
		there = append(there, f.Is)
	}
	if !slices.Equal(there, want) {
		t.Errorf("Tab goes by\n%q, and the page has\n%q", there, want)
	}
	h.press(kb.Tab)
	if f := seen[focus](h, focused); f.Is != "body " {
		t.Errorf("after the last there is %q", f.Is)
	}
	for range want {
		h.backwards()
		back = append(back, seen[focus](h, focused).Is)
	}
	if slices.Reverse(back); !slices.Equal(back, want) {
		t.Errorf("Shift and Tab go back by\n%q, and the page has\n%q", back, want)
	}
	// The first is the way past the contents.
	h.press(kb.Enter)
	if at := seen[focus](h, focused); at.Is != "main main" {
		t.Errorf("the skip link goes to %q", at.Is)
	}
	h.do(chromedp.Focus(`nav a[href="#records"]`))
	h.press(kb.Enter)
	if y := seen[float64](h, `document.getElementById("records").getBoundingClientRect().top`); y < -1 || y > 400 {
		t.Errorf("the contents' link leaves its heading at %v of the window", y)
	}
	few, _ := h.having("K-12")
	h.do(chromedp.Focus("#words"))
	h.press("K-12", kb.Tab, " ")
	if got := h.shown(); !slices.Equal(got, few) {
		t.Errorf("Space on Show leaves %d, and %d have the word", len(got), len(few))
	}
	h.press(kb.Tab, kb.Enter)
	if _, all := h.having(""); len(h.shown()) != all {
		t.Errorf("Enter on Show all shows %d of %d", len(h.shown()), all)
	}
}

// TestOpenedEvidenceSaysOnPaperThatSomeIsHidden: what is printed after a search must not be taken for the whole.
func TestOpenedEvidenceSaysOnPaperThatSomeIsHidden(t *testing.T) {
	h := atEvidence(t)
	h.do(chromedp.Focus("#words"))
	h.press("D-07", kb.Enter)
	sheets, err := chromedp.Run(h.ctx, chromedp.PrintToPDF())
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "some.pdf")
	if err := os.WriteFile(file, sheets, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").CombinedOutput()
	if text := string(out); err != nil || strings.Contains(text, "D-09") || !strings.Contains(text, h.said()) || h.said() == "" {
		t.Errorf("%v; what is hidden isn't told on paper: %s", err, out)
	}
}

// TestOpenedEvidenceFitsAPhone, and every wider screen, whatever words are in it: 320 px is the narrowest at which nobody should have to
// scroll sideways (WCAG 2.2, 1.4.10).
func TestOpenedEvidenceFitsAPhone(t *testing.T) {
	h := atEvidence(t)
	for _, screen := range []int64{1920, 1200, 960, 801, 800, 320} {
		h.do(chromedp.EmulateViewport(screen, 640))
		if wide := seen[int64](h, `document.documentElement.scrollWidth`); wide > screen {
			t.Errorf("on %d px it is %d px wide", screen, wide)
		}
	}
	if head := seen[string](h, `getComputedStyle(document.querySelector("td"), "::before").content`); !strings.Contains(head, "What it is") {
		t.Errorf("a cell is said to be %q", head)
	}
}
