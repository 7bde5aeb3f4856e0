package report

import (
	"fmt"
	"maps"
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
		By: date(t, "2027-01-05"), Remedy: "a new cam in time", Next: date(t, "2027-02-07"), Tests: []string{"Cam groove: read 0.35, 0.38, 0.36 mm."}, Day: date(t, "2026-10-30"),
		Author:       Author{Party: Party{"Robin Fell", "2 Lighthouse Row"}, Qualifications: "inspector, certificate 1234", Employer: Party{"Tern Rigging (invented)", "3 Harbour Street"}},
		Authenticate: Party{"Ana Quay", "4 Mole End"}, Signed: "4 November 2026 11:20", Made: date(t, "2026-11-06"), Script: "the script Descender, edition 1",
	}
}

// held is the same with a defect that is a danger.
func held(t testing.TB) Data {
	d := watched(t)
	d.Verdict, d.By, d.Next, d.Remedy = flows.Quarantine, due.Date{}, due.Date{}, ""
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

// forGoods is the same for something that lifts no people.
func forGoods(t testing.TB) Data {
	d := watched(t)
	d.Thing.Use, d.Months, d.Interval = flows.Goods, 12, "the default for goods"
	return d
}

// byScheme is the same for something that is examined by a written scheme.
func byScheme(t testing.TB) Data {
	d := watched(t)
	d.Scheme = "ES-3 of 2 May 2026"
	return d
}

// dusty is the same after exceptional circumstances.
func dusty(t testing.TB) Data {
	d := watched(t)
	d.Exceptional = []string{"grit on 20 October 2026"}
	return d
}

// variants are the reports in which the Schedule's items are looked for.
func variants() map[string]func(testing.TB) Data {
	return map[string]func(testing.TB) Data{"watched": watched, "held": held, "first": first, "for goods": forGoods, "by a scheme": byScheme, "dusty": dusty}
}

// headings are those of a report in the order of the Schedule, which they have to keep.
func headings() []string {
	return []string{
		"1 Employer for whom it was examined", "2 Premises where it was examined", "3 What was examined",
		"4 Last thorough examination before this", "5 Safe working load", "6 First examination", "7 Why it was examined, and what follows",
		"8(a) Parts with a defect that is or could become a danger to persons", "8(b) Repair, renewal or alteration needed for what is a danger",
		"8(c) What could become a danger: by when, and what it needs", "8(d) Latest date for the next thorough examination",
		"8(e) Tests", "8(f) Date of this thorough examination", "9 Who made this report", "10 Who signed it", "11 Date of this report",
		"Risk of serious personal injury (regulation 10)", "How it was examined",
	}
}

// standsUnder is what stands under each heading of a report that was read, without spaces. Each heading has to stand there once, on a
// line of its own and in its order.
func standsUnder(t *testing.T, read string) map[string]string {
	t.Helper()
	heads, said, at := headings(), map[string]string{}, -1
	for _, l := range strings.Split(read, "\n") {
		switch n := slices.Index(heads, strings.TrimSpace(l)); {
		case n >= 0 && n != at+1:
			t.Fatalf("the heading %q stands out of its order", l)
		case n >= 0:
			at = n
		case at >= 0:
			said[heads[at]] += bare(l)
		}
	}
	if at != len(heads)-1 {
		t.Fatalf("the heading %q isn't there", heads[at+1])
	}
	return said
}

// wants is one item of Schedule 1: a value that stands nowhere but under its heading, and what its report lacks without it.
type wants struct {
	of       string // which of the variants
	item     string // the heading begins with it
	value    string
	takeAway func(*Data)
	lacks    Missing // where there is none, the report says otherwise instead
	instead  string
}

// schedule lists every item of Schedule 1 to LOLER 1998 (legislation.gov.uk/uksi/1998/2307/schedule/1; 8(d) to 11 from memory), and
// regulation 10 (from memory). Where the Schedule wants something "where known" or "where relevant", nothing is refused without it.
func schedule() []wants {
	return []wants{
		{"watched", "1", "The Gannet Trust (invented)", func(d *Data) { d.Employer.Name = "" }, Missing{"1", NoEmployer}, ""},
		{"watched", "1", "1 Stack Lane", func(d *Data) { d.Employer.Address = "" }, Missing{"1", NoEmployer}, ""},
		{"watched", "2", "The boat shed, Puffin Quay", func(d *Data) { d.Premises = "" }, Missing{"2", NoPremises}, ""},
		{"watched", "3", "Mark: D-07", func(d *Data) { d.Thing.Mark = "" }, Missing{"3", NoIdentity}, ""},
		{"watched", "3", "Descender with cam and handle", func(d *Data) { d.Thing.Kind = "" }, Missing{"3", NoIdentity}, ""},
		{"watched", "3", "Date of manufacture: March 2022", func(d *Data) { d.Thing.Made = due.Date{} }, Missing{}, "Date of manufacture: not known"},
		{"watched", "4", "3 May 2026, record 2026-0017.", func(d *Data) { d.Last = due.Date{} }, Missing{"4 or 6(a)", NoLast}, ""},
		{"watched", "5", "215 kg", func(d *Data) { d.SafeLoad = "" }, Missing{"5", NoSafeLoad}, ""},
		{"first", "6", "(a) Yes, this is its first thorough examination", func(d *Data) { d.First = false }, Missing{"4 or 6(a)", NoLast}, ""},
		{"first", "6", "(b) Put together correctly and safe to operate on that day: yes", func(d *Data) { d.Verdict = flows.Incomplete }, Missing{"6(b)", NoVerdict}, ""},
		{"watched", "7", "(a)(i) Within an interval of 6 months", func(d *Data) { d.Months = 0 }, Missing{"7(a)", NoBasis}, ""},
		{"for goods", "7", "(a)(ii) Within an interval of 12 months", func(d *Data) { d.Months = 0 }, Missing{"7(a)", NoBasis}, ""},
		{"by a scheme", "7", "(a)(iii) In accordance with an examination scheme: ES-3 of 2 May 2026; every 6 months.", func(d *Data) { d.Months = 0 }, Missing{"7(a)", NoBasis}, ""},
		{"dusty", "7", "(a)(iv) After exceptional circumstances: grit on 20 October 2026.", func(d *Data) { d.Exceptional, d.Months = nil, 0 }, Missing{"7(a)", NoBasis}, ""},
		{"watched", "7", "(b) Safe to operate on that day: yes", func(d *Data) { d.Verdict = flows.Incomplete }, Missing{"7(b)", NoVerdict}, ""},
		{"watched", "8(a)", "Could become a danger: Cam: a groove that can be seen. Wear has begun. (common practice) Where: left half, 0.4 mm.", func(d *Data) { d.Defects = nil }, Missing{"8(a)", NoDefects}, ""},
		{"held", "8(a)", "A danger: Handle: slow to come back. It may not lock.", func(d *Data) { d.Defects = []Defect{} }, Missing{"8(a)", NoDefects}, ""},
		{"held", "8(b)", "A new handle spring.", func(d *Data) { d.Repair = "" }, Missing{"8(b)", NoRepair}, ""},
		{"watched", "8(c)", "(i) By 5 January 2027", func(d *Data) { d.By = due.Date{} }, Missing{"8(c)(i)", NoBy}, ""},
		{"watched", "8(c)", "(ii) A new cam in time.", func(d *Data) { d.Remedy = "" }, Missing{"8(c)(ii)", NoRemedy}, ""},
		{"watched", "8(d)", "7 February 2027.", func(d *Data) { d.Next = due.Date{} }, Missing{"8(d)", NoNext}, ""},
		{"held", "8(d)", "None is set: it is not for use.", nil, Missing{}, ""},
		{"watched", "8(e)", "Cam groove: read 0.35, 0.38, 0.36 mm.", func(d *Data) { d.Tests = nil }, Missing{"8(e)", NoTests}, ""},
		{"watched", "8(f)", "30 October 2026", func(d *Data) { d.Day = due.Date{} }, Missing{"8(f)", NoDay}, ""},
		{"watched", "9", "Robin Fell", func(d *Data) { d.Author.Name = "" }, Missing{"9", NoAuthor}, ""},
		{"watched", "9", "2 Lighthouse Row", func(d *Data) { d.Author.Address = "" }, Missing{"9", NoAuthor}, ""},
		{"watched", "9", "inspector, certificate 1234.", func(d *Data) { d.Author.Qualifications = "" }, Missing{"9", NoQualifications}, ""},
		{"watched", "9", "Employed by Tern Rigging (invented)", func(d *Data) { d.Author.Employer.Name = "" }, Missing{"9", NoAuthors}, ""},
		{"watched", "9", "3 Harbour Street", func(d *Data) { d.Author.Employer.Address = "" }, Missing{"9", NoAuthors}, ""},
		{"watched", "10", "Ana Quay", func(d *Data) { d.Authenticate.Name = "" }, Missing{"10", NoSignature}, ""},
		{"watched", "10", "4 Mole End", func(d *Data) { d.Authenticate.Address = "" }, Missing{"10", NoSignature}, ""},
		{"watched", "10", "on 4 November 2026 11:20", func(d *Data) { d.Signed = "" }, Missing{"10", NoSignature}, ""},
		{"watched", "11", "6 November 2026", func(d *Data) { d.Made = due.Date{} }, Missing{"11", NoDate}, ""},
		{"watched", "How", "the script Descender, edition 1.", nil, Missing{}, ""},
		{"held", "Risk", "No, in the judgement of who made this report", func(d *Data) { d.Danger = "" }, Missing{"regulation 10", NoDanger}, ""},
	}
}

// heading is the one under which the value has to stand.
func (w wants) heading() string {
	return headings()[slices.IndexFunc(headings(), func(h string) bool { return strings.HasPrefix(h, w.item+" ") })]
}

// eachUnderItsHeading looks for each of the Schedule's values in the reports as they were read, by variant. Elsewhere than under its
// heading none may stand, so that each is found by nothing but what belongs there.
func eachUnderItsHeading(t *testing.T, read map[string]string) {
	t.Helper()
	tried := map[string]bool{}
	for _, w := range schedule() {
		under := standsUnder(t, read[w.of])
		if said := under[w.heading()]; !strings.Contains(said, bare(w.value)) {
			t.Errorf("%s: under %q stands %q, not %q", w.of, w.heading(), said, w.value)
		}
		if n := strings.Count(strings.Join(slices.Collect(maps.Values(under)), "\n"), bare(w.value)); n > 1 { // what stands before the first heading is only said again
			t.Errorf("%s: %q stands there %d times, so that finding it shows nothing", w.of, w.value, n)
		}
		tried[w.heading()] = true
	}
	for _, h := range headings() {
		if !tried[h] {
			t.Errorf("nothing is looked for under %q", h)
		}
	}
}

func TestEachItemOfTheScheduleStandsUnderItsNumber(t *testing.T) {
	read := map[string]string{}
	for name, of := range variants() {
		d := of(t)
		if lacks := d.Missing(); len(lacks) > 0 {
			t.Fatalf("%s: the whole report lacks %v", name, lacks)
		}
		read[name] = d.Text()
	}
	eachUnderItsHeading(t, read)
}

func TestAReportIsRefusedWithoutAnyOneItem(t *testing.T) {
	for _, w := range schedule() {
		if w.takeAway == nil {
			continue
		}
		d := variants()[w.of](t)
		w.takeAway(&d)
		var want []Missing
		if w.instead == "" {
			want = append(want, w.lacks)
		} else if said := standsUnder(t, d.Text())[w.heading()]; !strings.Contains(said, bare(w.instead)) {
			t.Errorf("without %q it says %q under %q", w.value, said, w.heading())
		}
		if lacks := d.Missing(); !slices.Equal(lacks, want) {
			t.Errorf("without %q under %s it lacks %v, not %v", w.value, w.item, lacks, want)
		}
	}
}

func TestNoneIsSaidPlainly(t *testing.T) {
	d := watched(t)
	d.Verdict, d.Defects, d.Tests, d.By, d.Remedy = flows.Fit, []Defect{}, []string{}, due.Date{}, ""
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
	if text := dusty(t).Text(); !strings.Contains(text, "(a)(iv) After exceptional circumstances: grit on 20 October 2026.") || strings.Contains(text, "(a)(i) Within") {
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
	for name, of := range variants() {
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
	if read := bare(readPDF(t, pdf)); !strings.Contains(read, bare("drip □ □ end")) || !strings.Contains(read, bare("□ stands for a letter that can't be printed here")) {
		t.Errorf("it reads %q", read[max(0, len(read)-900):])
	}
}

// TestAnAccentThatCameByItself: ż and é, each as a letter and an accent after it, as some keyboards send them (Unicode 15, 3.11).
func TestAnAccentThatCameByItself(t *testing.T) {
	d := watched(t)
	d.Notes = []string{"Z\u0307aneta, Cafe\u0301"}
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := readPDF(t, pdf); !strings.Contains(read, "\u017baneta, Caf\u00e9") || strings.Contains(read, "stands for a letter") {
		t.Errorf("it reads %q", read[max(0, len(read)-900):])
	}
}

// TestNobodysWordsAreTakenForANumber: {nb} stands for the number of pages in many documents of this kind.
func TestNobodysWordsAreTakenForANumber(t *testing.T) {
	d := watched(t)
	d.Thing.Serial = "{nb}"
	pdf, err := PDF(d)
	if err != nil {
		t.Fatal(err)
	}
	if read := readPDF(t, pdf); !strings.Contains(read, "Maker's serial: {nb}") {
		t.Error("the serial number isn't there as it was typed")
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
	c := wear.Course{Limit: 1}
	for n, v := range []float64{.1, .24, .36, .51} {
		c.Readings = append(c.Readings, wear.Reading{On: date(t, "2024-05-14").AddMonths(6 * n), Value: v, Doubt: .04})
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
