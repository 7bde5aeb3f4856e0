package picture_test

import (
	"bytes"
	"image/png"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"becket/bot/picture"
	"becket/flows/due"
	"becket/flows/wear"
)

func words() picture.Words {
	return picture.Words{Limit: "Limit at 9.00 mm", Reading: "the worst of each time", Goes: "where it goes", Band: "further readings", Soonest: "may be there from 15 June 2025", Life: "its life ends", Later: "its life ends later"}
}

// Whatever was measured, nothing of the drawing is off the paper, every reading is on it, and the limit where it is known.
func TestAPictureIsOnItsPaper(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		start := rapid.Float64Range(-50, 500).Draw(t, "start")
		c := wear.Course{
			Limit: start + rapid.Float64Range(-20, 20).Draw(t, "limit"), Down: rapid.Bool().Draw(t, "down"),
		}
		on := due.Date{Year: 2024, Month: 2, Day: 29}
		for range rapid.IntRange(1, 15).Draw(t, "readings") {
			c.Readings = append(c.Readings, wear.Reading{On: on, Value: start, Doubt: rapid.Float64Range(0, 1).Draw(t, "doubt")})
			on = on.AddDays(rapid.IntRange(0, 400).Draw(t, "days"))
			start += rapid.Float64Range(-1, 1).Draw(t, "step")
		}
		w := picture.Worn{Title: "H-02: tip", Unit: "mm", Course: c, Limited: rapid.Bool().Draw(t, "limited"), Forecast: c.Forecast(), Words: words()}
		if rapid.Bool().Draw(t, "lives for some time") {
			w.Life = c.Readings[0].On.AddDays(rapid.IntRange(-10, 4000).Draw(t, "life"))
		}
		p := picture.Wear(w)
		onIt := func(at picture.Place) bool { return at.X >= 0 && at.X <= p.Width && at.Y >= 0 && at.Y <= p.Height }
		for _, l := range p.Lines {
			if !onIt(l.From) || !onIt(l.To) {
				t.Fatalf("%+v is off the paper", l)
			}
		}
		for _, s := range p.Spots {
			if !onIt(s.At) {
				t.Fatalf("%+v is off the paper", s)
			}
		}
		if len(p.Spots) != len(c.Readings)+1 { // and one that says what a spot is
			t.Fatalf("%d spots for %d readings", len(p.Spots), len(c.Readings))
		}
		limit, life := false, false
		for _, s := range p.Texts {
			limit = limit || s.Says == w.Words.Limit
			life = life || s.Says == w.Words.Life || s.Says == w.Words.Later
			if !onIt(s.At) {
				t.Fatalf("%+v is off the paper", s)
			}
		}
		if life == w.Life.IsZero() {
			t.Fatalf("the end of its life is named %v, and is %s", life, w.Life)
		}
		if limit != w.Limited {
			t.Fatalf("the limit is drawn %v, known %v", limit, w.Limited)
		}
	})
}

// The same picture gives the same bytes, of the size that was asked for, and something is drawn.
func TestPNG(t *testing.T) {
	c := wear.Course{Limit: 9, Down: true}
	for n, v := range []float64{9.8, 9.65, 9.51, 9.36} {
		c.Readings = append(c.Readings, wear.Reading{On: due.Date{Year: 2024, Month: 5, Day: 14}.AddMonths(3 * n), Value: v, Doubt: .04})
	}
	p := picture.Wear(picture.Worn{Title: "H-02: tip", Unit: "mm", Course: c, Limited: true, Forecast: c.Forecast(), Words: words()})
	one, err := p.PNG(1)
	if err != nil {
		t.Fatal(err)
	}
	two, err := p.PNG(1)
	if err != nil || !bytes.Equal(one, two) {
		t.Fatalf("the same picture twice: %d and %d bytes, %v", len(one), len(two), err)
	}
	img, err := png.Decode(bytes.NewReader(one))
	if err != nil {
		t.Fatal(err)
	}
	if size := img.Bounds().Size(); size.X != int(p.Width) || size.Y != int(p.Height) {
		t.Errorf("%v pixels for %v by %v points", size, p.Width, p.Height)
	}
	dark := 0
	for x := range img.Bounds().Dx() {
		for y := range img.Bounds().Dy() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0x8000 {
				dark++
			}
		}
	}
	if share := float64(dark) / (p.Width * p.Height); share < 0.01 || share > 0.2 {
		t.Errorf("%.3f of the paper is dark", share)
	}
}

// TestALongTitleIsNotCutOff by the edge of the paper.
func TestALongTitleIsNotCutOff(t *testing.T) {
	c := wear.Course{Readings: []wear.Reading{{On: due.Date{Year: 2024, Month: 2, Day: 29}, Value: 1}}}
	for title, want := range map[string]string{
		"D-07: cam groove": "D-07: cam groove",
		"HÖHENRETTUNG-NORD-SEILKLEMME-0117: groove of the second sheave": "HÖHENRETTUNG-NORD-SEILKLEMME-0117: groove of the second sheave",
		strings.Repeat("W", 200): "…",
	} {
		drawn := picture.Wear(picture.Worn{Title: title, Unit: "mm", Course: c, Forecast: c.Forecast(), Words: words()})
		if says := drawn.Texts[0].Says; !strings.HasSuffix(says, want) {
			t.Errorf("it says %q", says)
		}
		png1, err := drawn.PNG(1)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(png1))
		if err != nil {
			t.Fatal(err)
		}
		for y := range 30 {
			for x := 545; x < 560; x++ {
				if r, _, _, _ := img.At(x, y).RGBA(); r < 0xF000 {
					t.Fatalf("%q is drawn at %d, %d", title, x, y)
				}
			}
		}
	}
}
