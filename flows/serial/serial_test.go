package serial_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/serial"
)

// How makers stamp serials and how people type them: common practice, no source. What can't be told counts as affected.
func TestCovers(t *testing.T) {
	const in, out, unknown = serial.Inside, serial.Outside, serial.Unknown
	for _, c := range []struct {
		from, to, serial string
		want             serial.Fits
		because          string
	}{
		{"22-1100", "22-1199", "22-1180", in, "between"},
		{"22-1100", "22-1199", "22-1100", in, "the first belongs to it"},
		{"22-1100", "22-1199", "22-1199", in, "the last belongs to it"},
		{"22-1100", "22-1199", "22-1099", out, "one before"},
		{"22-1100", "22-1199", "22-1200", out, "one after"},
		{"22-1100", "22-1199", "23-1150", out, "another year before the number"},
		{"22-1100", "22-1199", "221150", unknown, "the dash left out: nobody can tell where the parts are"},
		{"22-1100", "22-1199", "22 1150", in, "a space for the dash"},
		{"22-1100", "22-1199", "22/1150", in, "a stroke for the dash"},
		{"22-1100", "22-1199", "0022-001150", in, "leading zeros"},
		{"22-0100", "22-0199", "22-150", in, "leading zeros in the notice"},
		{"22-900", "22-1100", "22-1000", in, "by value and not by letters"},
		{"22-900", "22-1100", "22-95", out, "by value and not by letters"},
		{"A0100", "A0199", "a150", in, "case"},
		{"A0100", "A0199", "B0150", out, "another prefix"},
		{"A900", "B100", "A950", in, "prefixes in order"},
		{"A900", "B100", "B101", out, "prefixes in order"},
		{"A0100", "A0199", "0150", unknown, "the prefix worn away"},
		{"22-1100", "22-1199", "22-11O0", unknown, "a letter O for a nought"},
		{"22-1100", "22-1199", "", unknown, "not recorded"},
		{"22-1100", "22-1199", "22-11?0", unknown, "a sign nobody could read"},
		{"22-1100", "22-1199", "---", unknown, "nothing in it"},
		{"22-1100", "", "99-0001", in, "open above"},
		{"22-1100", "", "22-1099", out, "open above"},
		{"", "22-1199", "00-0001", in, "open below"},
		{"", "22-1199", "22-1200", out, "open below"},
		{"22-1150", "22-1150", "22-1150", in, "one serial"},
		{"22-1150", "22-1150", "22-1151", out, "one serial"},
		{"N4-00290", "N4-00310", "N4-305", in, "letters, then two numbers"},
		{"99999999999999999990", "99999999999999999999", "99999999999999999995", in, "longer than any machine number"},
		{"99999999999999999990", "99999999999999999999", "100000000000000000000", out, "longer than any machine number"},
	} {
		r := serial.Range{From: c.from, To: c.to}
		if got := r.Covers(c.serial); got != c.want {
			t.Errorf("%q in %s: got %v, want %v (%s)", c.serial, r, got, c.want, c.because)
		}
	}
}

func TestCoveredByAny(t *testing.T) {
	ranges := []serial.Range{{From: "22-1100", To: "22-1199"}, {From: "22-1300", To: "22-1300"}}
	for text, want := range map[string]serial.Fits{
		"22-1300": serial.Inside, "22-1150": serial.Inside, "22-1250": serial.Outside, "worn": serial.Unknown,
	} {
		if got := serial.CoveredBy(text, ranges); got != want {
			t.Errorf("%q: got %v, want %v", text, got, want)
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	for text, r := range map[string]serial.Range{
		"comes after":        {From: "22-1199", To: "22-1100"},
		"aren't written":     {From: "A100", To: "22-1100"},
		"neither a first":    {},
		"isn't what it says": {From: "1", To: "2"},
	} {
		err := r.Check()
		if (err == nil) != (text == "isn't what it says") || err != nil && !strings.Contains(err.Error(), text) {
			t.Errorf("%v: %v", r, err)
		}
	}
}

// A number between two others is found between them however many zeros, spaces or dashes somebody types, and never
// outside.
func TestZerosAndDashesNeverHideASerial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.IntRange(0, 1_000_000).Draw(t, "low")
		n := low + rapid.IntRange(0, 1000).Draw(t, "above")
		high := n + rapid.IntRange(0, 1000).Draw(t, "up to")
		year := rapid.IntRange(0, 99).Draw(t, "year")
		written := fmt.Sprintf("%0*d%s%0*d", rapid.IntRange(1, 5).Draw(t, "zeros"), year, rapid.SampledFrom([]string{"-", " ", "/", ".", " - "}).Draw(t, "between"), rapid.IntRange(1, 12).Draw(t, "more zeros"), n)
		r := serial.Range{From: fmt.Sprintf("%02d-%04d", year, low), To: fmt.Sprintf("%02d-%04d", year, high)}
		if got := r.Covers(written); got != serial.Inside {
			t.Fatalf("%q in %s: %v", written, r, got)
		}
		if out := fmt.Sprintf("%d-%d", year, high+1); r.Covers(out) != serial.Outside {
			t.Fatalf("%q isn't outside %s", out, r)
		}
	})
}
