package tag

import (
	"strings"
	"testing"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"pgregory.net/rapid"
)

// TestALongMarkStaysOnItsLabel: whatever its length, its lines are within their room, and say the whole mark as long as there is any.
func TestALongMarkStaysOnItsLabel(t *testing.T) {
	const wide, high = 30.0, 31.0
	p := fpdf.New("P", "mm", "A4", "")
	p.AddUTF8FontFromBytes(family, "", gobold.TTF)
	rapid.Check(t, func(t *rapid.T) {
		mark := rapid.StringMatching(`([A-Z]{1,30}|W{20}|Ä{1,3})([-/.][0-9A-Z]{1,9}){0,30}`).Draw(t, "mark")
		lines, size := fitted(p, mark, wide, high)
		p.SetFont(family, "", size)
		for _, l := range lines {
			if is := p.GetStringWidth(l); is > wide {
				t.Fatalf("%q of %q is %.1f mm wide", l, mark, is)
			}
		}
		if is := float64(len(lines)) * size * lineHigh; is > high || size < least {
			t.Fatalf("%q is %.1f mm high in letters of %.0f", mark, is, size)
		}
		if said := strings.Join(lines, ""); said != mark && (!strings.HasSuffix(said, "…") || len(mark) < 80) {
			t.Fatalf("%q is shown as %q", mark, lines)
		}
	})
}

func TestAMarkIsBrokenWhereItHasADash(t *testing.T) {
	p := fpdf.New("P", "mm", "A4", "")
	p.AddUTF8FontFromBytes(family, "", gobold.TTF)
	for mark, want := range map[string]string{
		"D-07": "D-07", "K/12.3": "K/12.3", "KARABINER-0117": "KARABINER-|0117", "HÖHENRETTUNG-NORD-0117": "HÖHENRETTUNG-|NORD-0117",
	} {
		if lines, _ := fitted(p, mark, 30, 31); strings.Join(lines, "|") != want {
			t.Errorf("%s is broken into %q", mark, lines)
		}
	}
}

func TestPrintable(t *testing.T) {
	for mark, want := range map[string]bool{"D-07": true, "ŻÓŁW-12": true, "ΑΒΓ-1": true, "検査-12": false, "🪢-1": false} {
		if is, err := Printable(mark); is != want || err != nil {
			t.Errorf("%s: %v, %v", mark, is, err)
		}
	}
}
