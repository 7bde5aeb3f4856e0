package evidence

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// hostile is what people can type anywhere.
const hostile = `</td></table><script>alert(1)</script><img src=x onerror=alert(1)> & "quoted" 'too' {{.}} ` + "\u202e\x00"

// png is a picture of one point with a text chunk that tells a place (PNG, third edition, 11.3.3.2), without its checksums' sense.
func png(place string) []byte {
	chunk := func(name, body string) string {
		n := len(body)
		return string([]byte{byte(n >> 24), byte(n >> 16), byte(n >> 8), byte(n)}) + name + body + "\x00\x00\x00\x00"
	}
	return []byte("\x89PNG\r\n\x1a\n" + chunk("IHDR", "\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00") +
		chunk("tEXt", "Where\x00"+place) + chunk("IDAT", "x") + chunk("IEND", ""))
}

func hostilePack(records int) Pack {
	file := func() ([]byte, error) { return png("behind the chapel"), nil }
	return Pack{
		Title: "Pack " + hostile, About: hostile, Facts: []Fact{{hostile, hostile}}, Made: time.Date(2026, 11, 14, 10, 0, 0, 5, time.UTC),
		Sections: []Section{
			{ID: "register", Title: "Register", Heads: []string{"Mark", hostile}, Rows: func(row func(...string) error) error {
				return errors.Join(row("D-07", "a"), row(hostile, hostile))
			}},
			{ID: "none", Title: "Nothing", None: "There is " + hostile, Heads: []string{"Mark"}, Rows: func(func(...string) error) error { return nil }},
			{ID: "records", Title: "Records", Says: hostile, None: "none", Records: func(record func(Record) error) error {
				for n := range records {
					err := record(Record{
						ID: fmt.Sprint("record-", n), Title: hostile, Facts: []Fact{{"By", hostile}},
						Tables: []Table{{hostile, []string{"a", "b"}, [][]string{{hostile, hostile}}}, {"Empty", []string{"a"}, nil}},
						Photos: []Photo{
							{Name: "same", Of: hostile, Type: "image/png", File: file},
							{Name: "damaged", Of: "half a picture", Type: "image/png", File: func() ([]byte, error) { return png("")[:20], nil }},
							{Name: "gone", Of: "a lost picture", Type: "image/png", File: func() ([]byte, error) { return nil, errors.New("missing") }},
							{Name: "unknown", Of: "another kind", Type: "image/heic", File: file},
						},
					})
					if err != nil {
						return err
					}
				}
				return nil
			}},
		},
	}
}

func written(t *testing.T, p Pack, rest func() ([]File, error)) (file []byte, inside map[string]string) {
	t.Helper()
	var out bytes.Buffer
	if err := Write(&out, p, rest); err != nil {
		t.Fatal(err)
	}
	r, err := zip.NewReader(bytes.NewReader(out.Bytes()), int64(out.Len()))
	if err != nil {
		t.Fatal(err)
	}
	inside = map[string]string{}
	for _, f := range r.File {
		in, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		data, err := io.ReadAll(in)
		if err != nil {
			t.Fatal(err)
		}
		inside[f.Name] = string(data)
	}
	return out.Bytes(), inside
}

// elements parses a page as browsers do (HTML standard, 13.2).
func elements(t *testing.T, page string) (all []*html.Node) {
	t.Helper()
	doc, err := html.Parse(strings.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	for n := range doc.Descendants() {
		if n.Type == html.ElementNode {
			all = append(all, n)
		}
	}
	return all
}

func attribute(n *html.Node, name string) string {
	for _, a := range n.Attr {
		if a.Key == name {
			return a.Val
		}
	}
	return ""
}

func text(n *html.Node) (all string) {
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			all += d.Data
		}
	}
	return all
}

