package bot

import (
	"cmp"
	"slices"
	"strings"

	"becket/bot/report"
	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// examination gathers all that a report says of a signed inspection. What nobody has told yet is left empty.
func (t *turn) examination(item store.Item, i *inspection, says store.ReportSays) (report.Data, error) {
	s, o := i.signed, i.signed.Outcome
	end := i.state.Item.Life().Ends()
	d := report.Data{
		Record: s.Number, Thing: t.thing(item), SafeLoad: item.SafeLoad,
		Months: i.state.Item.Months(), Interval: i.started.Interval, Scheme: schemeIn(item),
		Verdict: s.Verdict, Because: s.Reason, Defects: i.defects(), Tests: i.tests(),
		Repair: says.Repair, Remedy: says.Remedy, Danger: says.Danger,
		Day: s.Day, Signed: t.moment(i.Touched), Made: t.day(),
		LifeEnds: end.Date, LifeBound: boundWords(end.Bound),
		Others: i.othersThan(i.signedBy), Script: format(scriptAsked, i.flow.Title, i.flow.Revision), Warned: s.Warned,
		Documents: i.documents(),
	}
	if s.Verdict.Usable() {
		var err error
		if d.Next, d.NextWhy, err = t.nextAfter(store.Item{Item: i.state.Item, Loan: item.Loan}, i); err != nil {
			return d, err
		}
	}
	if missing := append(slices.Clone(o.Missing), o.NotDone...); len(missing) > 0 {
		d.NotDone = []string{stepWords(missing)}
	}
	for _, n := range i.notes {
		d.Notes = append(d.Notes, oneLine(n.Text))
	}
	if err := t.reportHistory(item, i, says.Before, &d); err != nil {
		return d, err
	}
	for _, fill := range []func(store.Item, *inspection, *report.Data) error{t.reportPeople, t.reportRope, t.reportWear, t.reportPhotos} {
		if err := fill(item, i, &d); err != nil {
			return d, err
		}
	}
	return d, nil
}

// oneLine puts what somebody wrote on one line.
func oneLine(text string) string { return strings.Join(strings.Fields(text), " ") }

func (t *turn) thing(item store.Item) report.Thing {
	return report.Thing{
		Mark: item.Mark, Kind: capital(t.bot.title(item.Flow)), Maker: item.Maker, Model: item.Model, Serial: item.Serial, Batch: item.Batch,
		Standard: item.Standard, Made: item.Made, FirstUse: item.FirstUse, Bought: item.Bought, Use: item.Use,
	}
}

// defects are what the rules found, worst first, and a signer's stricter word before them; never nil.
func (i *inspection) defects() []report.Defect {
	found := []report.Defect{}
	if i.signed.Verdict > i.signed.Outcome.Verdict {
		found = append(found, report.Defect{Part: stricterPart, Because: sentence(i.signed.Reason), Verdict: i.signed.Verdict})
	}
	for _, r := range i.signed.Outcome.Rules {
		found = append(found, report.Defect{
			Part: i.partOf(r), Because: format(defectBasis, strings.TrimSpace(r.Because), i.cited(r.Basis)), Place: i.state.Place(r.ID), Verdict: r.Verdict,
		})
	}
	return found
}

// partOf says of a rule which part it speaks of, and what was found there.
func (i *inspection) partOf(r flows.Rule) string {
	id, _, _ := strings.Cut(r.ID, ".")
	part := capital(strings.NewReplacer("_", " ", "-", " ").Replace(id))
	for _, p := range i.state.Past {
		if p.ID == id {
			part = capital(strings.TrimRight(p.Text, "."))
		}
	}
	label := flows.LabelOf(i.flow, i.state, r.ID)
	for _, step := range i.flow.Steps() {
		if w, read := flows.WearOf(i.flow, i.state, step.Name); read && step.Reading.ID == id {
			label = format(partReads, w.Worst, w.Doubt, w.Unit)
		}
	}
	if label == "" {
		return part + "."
	}
	return part + ": " + sentence(label)
}

// tests are the readings, and what was worked in the hands and on rope; never nil.
func (i *inspection) tests() []string {
	made := []string{}
	for _, step := range i.flow.Steps() {
		a, given := i.state.Given(step.Name)
		name := capital(strings.ReplaceAll(step.ID(), "_", " "))
		switch {
		case !given || step.Value != nil:
		case step.Reading != nil && len(a.Readings) > 0:
			var values []string
			for _, n := range a.Readings {
				values = append(values, n.String())
			}
			made = append(made, format(testReading, name, strings.Join(values, ", "), step.Reading.Unit, i.wear(step.Name)))
		case step.Reading != nil, step.Section.OnRope, step.Section.ID == "function":
			made = append(made, format(testAsked, step.Section.Title+", "+strings.ToLower(name), answerWords(step, a)))
		}
	}
	return made
}

// answerWords are an answer to a check in the words in which it was chosen.
func answerWords(step flows.Step, a flows.Answer) string {
	switch {
	case a.Unknown || step.Check == nil:
		return testUntold
	case a.Clear || len(a.Findings) == 0:
		if step.Check.Clear != "" {
			return strings.TrimRight(step.Check.Clear, ".")
		}
		return clearWord
	}
	var found []string
	for _, id := range a.Findings {
		if f, known := step.Check.Finding(id); known {
			found = append(found, strings.TrimRight(f.Label, "."))
		}
	}
	return strings.Join(found, "; ")
}

// documents are what readings were held against and taken with.
func (i *inspection) documents() []string {
	var all []string
	if i.started.SheetRef != "" {
		all = append(all, i.started.SheetRef)
	}
	if n := i.newer; n != nil && n.Ref != "" {
		all = append(all, n.Ref)
	}
	if i.started.Instrument != "" {
		all = append(all, format(toolJudged, i.started.Instrument, i.started.Start.Doubt))
	}
	return all
}

// reportPeople fills in the names and addresses.
func (t *turn) reportPeople(_ store.Item, i *inspection, d *report.Data) error {
	team, err := t.tx.Particulars(t.m.Room, store.OfTeam)
	if err != nil {
		return err
	}
	own, err := t.tx.Particulars(t.m.Room, i.signedBy)
	if err != nil {
		return err
	}
	d.Employer, d.Premises = report.Party{Name: team.Name, Address: team.Address}, team.Premises
	d.Author = report.Author{
		Party: report.Party{Name: own.Name, Address: own.Address}, Qualifications: own.Qualifications,
		SelfEmployed: own.SelfEmployed, Employer: report.Party{Name: own.Employer, Address: own.EmployerAddress},
	}
	d.Authenticate = d.Author.Party
	return nil
}

// reportHistory fills in what came before: the last thorough examination, and what called for this one.
// What the record doesn't know of is asked, but for an item that was new.
func (t *turn) reportHistory(item store.Item, i *inspection, told string, d *report.Data) error {
	rows, err := t.tx.InspectionsOf(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	var last store.Inspection
	for _, row := range rows {
		if row.State == store.SignedOff && row.Seq < i.Seq && row.ID != i.Repeats {
			last = row
		}
	}
	d.Last, d.LastRecord = last.Day, last.Number
	if owners, shown := item.Evidenced(); shown && last.ID == "" {
		d.Last = owners.Day
	}
	fresh := item.Loan == nil && !item.FirstUse.IsZero() && !item.FirstUse.Before(i.signed.Day)
	told = cmp.Or(told, item.Examined)
	d.First = d.Last.IsZero() && (told == neverWord || fresh)
	if d.Last.IsZero() && !d.First && told != "" {
		before, err := due.Parse(told)
		if err != nil {
			return err
		}
		if before.Before(d.Day) { // else it can't be what came before
			d.Last = before
		}
	}
	calls, err := t.tx.Called(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	for _, c := range calls {
		if c.N > last.Seq && c.N < i.Seq {
			d.Exceptional = append(d.Exceptional, strings.TrimRight(c.Why, "."))
		}
	}
	holds, err := t.tx.Holds(t.m.Room, item.Mark)
	if err != nil {
		return err
	}
	for _, h := range holds {
		if h.N > last.Seq && h.N < i.Seq && slices.Contains([]store.Source{store.Arrest, store.Shock, store.Exposure, store.Noticed}, h.Source) {
			d.Exceptional = append(d.Exceptional, strings.TrimRight(h.Why, "."))
		}
	}
	return nil
}

// reportRope says which rope the tests were made on, where the bench of a round says it.
func (t *turn) reportRope(_ store.Item, i *inspection, d *report.Data) error {
	if i.Round == "" {
		return nil
	}
	r, found, err := t.tx.Round(i.Round)
	switch {
	case err != nil || !found || r.Bench.Rope == "":
		return err
	case !slices.ContainsFunc(i.flow.Steps(), func(s flows.Step) bool { return s.Section.OnRope && i.state.Answered(s.Name) }):
	case r.Bench.Second != "":
		d.Tests = append(d.Tests, format(testRope, r.Bench.Rope, r.Bench.Second))
	default:
		d.Tests = append(d.Tests, format(testRopeOnly, r.Bench.Rope))
	}
	return nil
}

// reportWear says how what was measured wore up to this examination. What is foretold may bring nearer by when what is watched
// could become a danger.
func (t *turn) reportWear(item store.Item, i *inspection, d *report.Data) error {
	s, err := t.statusOf(item)
	if err != nil {
		return err
	}
	all, err := t.coursesUntil(s.item, s.sheet, i.Seq)
	d.By = d.Next
	for _, c := range all {
		if len(c.counts().Readings) < 2 {
			continue // its one reading stands among the tests
		}
		w := report.Wear{Says: c.history(), Drawn: c.drawn(item.Mark, d.LifeEnds)}
		if c.limited {
			w.Says = append(w.Says, c.forecastWords()...)
			look, _ := c.forecast().Look()
			d.By = due.Nearer(d.By, look, d.Day)
		}
		d.Wear = append(d.Wear, w)
	}
	return err
}

// schemeIn is the written scheme by which an item is examined; empty: there is none.
func schemeIn(item store.Item) string {
	if sameWord(item.Scheme, schemeNone) {
		return ""
	}
	return item.Scheme
}
