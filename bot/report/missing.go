package report

import "becket/flows"

// Lack is something without which a report isn't issued.
type Lack string

// What can be lacking.
const (
	NoEmployer       Lack = "employer"
	NoPremises       Lack = "premises"
	NoIdentity       Lack = "identity"
	NoLast           Lack = "last"
	NoSafeLoad       Lack = "safe load"
	NoBasis          Lack = "basis"
	NoVerdict        Lack = "verdict"
	NoDefects        Lack = "defects"
	NoRepair         Lack = "repair"
	NoBy             Lack = "by when"
	NoRemedy         Lack = "remedy"
	NoNext           Lack = "next"
	NoTests          Lack = "tests"
	NoDay            Lack = "day"
	NoAuthor         Lack = "author"
	NoQualifications Lack = "qualifications"
	NoAuthors        Lack = "author's employer"
	NoSignature      Lack = "signature"
	NoDate           Lack = "date"
	NoDanger         Lack = "danger"
)

// Missing is one item that is missing: its number in Schedule 1, and what of it.
type Missing struct {
	Item string
	What Lack
}

// Missing lists what keeps a report from being issued, in the order of Schedule 1; what only its maker can say comes with it.
func (d Data) Missing() []Missing {
	var all []Missing
	lacks := func(is bool, item string, what Lack) {
		if is {
			all = append(all, Missing{item, what})
		}
	}
	are, could := d.count()
	lacks(!d.Employer.whole(), "1", NoEmployer)
	lacks(d.Premises == "", "2", NoPremises)
	lacks(d.Thing.Mark == "" || d.Thing.Kind == "", "3", NoIdentity)
	lacks(!d.First && d.Last.IsZero(), "4 or 6(a)", NoLast)
	lacks(d.SafeLoad == "", "5", NoSafeLoad)
	lacks(!d.First && d.Months <= 0 && len(d.Exceptional) == 0, "7(a)", NoBasis)
	lacks(d.Verdict == flows.Incomplete, d.safeItem(), NoVerdict)
	lacks(d.Defects == nil || d.Verdict > flows.Fit && len(d.Defects) == 0, "8(a)", NoDefects)
	lacks(are > 0 && d.Verdict != flows.Retire && d.Repair == "", "8(b)", NoRepair)
	lacks(could > 0 && !d.held() && d.By.IsZero(), "8(c)(i)", NoBy)
	lacks(could > 0 && d.Remedy == "", "8(c)(ii)", NoRemedy)
	lacks(d.Verdict.Usable() && d.Next.IsZero(), "8(d)", NoNext)
	lacks(d.Tests == nil, "8(e)", NoTests)
	lacks(d.Day.IsZero(), "8(f)", NoDay)
	lacks(!d.Author.whole(), "9", NoAuthor)
	lacks(d.Author.Qualifications == "", "9", NoQualifications)
	lacks(!d.Author.SelfEmployed && !d.Author.Employer.whole(), "9", NoAuthors)
	lacks(!d.Authenticate.whole() || d.Signed == "", "10", NoSignature)
	lacks(d.Made.IsZero(), "11", NoDate)
	lacks(are > 0 && d.Danger == "", "regulation 10", NoDanger)
	return all
}

// safeItem is where the Schedule asks whether it would be safe to operate.
func (d Data) safeItem() string {
	if d.First {
		return "6(b)"
	}
	return "7(b)"
}
