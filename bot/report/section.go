package report

import (
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"becket/flows"
	"becket/flows/due"
)

// Section is one part of a report. Item is its number in Schedule 1, empty for what comes besides.
type Section struct {
	Item, Heading string
	Lines         []string
}

// Head is the section's number and heading.
func (s Section) Head() string { return strings.TrimSpace(s.Item + " " + s.Heading) }

// Sections are all parts of the report but its photos, in the order of Schedule 1.
func (d Data) Sections() []Section {
	all := []Section{
		{"1", head1, d.Employer.lines()},
		{"2", head2, []string{d.Premises}},
		{"3", head3, d.thingLines()},
		{"4", head4, d.lastLines()},
		{"5", head5, []string{d.SafeLoad}},
		{"6", head6, d.firstLines()},
		{"7", head7, d.basisLines()},
		{"8(a)", head8a, d.defectLines()},
		{"8(b)", head8b, d.repairLines()},
		{"8(c)", head8c, d.remedyLines()},
		{"8(d)", head8d, d.nextLines()},
		{"8(e)", head8e, orNone(slices.Clone(d.Tests))},
		{"8(f)", head8f, []string{d.Day.Words()}},
		{"9", head9, d.authorLines()},
		{"10", head10, []string{fmt.Sprintf(signedIs, d.Authenticate.Name, d.Authenticate.Address, d.Record, d.Signed)}},
		{"11", head11, []string{d.Made.Words()}},
		{"", headDanger, d.dangerLines()},
		{"", headHow, d.howLines()},
	}
	if len(d.Wear) > 0 {
		all = append(all, Section{"", headWear, d.wearLines()})
	}
	if len(d.Notes) > 0 {
		all = append(all, Section{"", headNotes, slices.Clone(d.Notes)})
	}
	all = append(all, Section{"", headCare, []string{care1, care2, care3, care4, care5}})
	for _, s := range all {
		for n, l := range s.Lines {
			s.Lines[n] = strings.Map(onOneLine, l) // nobody writes a heading of their own
		}
	}
	return all
}

// onOneLine makes spaces of what would begin a line.
func onOneLine(r rune) rune {
	if unicode.IsSpace(r) {
		return ' '
	}
	return r
}

// Title is the first line of a report.
func (d Data) Title() string {
	return fmt.Sprintf("%s: %s, record %s", title, d.Thing.Mark, d.Record)
}

// Text is the whole report, complete without any picture.
func (d Data) Text() string {
	lines := []string{strings.ToUpper(d.Title())}
	for _, s := range d.Sections() {
		lines = append(lines, s.Head())
		for _, l := range s.Lines {
			lines = append(lines, "  "+l)
		}
	}
	if len(d.Photos) > 0 {
		lines = append(lines, headPhotos)
		for _, p := range d.Photos {
			lines = append(lines, "  "+p.Of)
		}
	}
	return strings.Join(lines, "\n")
}

// Fingerprint is a hash over the report's words, in hex.
func (d Data) Fingerprint() string { return fmt.Sprintf("%x", sha256.Sum256([]byte(d.Text()))) }

func (p Party) lines() []string { return []string{p.Name, p.Address} }

func (d Data) thingLines() []string {
	t := d.Thing
	lines := []string{
		fmt.Sprintf(markIs, t.Mark), fmt.Sprintf(kindIs, t.Kind), fmt.Sprintf(makerIs, known(strings.TrimSpace(t.Maker+" "+t.Model))),
		fmt.Sprintf(serialIs, known(t.Serial)), fmt.Sprintf(batchIs, known(t.Batch)), fmt.Sprintf(madeIs, day(t.Made)),
		fmt.Sprintf(standardIs, known(t.Standard)), fmt.Sprintf(boughtIs, day(t.Bought)), fmt.Sprintf(usedIs, day(t.FirstUse)), fmt.Sprintf(useIs, t.Use),
	}
	if d.LifeEnds.IsZero() {
		return append(lines, lifeNone)
	}
	return append(lines, fmt.Sprintf(lifeIs, d.LifeEnds.Words(), d.LifeBound))
}

func known(text string) string {
	if text == "" {
		return notKnown
	}
	return text
}

func day(d due.Date) string {
	if d.IsZero() {
		return notKnown
	}
	return d.Words()
}

// sentence ends what somebody wrote as a sentence.
func sentence(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	return string(unicode.ToUpper(first)) + strings.TrimRight(text[size:], ".") + "."
}

func orNone(lines []string) []string {
	if len(lines) == 0 {
		return []string{none}
	}
	return lines
}