// TestPageIsReadWithoutSeeingIt holds the page against what screen readers and keyboards need (WCAG 2.2: 1.3.1, 2.4.1, 2.4.2, 3.1.1,
// 4.1.2).
func TestPageIsReadWithoutSeeingIt(t *testing.T) {
	_, inside := written(t, hostilePack(3), nil)
	ids, links, marks, level := map[string]bool{}, []string{}, map[string]int{}, 0
	for _, n := range elements(t, inside[PageName]) {
		if id := attribute(n, "id"); id != "" {
			if ids[id] {
				t.Errorf("the id %s is there twice", id)
			}
			ids[id] = true
		}
		marks[n.Data]++
		switch n.DataAtom {
		case atom.Html:
			if attribute(n, "lang") == "" {
				t.Error("the page doesn't say its language")
			}
		case atom.Th:
			if s := attribute(n, "scope"); s != "col" && s != "row" {
				t.Errorf("a head of a table is for %q", s)
			}
		case atom.Table:
			if first := n.FirstChild; first.NextSibling == nil || first.NextSibling.DataAtom != atom.Caption || text(first.NextSibling) == "" {
				t.Error("a table has no caption")
			}
		case atom.Tr:
			if !slices.ContainsFunc(slices.Collect(n.ChildNodes()), func(c *html.Node) bool { return c.DataAtom == atom.Th }) {
				t.Error("a row isn't named by its first cell")
			}
		case atom.H1, atom.H2, atom.H3, atom.H4:
			next := int(n.Data[1] - '0')
			if next > level+1 {
				t.Errorf("after a heading of level %d comes one of level %d", level, next)
			}
			level = next
		case atom.Img:
			if attribute(n, "alt") == "" {
				t.Error("a picture isn't told in words")
			}
		case atom.A:
			links = append(links, strings.TrimPrefix(attribute(n, "href"), "#"))
		case atom.Article, atom.Section:
			links = append(links, attribute(n, "aria-labelledby"))
		case atom.Label:
			links = append(links, attribute(n, "for"))
		}
	}
	for _, to := range links {
		if !ids[to] {
			t.Errorf("%q is pointed to and isn't there", to)
		}
	}
	for name, times := range map[string]int{"title": 1, "h1": 1, "main": 1, "nav": 1, "header": 1, "footer": 1, "article": 3, "table": 4, "section": 3} {
		if marks[name] != times {
			t.Errorf("%s is there %d times, not %d", name, marks[name], times)
		}
	}
}

// TestTypedWordsStayWords: nothing that people typed becomes part of the page, and nothing of it is lost.
func TestTypedWordsStayWords(t *testing.T) {
	_, inside := written(t, hostilePack(1), nil)
	shown := strings.ReplaceAll(hostile, "\x00", "\ufffd")
	cells := 0
	for _, n := range elements(t, inside[PageName]) {
		switch {
		case n.DataAtom == atom.Script && text(n) != script:
			t.Errorf("a script that isn't ours: %s", text(n))
		case n.DataAtom == atom.Img && !strings.HasPrefix(attribute(n, "src"), "photos/"):
			t.Errorf("a picture from elsewhere: %s", attribute(n, "src"))
		case (n.DataAtom == atom.Td || n.DataAtom == atom.Th) && text(n) == shown:
			cells++
		}
		for _, a := range n.Attr {
			if strings.HasPrefix(a.Key, "on") {
				t.Errorf("%s does something: %s", n.Data, a.Key)
			}
		}
	}
	if cells != 5 { // a head, a row's two, and two of the record's table
		t.Errorf("%d cells say what was typed, not 5", cells)
	}
	if found := regexp.MustCompile(`https?://|url\(|@import`).FindString(inside[PageName]); found != "" {
		t.Errorf("the page looks elsewhere: %s", found)
	}
}

