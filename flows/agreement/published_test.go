package agreement_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"becket/flows/agreement"
)

// as fails unless got is the published value to the digits that were printed.
func as(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if math.IsNaN(got) || math.Abs(got-want) > within {
		t.Errorf("%s: %.9g, published %.9g", what, got, want)
	}
}

func compare(t *testing.T, table agreement.Table) agreement.Two {
	t.Helper()
	two, err := agreement.Compare(table)
	if err != nil {
		t.Fatal(err)
	}
	return two
}

// Cohen's table of three answers as the tests of a public statistics library give it, with the errors of Fleiss, Cohen and Everitt.
func TestCohenKappa(t *testing.T) {
	two := compare(t, agreement.Table{{0, 4, 1}, {0, 8, 0}, {0, 1, 5}})
	as(t, "kappa", two.Kappa.Value, .4842, .00005)
	as(t, "its error", two.Kappa.Error, .1380, .00005)
	as(t, "from", two.Kappa.Low, .2137, .00005)
	as(t, "to", two.Kappa.High, .7547, .00005)
	as(t, "z", two.KappaZ, 3.2626, .00005)
	for _, c := range []struct { // worked examples of Cohen's kappa, from memory, recomputed
		yy, yn, ny, nn int
		share, kappa   float64
	}{{20, 5, 10, 15, .70, .4}, {45, 15, 25, 15, .60, .130435}, {25, 35, 5, 35, .60, .259259}} {
		two := compare(t, agreement.Table{{c.yy, c.yn}, {c.ny, c.nn}})
		as(t, "share", two.Share, c.share, 1e-9)
		as(t, "kappa", two.Kappa.Value, c.kappa, 5e-7)
	}
}

// Gwet's table of 100 things and three answers, as the public description of his package gives it; PABAK and the error of AC1 recomputed.
func TestGwet(t *testing.T) {
	two := compare(t, agreement.Table{{13, 0, 0}, {0, 20, 7}, {0, 4, 56}})
	as(t, "kappa", two.Kappa.Value, .7964094, 5e-8)
	as(t, "its error", two.Kappa.Error, .05891072, 5e-9)
	as(t, "from", two.Kappa.Low, .68, .005)
	as(t, "to", two.Kappa.High, .913, .002)
	as(t, "AC1", two.AC1.Value, .8493305, 5e-8)
	as(t, "its error", two.AC1.Error, .0432, .00005)
	as(t, "PABAK", two.PABAK, .835, .0005)
}

// The paradox of kappa: nearly everything called alike, and kappa below 0.
func TestParadox(t *testing.T) {
	two := compare(t, agreement.Table{{118, 5}, {2, 0}})
	as(t, "share", two.Share, .944, .0005)
	as(t, "kappa", two.Kappa.Value, -.0234, .00005)
	as(t, "AC1", two.AC1.Value, .9408, .00005)
	as(t, "PABAK", two.PABAK, .888, .0005)
}

// AIAG, Measurement Systems Analysis, attribute study (counts from memory, kappas recomputed).
func TestAttributeStudy(t *testing.T) {
	as(t, "A and B", compare(t, agreement.Table{{44, 6}, {3, 97}}).Kappa.Value, .863, .0005)
	as(t, "A and C", compare(t, agreement.Table{{43, 7}, {8, 92}}).Kappa.Value, .776, .0005)
	as(t, "B and C", compare(t, agreement.Table{{42, 5}, {9, 94}}).Kappa.Value, .788, .0005)
}

// Fleiss' table of ten things and fourteen people, as the tests of a public statistics library give it.
func TestFleissKappa(t *testing.T) {
	kappa, _, known, err := agreement.Many([][]int{
		{0, 0, 0, 0, 14}, {0, 2, 6, 4, 2}, {0, 0, 3, 5, 6}, {0, 3, 9, 2, 0}, {2, 2, 8, 1, 1},
		{7, 7, 0, 0, 0}, {3, 2, 6, 3, 0}, {2, 5, 3, 2, 2}, {6, 5, 2, 1, 0}, {0, 2, 2, 3, 7},
	})
	as(t, "kappa", kappa, .2099, .00005)
	if !known || err != nil {
		t.Error(known, err)
	}
	if _, alike, known, err := agreement.Many([][]int{{3, 0}, {3, 0}}); known || alike != 1 || err != nil {
		t.Errorf("one answer throughout: alike %v, known %v, %v", alike, known, err)
	}
	if _, _, _, err := agreement.Many([][]int{{3, 0}, {2, 0}}); !errors.Is(err, agreement.ErrUneven) {
		t.Errorf("three and two people: %v", err)
	}
}

// Where both gave one answer throughout there is no kappa, and it isn't 1.
func TestKappaOfOneAnswer(t *testing.T) {
	two := compare(t, agreement.Table{{30, 0}, {0, 0}})
	if two.Kappa.Known || two.Share != 1 || two.AC1.Value != 1 || two.PABAK != 1 {
		t.Errorf("%+v", two)
	}
	for _, no := range []agreement.Table{nil, {{1}}, {{0, 0}, {0, 0}}, {{1, 2}, {3}}, {{1, -1}, {0, 4}}} {
		if _, err := agreement.Compare(no); !errors.Is(err, agreement.ErrNoTable) {
			t.Errorf("%v: %v", no, err)
		}
	}
}

