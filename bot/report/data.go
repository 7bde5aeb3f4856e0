// Package report writes the report of a thorough examination, as text and as a PDF, out of one Data. It knows neither the
// record nor the conversation: what is not in Data is not in the report.
package report

import (
	"becket/bot/picture"
	"becket/flows"
	"becket/flows/due"
)

// Data is one report of thorough examination: every item of Schedule 1 to the Lifting Operations and Lifting Equipment
// Regulations 1998 (legislation.gov.uk/uksi/1998/2307/schedule/1; 8(d) to 11 from memory), numbered as there, and what
// EN 365:2004 (from memory) wants kept of protective equipment.
//
// A list that is nil isn't known, and one that is empty is known to have nothing in it: the report says "none" of the second
// and isn't issued with the first.
type Data struct {
	Record string // the number of the signed record

	Employer     Party         // 1: for whom it was examined
	Premises     string        // 2: the address where
	Thing        Thing         // 3
	Last         due.Date      // 4: of the last thorough examination before this; zero with First
	LastRecord   string        // its number; empty: it isn't in this record
	SafeLoad     string        // 5
	First        bool          // 6: nothing was examined thoroughly before
	Months       int           // 7(a): the interval it stands in
	Scheme       string        // 7(a)(iii): the written scheme by which it is examined; empty: none
	Interval     string        // what set that interval
	Exceptional  []string      // 7(a)(iv): the circumstances that it followed; none: it was in its interval
	Verdict      flows.Verdict // 6(b), 7(b)
	Because      string        // the signer's words, where they were stricter than the rules
	Defects      []Defect      // 8(a); nil: not known
	Repair       string        // 8(b): what is needed where something is a danger
	By           due.Date      // 8(c)(i): by when what could become one could; zero: not known, or it is out of use
	Remedy       string        // 8(c)(ii): what it needs
	Next         due.Date      // 8(d): the latest date; zero: not for use
	NextWhy      string        // a sentence, where wear brings that date nearer than the interval; empty: it doesn't
	Tests        []string      // 8(e); nil: not known
	Day          due.Date      // 8(f)
	Author       Author        // 9
	Authenticate Party         // 10: who signed for it
	Signed       string        // when, in words
	Made         due.Date      // 11
	Danger       string        // reg 10(1)(c): "yes" or "no" where something is a danger; else empty

	LifeEnds  due.Date // zero: no end is known
	LifeBound string   // what bounds it
	Others    []string // who else answered
	NotDone   []string // what wasn't looked at
	Documents []string // what was judged by
	Script    string   // which script asked, and its edition
	Notes     []string
	Warned    string // what was said of the signer's independence
	Wear      []Wear // places that were measured, over time
	Photos    []Photo
}

// Wear is how one place wore: in words, and drawn where it was measured more than once.
type Wear struct {
	Says  []string
	Drawn picture.Picture // without lines: there is none
}

// Party is a name with its address.
type Party struct{ Name, Address string }

func (p Party) whole() bool { return p.Name != "" && p.Address != "" }

// Thing is what was examined.
type Thing struct {
	Mark, Kind, Maker, Model, Serial, Batch, Standard string
	Made, FirstUse, Bought                            due.Date // zero: not known
	Use                                               flows.Use
}

// Defect is something found that is a danger, or could become one.
type Defect struct {
	Part    string // what was found, and on which part
	Because string // what that means, and on whose word
	Place   string // where and how much, where it is watched
	Verdict flows.Verdict
}

// isDanger tells a defect that is a danger from one that could become one.
func (d Defect) isDanger() bool { return d.Verdict.Holds() }

// Author made the report.
type Author struct {
	Party
	Qualifications string
	SelfEmployed   bool
	Employer       Party // where not self-employed
}

// Photo is a picture that belongs to the examination.
type Photo struct {
	Of string // what it shows, in words
	// File gives a JPEG of it as it is printed; empty: it can't be shown. Pictures are got several at once.
	File func() ([]byte, error)
}

// held tells whether the thing was taken out of use.
func (d Data) held() bool { return d.Verdict.Holds() }

// count is how many defects are a danger, and how many could become one.
func (d Data) count() (are, could int) {
	for _, f := range d.Defects {
		if f.isDanger() {
			are++
		} else {
			could++
		}
	}
	return are, could
}