func (d Data) lastLines() []string {
	switch {
	case d.First:
		return []string{lastNone}
	case d.LastRecord == "":
		return []string{fmt.Sprintf(lastOld, d.Last.Words())}
	}
	return []string{fmt.Sprintf(lastIs, d.Last.Words(), d.LastRecord)}
}

func (d Data) firstLines() []string {
	if !d.First {
		return []string{firstNot}
	}
	return append([]string{firstYes}, d.safeLines(firstSafe)...)
}

// safeLines say whether it would be safe to operate, and why not where the signer was stricter than the rules.
func (d Data) safeLines(line string) []string {
	safe := safeNo
	if d.Verdict.Usable() {
		safe = safeYes
	}
	lines := []string{fmt.Sprintf(line, fmt.Sprintf(safe, strings.ToUpper(d.Verdict.String())))}
	if d.Because != "" {
		lines = append(lines, fmt.Sprintf(signersWord, strings.TrimRight(d.Because, ".")))
	}
	return lines
}

func (d Data) basisLines() []string {
	if d.First {
		return []string{basisFirst}
	}
	basis := basisSix
	if d.Months > 6 {
		basis = basisTwelve
	}
	lines := []string{fmt.Sprintf(basis, d.Months, d.Interval)}
	if d.Scheme != "" {
		lines = []string{fmt.Sprintf(basisScheme, d.Scheme, d.Months)}
	}
	if by := d.Last.AddMonths(d.Months); d.Day.After(by) {
		lines = append(lines, fmt.Sprintf(basisLate, by.Words()))
	}
	if len(d.Exceptional) > 0 {
		lines = []string{fmt.Sprintf(basisAfter, strings.Join(d.Exceptional, "; "))}
	}
	return append(lines, d.safeLines(basisSafe)...)
}

func (d Data) defectLines() []string {
	var lines []string
	for _, f := range d.Defects {
		what := defectCould
		if f.isDanger() {
			what = defectIs
		}
		line := fmt.Sprintf(defectLine, what, f.Part, f.Because)
		if f.Place != "" {
			line += " " + fmt.Sprintf(defectPlace, strings.TrimRight(f.Place, "."))
		}
		lines = append(lines, line)
	}
	return orNone(lines)
}

func (d Data) repairLines() []string {
	are, _ := d.count()
	switch {
	case are == 0:
		return []string{none}
	case d.Verdict == flows.Retire:
		return []string{noRepair}
	}
	return []string{sentence(d.Repair)}
}

func (d Data) remedyLines() []string {
	if _, could := d.count(); could == 0 {
		return []string{none}
	}
	by := fmt.Sprintf(remedyBy, d.By.Words())
	switch {
	case d.held():
		by = remedyOut
	case d.By.Before(d.Next):
		by = fmt.Sprintf(remedyWorn, d.By.Words())
	}
	return []string{by, fmt.Sprintf(remedyIs, sentence(d.Remedy))}
}

func (d Data) nextLines() []string {
	switch {
	case d.Verdict == flows.Retire:
		return []string{nextNever}
	case d.held():
		return []string{nextNone}
	case d.NextWhy != "":
		return []string{d.NextWhy}
	}
	return []string{fmt.Sprintf(nextIs, d.Next.Words())}
}

func (d Data) authorLines() []string {
	a := d.Author
	of := authorOwn
	if !a.SelfEmployed {
		of = fmt.Sprintf(authorOf, a.Employer.Name, a.Employer.Address)
	}
	lines := []string{fmt.Sprintf(authorIs, a.Name, a.Address), fmt.Sprintf(qualifiedAs, strings.TrimRight(a.Qualifications, ".")), of}
	if d.Warned != "" {
		lines = append(lines, strings.Split(d.Warned, "\n")...)
	}
	return lines
}

func (d Data) dangerLines() []string {
	switch d.Danger {
	case "yes":
		return []string{dangerYes}
	case "no":
		return []string{dangerNo}
	}
	return []string{dangerNone}
}

func (d Data) howLines() []string {
	lines := []string{fmt.Sprintf(askedBy, d.Script)}
	for _, l := range []struct {
		line string
		of   []string
	}{{judgedBy, d.Documents}, {alsoBy, d.Others}, {notDone, d.NotDone}} {
		if len(l.of) > 0 {
			lines = append(lines, fmt.Sprintf(l.line, strings.Join(l.of, "; ")))
		}
	}
	return lines
}

func (d Data) wearLines() []string {
	var lines []string
	for _, w := range d.Wear {
		lines = append(lines, w.Says...)
	}
	return append(lines, wearPlan)
}