// TestPhotosLeaveWithoutTheirPlace also looks for one that can't be taken apart: it stays behind, and that is said.
func TestPhotosLeaveWithoutTheirPlace(t *testing.T) {
	file, inside := written(t, hostilePack(2), nil)
	if strings.Contains(inside["photos/same.png"], "chapel") || bytes.Contains(file, []byte("chapel")) {
		t.Error("a photo tells where it was taken")
	}
	if inside["photos/same.png"] == "" || len(inside) != 2 {
		t.Errorf("in the file are %d things", len(inside))
	}
	for _, of := range []string{"half a picture", "a lost picture", "another kind"} {
		if !strings.Contains(inside[PageName], "Photo: "+of+". No copy of it") {
			t.Errorf("nothing is said of %s", of)
		}
	}
}

func TestSamePackSameBytes(t *testing.T) {
	rest := func() ([]File, error) { return []File{{"scripts/a.yaml", []byte("flow: a")}}, nil }
	first, inside := written(t, hostilePack(2), rest)
	if again, _ := written(t, hostilePack(2), rest); !bytes.Equal(first, again) {
		t.Error("the same pack has other bytes")
	}
	if inside["scripts/a.yaml"] != "flow: a" {
		t.Error("what else belongs in the file is missing")
	}
}

// TestContrast works out WCAG 2.2's ratio for every colour that the page names (1.4.3, and the formula under "contrast ratio").
func TestContrast(t *testing.T) {
	luminance := func(hex string) float64 {
		if len(hex) == 3 {
			hex = string([]byte{hex[0], hex[0], hex[1], hex[1], hex[2], hex[2]})
		}
		sum := 0.0
		for n, share := range []float64{0.2126, 0.7152, 0.0722} {
			var c int
			if _, err := fmt.Sscanf(hex[2*n:2*n+2], "%02x", &c); err != nil {
				t.Fatal(err)
			}
			sum += share * linear(float64(c)/255)
		}
		return sum
	}
	texts := regexp.MustCompile(`[;{]color:#([0-9a-f]{3,6})`).FindAllStringSubmatch(style, -1)
	grounds := regexp.MustCompile(`background:#([0-9a-f]{3,6})`).FindAllStringSubmatch(style, -1)
	if len(texts) < 2 || len(grounds) < 2 {
		t.Fatal("the colours aren't found")
	}
	for _, text := range texts {
		for _, ground := range grounds {
			if ratio := (luminance(ground[1]) + 0.05) / (luminance(text[1]) + 0.05); ratio < 4.5 {
				t.Errorf("%s on %s: %.1f to 1", text[1], ground[1], ratio)
			}
		}
	}
}

// linear is a part of a colour before its display bends it (sRGB, as WCAG 2.2 gives it).
func linear(c float64) float64 {
	if c <= 0.04045 {
		return c / 12.92
	}
	return math.Pow((c+0.055)/1.055, 2.4)
}

// TestAFullDiskIsSaid: what can't be written is an error, wherever in the pack it happens.
func TestAFullDiskIsSaid(t *testing.T) {
	whole, _ := written(t, hostilePack(200), nil)
	for room := 0; room < len(whole); room += len(whole)/17 + 1 {
		if err := Write(&narrow{left: room}, hostilePack(200), nil); !errors.Is(err, errFull) {
			t.Errorf("with room for %d of %d bytes: %v", room, len(whole), err)
		}
	}
}

var errFull = errors.New("full")

type narrow struct{ left int }

func (n *narrow) Write(p []byte) (int, error) {
	if n.left -= len(p); n.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestOnlyLongWordsAreBroken(t *testing.T) {
	for text, want := range map[string]string{
		"Höhenrettungsgerätewart, 14 November 2026":        "Höhenrettungsgerätewart, 14 November 2026",
		"ein Höhenrettungsgerätewarteverzeichnis, <b> & c": "ein Höhenrettu<wbr>ngsgerätew<wbr>arteverzei<wbr>chnis, &lt;b&gt; &amp; c",
	} {
		if got := string(breakable(text)); got != want {
			t.Errorf("%q is shown as %q", text, got)
		}
	}
}
