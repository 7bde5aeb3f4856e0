package bot

import (
	"slices"

	"becket/flows/due"
	"becket/store"
)

// act is something that not everybody may do.
type act string

const (
	actReport     act = "report a fault"
	actLook       act = "look things up"
	actInspect    act = "inspect"
	actSign       act = "sign"
	actRelease    act = "release from quarantine"
	actStrike     act = "strike a mistaken retirement"
	actIssue      act = "issue and return kit"
	actTakeIn     act = "take in an item"
	actCorrect    act = "correct the register"
	actSheet      act = "enter a maker's figures"
	actBeforeUse  act = "check kit before use"
	actTell       act = "say what happened to kit"
	actRetire     act = "retire by hand"
	actCounter    act = "countersign a release"
	actInstrument act = "enter an instrument"
	actTelling    act = "set when the team is told what is open"
	actAccount    act = "close the question about an older copy"
	actAgreement  act = "see how far people agree"
	actEvidence   act = "ask for the evidence pack"
	actImport     act = "take in a spreadsheet"
	actRepeats    act = "set how many are inspected twice"
	actStatus     act = "ask how Becket is"
	actPeople     act = "change the list of people"
	actAgree      act = "agree to what somebody says of themselves"
	actSupervise  act = "supervise"
	actMakeReport act = "make a report"
	actDetails    act = "say what reports say of the team"
	actJudge      act = "have the whole store judged again"
)

// role is what somebody is to a team, for one family of devices on one day.
type role string

const (
	stranger  role = "somebody not listed"
	member    role = "member"
	competent role = "competent person"
	keeper    role = "keeper"
)

// permitted is every permission there is: who may do what. What isn't here is refused.
func permitted() map[act][]role {
	return map[act][]role{
		actReport:     {stranger, member, competent, keeper},
		actLook:       {member, competent, keeper},
		actInspect:    {member, competent, keeper},
		actIssue:      {member, competent, keeper},
		actAgree:      {member, competent, keeper},
		actBeforeUse:  {member, competent, keeper},
		actTell:       {member, competent, keeper},
		actRetire:     {competent, keeper},
		actMakeReport: {competent, keeper},
		actDetails:    {keeper},
		actCounter:    {keeper},
		actSign:       {competent},
		actSupervise:  {competent},
		actRelease:    {competent},
		actStrike:     {competent},
		actTakeIn:     {competent, keeper},
		actCorrect:    {competent, keeper},
		actSheet:      {competent, keeper},
		actInstrument: {keeper},
		actPeople:     {keeper},
		actAgreement:  {keeper},
		actEvidence:   {keeper},
		actImport:     {keeper},
		actRepeats:    {keeper},
		actStatus:     {keeper},
		actJudge:      {keeper},
		actTelling:    {keeper},
		actAccount:    {keeper},
	}
}

// roles are what a person is for a family on a day. An empty family asks for any family.
func roles(p store.Person, listed bool, family string, day due.Date) []role {
	if !listed {
		return []role{stranger}
	}
	is := []role{member}
	if p.IsKeeper() {
		is = append(is, keeper)
	}
	for _, c := range p.Competent {
		if (family == "" || c.Flow == family) && p.CompetentFor(c.Flow, day) {
			return append(is, competent)
		}
	}
	return is
}

// may is the only place where a permission is looked up.
func may(p store.Person, listed bool, a act, family string, day due.Date) bool {
	who := permitted()[a]
	return slices.ContainsFunc(roles(p, listed, family, day), func(r role) bool { return slices.Contains(who, r) })
}

// whoMay lists the people of a team who may do something for a family on a day.
func whoMay(people []store.Person, a act, family string, day due.Date) []string {
	var who []string
	for _, p := range people {
		if may(p, true, a, family, day) {
			who = append(who, p.ID)
		}
	}
	return who
}
