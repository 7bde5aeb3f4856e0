package report

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"becket/bot/picture"
	"becket/flows"
	"becket/flows/due"
	"becket/flows/wear"
)

func date(t testing.TB, text string) due.Date {
	t.Helper()
	d, err := due.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// watched is a whole report with a value of its own under every item; every name in it is invented.
func watched(t testing.TB) Data {
	return Data{
		Record: "2026-0042", Employer: Party{"The Gannet Trust (invented)", "1 Stack Lane"}, Premises: "The boat shed, Puffin Quay",
		Thing: Thing{Mark: "D-07", Kind: "Descender with cam and handle", Maker: "Skerry Works", Model: "Dunlin", Serial: "22-1180", Batch: "L9", Standard: "EN 341:2011",
			Made: date(t, "2022-03"), FirstUse: date(t, "2022-05-10"), Bought: date(t, "2022-05-02"), Use: flows.People},
		Last: date(t, "2026-05-03"), LastRecord: "2026-0017", SafeLoad: "215 kg", Months: 6, Interval: "the default for people",
		Verdict: flows.Watch, Defects: []Defect{{Part: "Cam: a groove that can be seen.", Because: "Wear has begun. (common practice)", Place: "left half, 0.4 mm", Verdict: flows.Watch}},
		Remedy: "a new cam in time", Next: date(t, "2027-02-01"), Tests: []string{"Cam groove: read 0.35, 0.38, 0.36 mm."}, Day: date(t, "2026-11-01"),
		Author:       Author{Party: Party{"Robin Fell", "2 Lighthouse Row"}, Qualifications: "inspector, certificate 1234", Employer: Party{"Tern Rigging (invented)", "3 Harbour Street"}},
		Authenticate: Party{"Ana Quay", "4 Mole End"}, Signed: "1 November 2026 11:20", Made: date(t, "2026-11-02"), Script: "the script Descender, edition 1",
	}
}

// held is the same with a defect that is a danger.
func held(t testing.TB) Data {
	d := watched(t)
	d.Verdict, d.Next, d.Remedy = flows.Quarantine, due.Date{}, ""
	d.Defects = []Defect{{Part: "Handle: slow to come back.", Because: "It may not lock.", Verdict: flows.Quarantine}}
	d.Repair, d.Danger = "a new handle spring", "no"
	return d
}

// first is the same for something that was never examined before.
func first(t testing.TB) Data {
	d := watched(t)
	d.First, d.Last, d.LastRecord = true, due.Date{}, ""
	return d
}

// wants is one item of Schedule 1: the value that stands under its number, and what its report looks like without it.
type wants struct {
	of       func(testing.TB) Data
	item     string
	value    string
	takeAway func(*Data)
	lack     Lack
}

// schedule lists every item of Schedule 1 to LOLER 1998 (legislation.gov.uk/uksi/1998/2307/schedule/1; 8(d) to 11 from memory).
func schedule() []wants {
	return []wants{
		{watched, "1", "The Gannet Trust (invented)", func(d *Data) { d.Employer.Name = "" }, NoEmployer},
		{watched, "1", "1 Stack Lane", func(d *Data) { d.Employer.Address = "" }, NoEmployer},
		{watched, "2", "The boat shed, Puffin Quay", func(d *Data) { d.Premises = "" }, NoPremises},
		{watched, "3", "Mark: D-07", func(d *Data) { d.Thing.Mark = "" }, NoIdentity},
		{watched, "3", "Kind: Descender with cam and handle", func(d *Data) { d.Thing.Kind = "" }, NoIdentity},
		{watched, "3", "Date of manufacture: March 2022", nil, ""},
		{watched, "4", "3 May 2026, record 2026-0017.", func(d *Data) { d.Last = due.Date{} }, NoLast},
		{watched, "5", "215 kg", func(d *Data) { d.SafeLoad = "" }, NoSafeLoad},
		{first, "4", "None: this is the first.", func(d *Data) { d.First = false }, NoLast},
		{first, "6", "(a) Yes", nil, ""},
		{first, "6", "(b) Put together correctly and safe to operate on that day: yes", func(d *Data) { d.Verdict = flows.Incomplete }, NoVerdict},
		{watched, "7", "(a)(i) Within an interval of 6 months", func(d *Data) { d.Months = 0 }, NoBasis},
		{watched, "7", "(b) Safe to operate on that day: yes", func(d *Data) { d.Verdict = flows.Incomplete }, NoVerdict},
		{watched, "8(a)", "Could become a danger: Cam: a groove that can be seen. Wear has begun.", func(d *Data) { d.Defects = nil }, NoDefects},
		{held, "8(a)", "A danger: Handle: slow to come back.", func(d *Data) { d.Defects = []Defect{} }, NoDefects},
		{held, "8(b)", "A new handle spring.", func(d *Data) { d.Repair = "" }, NoRepair},
		{watched, "8(b)", "None.", nil, ""},
		{watched, "8(c)", "(i) By 1 February 2027", func(d *Data) { d.Next = due.Date{} }, NoNext},
		{watched, "8(c)", "(ii) A new cam in time.", func(d *Data) { d.Remedy = "" }, NoRemedy},
		{held, "8(c)", "None.", nil, ""},
		{watched, "8(d)", "1 February 2027.", func(d *Data) { d.Next = due.Date{} }, NoNext},
		{held, "8(d)", "None is set: it is not for use.", nil, ""},
		{watched, "8(e)", "Cam groove: read 0.35, 0.38, 0.36 mm.", func(d *Data) { d.Tests = nil }, NoTests},
		{watched, "8(f)", "1 November 2026", func(d *Data) { d.Day = due.Date{} }, NoDay},
		{watched, "9", "Robin Fell, 2 Lighthouse Row.", func(d *Data) { d.Author.Name = "" }, NoAuthor},
		{watched, "9", "Robin Fell, 2 Lighthouse Row.", func(d *Data) { d.Author.Address = "" }, NoAuthor},
		{watched, "9", "inspector, certificate 1234.", func(d *Data) { d.Author.Qualifications = "" }, NoQualifications},
		{watched, "9", "Employed by Tern Rigging (invented), 3 Harbour Street.", func(d *Data) { d.Author.Employer.Address = "" }, NoAuthors},
		{watched, "10", "Ana Quay, 4 Mole End", func(d *Data) { d.Authenticate.Address = "" }, NoSignature},
		{watched, "10", "on 1 November 2026 11:20", func(d *Data) { d.Signed = "" }, NoSignature},
		{watched, "11", "2 November 2026", func(d *Data) { d.Made = due.Date{} }, NoDate},
		{held, "", "No, in the judgement of who made this report", func(d *Data) { d.Danger = "" }, NoDanger},
	}
}

func TestEachItemOfTheScheduleStandsUnderItsNumber(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range schedule() {
		t.Run(w.item+" "+w.value, func(t *testing.T) {
			d := w.of(t)
			if lacks := d.Missing(); len(lacks) > 0 {
				t.Fatalf("the whole report lacks %v", lacks)
			}
			under := false
			for _, s := range d.Sections() {
				if s.Item == w.item && strings.Contains(strings.Join(s.Lines, "\n"), w.value) {
					under = true
				}
			}
			if !under {
				t.Errorf("%q doesn't stand under %q:\n%s", w.value, w.item, d.Text())
			}
		})
		seen[w.item] = true
	}
	for _, item := range []string{"1", "2", "3", "4", "5", "6", "7", "8(a)", "8(b)", "8(c)", "8(d)", "8(e)", "8(f)", "9", "10", "11"} {
		if !seen[item] {
			t.Errorf("item %s of the Schedule is tried by nothing", item)
		}
	}
}

func TestAReportIsRefusedWithoutAnyOneItem(t *testing.T) {
	for _, w := range schedule() {
		if w.takeAway == nil {
			continue
		}
		d := w.of(t)
		w.takeAway(&d)
		lacks := d.Missing()
		if !slices.ContainsFunc(lacks, func(m Missing) bool { return m.What == w.lack }) {
			t.Errorf("without %q under %s it lacks %v, not %q", w.value, w.item, lacks, w.lack)
		}
		for _, m := range lacks {
			if w.item != "" && !strings.HasPrefix(m.Item, w.item) && !related(w.item, m.Item) {
				t.Errorf("without %q under %s, item %s is named too", w.value, w.item, m.Item)
			}
		}
	}
}

// related tells which items lack something together: 8(c)(i) and 8(d) are one date.
func related(item, named string) bool { return item == "8(c)" && named == "8(d)" }

func TestNoneIsSaidPlainly(t *testing.T) {
	d := watched(t)
	d.Verdict, d.Defects, d.Tests, d.Remedy = flows.Fit, []Defect{}, []string{}, ""
	if lacks := d.Missing(); len(lacks) > 0 {
		t.Fatalf("it lacks %v", lacks)
	}
	for _, s := range d.Sections() {
		if slices.Contains([]string{"8(a)", "8(b)", "8(c)", "8(e)"}, s.Item) && !slices.Equal(s.Lines, []string{"None."}) {
			t.Errorf("%s says %q", s.Head(), s.Lines)
		}
	}
}

func TestAfterExceptionalCircumstances(t *testing.T) {
	d := watched(t)
	d.Exceptional = []string{"grit on 30 October 2026"}
	if text := d.Text(); !strings.Contains(text, "(a)(iv) After exceptional circumstances: grit on 30 October 2026.") || strings.Contains(text, "(a)(i) Within") {
		t.Errorf("it says:\n%s", text)
	}
}

func TestALateExaminationSaysSo(t *testing.T) {
	d := watched(t)
	d.Last = date(t, "2026-03-01")
	if !strings.Contains(d.Text(), "It came late: it was due by 1 September 2026.") {
		t.Error("it doesn't say that it came late")
	}
}

func TestARetirementNeedsNoRepair(t *testing.T) {
	d := held(t)
	d.Verdict, d.Repair, d.Defects[0].Verdict = flows.Retire, "", flows.Retire
	if lacks := d.Missing(); len(lacks) > 0 {
		t.Errorf("it lacks %v", lacks)
	}
	for _, want := range []string{"to be destroyed, and replaced", "never used again"} {
		if !strings.Contains(d.Text(), want) {
			t.Errorf("it doesn't say %q", want)
		}
	}
}

func TestTheSameDataGivesTheSameBytes(t *testing.T) {
	d := withPhotos(t, 3)
	a, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	for range 3 {
		if b, err := PDF(d); err != nil || string(a) != string(b) {
			t.Fatalf("another time it is other bytes: %d and %d, %v", len(a), len(b), err)
		}
	}
}

func TestThePDFSaysAllThatTheTextSays(t *testing.T) {
	for name, of := range map[string]func(testing.TB) Data{"watched": watched, "held": held, "first": first} {
		d := of(t)
		d.Notes = []string{"Приёмка: ÄÖÜ – 40 µm, “drip”"}
		pdf, err := PDF(d)
		if err != nil {
			t.Fatal(err)
		}
		read := bare(readPDF(t, pdf))
		at := 0
		for _, want := range strings.Split(d.Text(), "\n")[1:] {
			n := strings.Index(read[at:], bare(want))
			if n < 0 {
				t.Fatalf("%s: the PDF doesn't say %q in its place", name, want)
			}
			at += n
		}
	}
}

func TestLettersThatNoFontHas(t *testing.T) {
	d := watched(t)
	d.Notes = []string{"drip 滴 🪢 end\x00"}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := bare(readPDF(t, pdf)); !strings.Contains(read, bare("drip □ □ end")) {
		t.Errorf("it reads %q", read[max(0, len(read)-900):])
	}
}

func TestALongReportGoesOnToTheNextPage(t *testing.T) {
	d := watched(t)
	for n := range 120 {
		d.Tests = append(d.Tests, fmt.Sprintf("Reading %d: read 0.1 mm.", n))
	}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := bare(readPDF(t, pdf)); !strings.Contains(read, bare("Page 3 of")) {
		t.Error("there is no page 3")
	}
}

// worn adds a place that was measured four times to a report.
func worn(t testing.TB, d Data) Data {
	c := wear.Course{Limit: 1, Doubt: .04}
	for n, v := range []float64{.1, .24, .36, .51} {
		c.Readings = append(c.Readings, wear.Reading{On: date(t, "2024-05-14").AddMonths(6 * n), Value: v})
	}
	d.Wear = []Wear{{Says: []string{"Cam groove, the worst of each time in mm:", "  14 May 2024: 0.1"}, Drawn: picture.Wear(picture.Worn{
		Title: "D-07: cam groove", Unit: "mm", Course: c, Limited: true, Forecast: c.Forecast(),
		Words: picture.Words{Limit: "Limit at 1.0 mm", Reading: "the worst of each time, and its doubt either way", Goes: "where it goes", Band: "further readings", Soonest: "may be there from 3 May 2026"},
	})}}
	return d
}

func TestHowItWoreIsSaidAndThenDrawn(t *testing.T) {
	d := worn(t, watched(t))
	if !strings.Contains(d.Text(), "Wear over time\n  Cam groove, the worst of each time in mm:") {
		t.Errorf("the text doesn't say how it wore:\n%s", d.Text())
	}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	read, at := bare(readPDF(t, pdf)), 0
	for _, want := range []string{"14 May 2024: 0.1", wearPlan, "D-07: cam groove", "Limit at 1.0 mm", "the worst of each time, and its doubt either way", care5} {
		n := strings.Index(read[at:], bare(want))
		if n < 0 {
			t.Fatalf("%q isn't read in its place", want)
		}
		at += n
	}
}

func TestNobodyWritesAHeadingOfTheirOwn(t *testing.T) {
	d := watched(t)
	d.SafeLoad, d.Notes = "215 kg\n8(a) Parts with a defect that is or could become a danger to persons\n  None.", []string{"fine\u20288(a) None."}
	if n := strings.Count(d.Text(), "\n8(a) "); n != 1 {
		t.Errorf("8(a) stands there %d times:\n%s", n, d.Text())
	}
	d.Thing.Serial = strings.Repeat("m", 4000)
	if _, err := PDF(d); err != nil {
		t.Error(err)
	}
}