// Who comes first makes no difference, nor does the order of the answers; and no figure is beyond 1.
func TestAgreementOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.IntRange(2, 4).Draw(t, "answers")
		table, turned, back := agreement.Table{}, agreement.Table{}, agreement.Table{}
		for range size {
			table = append(table, rapid.SliceOfN(rapid.IntRange(0, 20), size, size).Draw(t, "row"))
		}
		table[0][1]++
		for i := range size {
			turned, back = append(turned, make([]int, size)), append(back, make([]int, size))
			for j := range size {
				turned[i][j] = table[j][i]
				back[i][j] = table[size-1-i][size-1-j]
			}
		}
		one, err := agreement.Compare(table)
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []agreement.Table{turned, back} {
			two, err := agreement.Compare(other)
			if err != nil {
				t.Fatal(err)
			}
			for _, pair := range [][2]float64{{one.Kappa.Value, two.Kappa.Value}, {one.Kappa.Error, two.Kappa.Error}, {one.AC1.Value, two.AC1.Value}, {one.AC1.Error, two.AC1.Error}, {one.PABAK, two.PABAK}} {
				if math.Abs(pair[0]-pair[1]) > 1e-9 || pair[0] > 1 {
					t.Fatalf("%v: %+v, turned round %+v", table, one, two)
				}
			}
		}
	})
}

// 29 of 29 found: at least 90 %; and of nothing planted everything is possible.
func TestCaught(t *testing.T) {
	as(t, "at least", agreement.CaughtOf(29, 29).AtLeast, .901855, 5e-7)
	none := agreement.CaughtOf(0, 20)
	as(t, "at most", none.Between.High, .1684, .00005)
	if nothing := agreement.CaughtOf(0, 0); nothing.Between.Low != 0 || nothing.Between.High != 1 {
		t.Errorf("of nothing: %+v", nothing)
	}
}

// Two blind readers of the same pictures: both found 56, one only 14, the other only 6 (Thurfjell's counts; variance and p recomputed).
func TestTwoReaders(t *testing.T) {
	r := agreement.ReadersOf(56, 14, 6)
	as(t, "in all", r.All, 77.47, .005)
	as(t, "variance", r.Variance, 1.994, .0005)
	as(t, "p", r.ByChance, .1153, .00005)
}

// AIAG, Measurement Systems Analysis: ten parts, three people, three trials each.
func TestGaugeStudy(t *testing.T) {
	trials := [][][]float64{
		{{.29, -.56, 1.34, .47, -.80, .02, .59, -.31, 2.26, -1.36}, {.41, -.68, 1.17, .50, -.92, -.11, .75, -.20, 1.99, -1.25}, {.64, -.58, 1.27, .64, -.84, -.21, .66, -.17, 2.01, -1.31}},
		{{.08, -.47, 1.19, .01, -.56, -.20, .47, -.63, 1.80, -1.68}, {.25, -1.22, .94, 1.03, -1.20, .22, .55, .08, 2.12, -1.62}, {.07, -.68, 1.34, .20, -1.28, .06, .83, -.34, 2.19, -1.50}},
		{{.04, -1.38, .88, .14, -1.46, -.29, .02, -.46, 1.77, -1.49}, {-.11, -1.13, 1.09, .20, -1.07, -.67, .01, -.56, 1.45, -1.77}, {-.15, -.96, .67, .11, -1.45, -.49, .21, -.49, 1.87, -2.16}},
	}
	readings := make([][][]float64, 3)
	for person, sheets := range trials {
		for part := range 10 {
			readings[person] = append(readings[person], []float64{sheets[0][part], sheets[1][part], sheets[2][part]})
		}
	}
	g, err := agreement.Study(readings)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what    string
		source  agreement.Source
		squares float64
		freedom int
	}{
		{"part", g.Part, 88.3619, 9}, {"person", g.Person, 3.1673, 2}, {"together", g.Together, .3590, 18}, {"repeat", g.Repeat, 2.7589, 60}, {"total", g.Total, 94.6471, 89},
	} {
		as(t, c.what, c.source.Squares, c.squares, .00005)
		if c.source.Freedom != c.freedom {
			t.Errorf("%s: freedom %d, published %d", c.what, c.source.Freedom, c.freedom)
		}
	}
	as(t, "F of parts", g.PartF, 492.291, .0005)
	as(t, "F of people", g.PersonF, 79.406, .0005)
	as(t, "F of both", g.TogetherF, .434, .0005)
	as(t, "pooled", g.Error.Mean(), .03997, .000005)
	as(t, "repeatability", g.Repeatability, .03997, .000005)
	as(t, "reproducibility", g.Reproducibility, .05146, .000005)
	as(t, "both", g.Both, .09143, .000005)
	as(t, "parts", g.Parts, 1.0865, .00006)
	as(t, "contribution", 100*g.Contribution(), 7.76, .005)
	as(t, "study variation", 100*g.StudyVariation(), 27.86, .005)
	as(t, "kinds", g.Kinds(), 4.86, .005)
	if !g.Pooled || g.Error.Freedom != 78 || int(g.Kinds()) != 4 {
		t.Errorf("pooled %v, freedom %d, kinds %v", g.Pooled, g.Error.Freedom, g.Kinds())
	}
	if _, err := agreement.Study(readings[:1]); !errors.Is(err, agreement.ErrNoStudy) {
		t.Errorf("one person: %v", err)
	}
	readings[2][9] = readings[2][9][:2]
	if _, err := agreement.Study(readings); !errors.Is(err, agreement.ErrNoStudy) {
		t.Errorf("a reading missing: %v", err)
	}
}
