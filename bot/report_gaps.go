package bot

import (
	"slices"
	"strings"

	"becket/bot/report"
)

// gap is what one and the same answer fills in: in which items of the law's list, in what words, and for which kit.
type gap struct {
	fix          string // how it is said; "%[1]s" stands for the marks
	items, words []string
	marks        []string
}

// gaps are in the order in which they were met.
type gaps []gap

// gapsOf are those of one report.
func gapsOf(lacks []report.Missing, mark, signer string) gaps {
	var all gaps
	all.add(lacks, mark, signer)
	return all
}

// add takes up what one report lacks.
func (g *gaps) add(lacks []report.Missing, mark, signer string) {
	for _, m := range lacks {
		words, fix := lackWords(m.What, signer)
		n := slices.IndexFunc(*g, func(one gap) bool { return one.fix == fix })
		if n < 0 {
			*g, n = append(*g, gap{fix: fix}), len(*g)
		}
		one := &(*g)[n]
		one.items, one.words, one.marks = with(one.items, m.Item), with(one.words, words), with(one.marks, mark)
	}
}

// with is a list with one more, unless it is there already.
func with(list []string, one string) []string {
	if slices.Contains(list, one) {
		return list
	}
	return append(list, one)
}

// lines say what is missing, a line for everything that is said in one go.
func (g gaps) lines() string {
	var lines []string
	for _, one := range g {
		fix := strings.ReplaceAll(one.fix, "%[1]s", strings.Join(one.marks, " "))
		lines = append(lines, strings.TrimSpace(format(reportLack, strings.Join(one.items, ", "), sentence(strings.Join(one.words, "; ")), fix)))
	}
	return "  " + strings.Join(lines, "\n  ")
}

// lackWords say what is missing, and how whoever knows says it; empty: the record itself lacks it.
func lackWords(what report.Lack, signer string) (words, fix string) {
	own := strings.ReplaceAll(fixSigner, "%[2]s", signer)
	said := map[report.Lack][2]string{
		report.NoEmployer: {lackEmployer, fixTeam}, report.NoPremises: {lackPremises, fixTeam}, report.NoIdentity: {lackIdentity},
		report.NoLast: {lackLast, fixLast}, report.NoSafeLoad: {lackSafeLoad, fixLoad}, report.NoBasis: {lackBasis},
		report.NoVerdict: {lackVerdict}, report.NoDefects: {lackDefects}, report.NoRepair: {lackRepair},
		report.NoBy: {lackBy}, report.NoRemedy: {lackRemedy},
		report.NoNext: {lackNext}, report.NoTests: {lackTests}, report.NoDay: {lackDay}, report.NoAuthor: {lackAuthor, own},
		report.NoQualifications: {lackQualifications, own}, report.NoAuthors: {lackAuthors, own}, report.NoSignature: {lackSignature, own},
		report.NoDate: {lackDate}, report.NoDanger: {lackDanger},
	}[what]
	return said[0], said[1]
}
