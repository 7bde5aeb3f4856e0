package report

import (
	"fmt"
	"strconv"
	"strings"

	"becket/flows"
)

const (
	perPage = 40  // reports on a page of the list
	row     = 5.8 // mm
	hair    = 0.2 // mm
)

// column is one of the list's: where it begins, in mm from the margin, and what stands in it.
type column struct {
	at   float64
	head string
	says func(d Data, begins int) string
}

func columns() []column {
	return []column{
		{0, listMark, func(d Data, _ int) string { return d.Thing.Mark }},
		{56, listVerdict, func(d Data, _ int) string { return strings.ToUpper(d.Verdict.String()) }},
		{88, listNext, func(d Data, _ int) string { return d.listNext() }},
		{128, listRecord, func(d Data, _ int) string { return d.Record }},
		{160, listPage, func(_ Data, begins int) string { return strconv.Itoa(begins) }},
	}
}

func (d Data) listNext() string {
	switch {
	case d.Verdict == flows.Retire:
		return listNever
	case d.held():
		return listOut
	}
	return d.Next.Words()
}

// listPages is how many pages a list of so many reports takes; one report needs none.
func listPages(reports int) int {
	if reports < 2 {
		return 0
	}
	return (reports + perPage - 1) / perPage
}

func listTitle(reports int) string { return fmt.Sprintf(listOf, reports) }

// list says on the pages that were left free for it which reports there are, and leads to each. What is out of use is in bold.
func (p *page) list(all []Data, begins []int) {
	if listPages(len(all)) == 0 {
		return
	}
	for n, d := range all {
		if n%perPage == 0 {
			p.back(n/perPage + 1)
			p.SetLineWidth(hair)
			p.SetXY(margin, margin)
			p.write(0, bold, big, listTitle(len(all)))
			p.Ln(line)
			p.listRow(bold, 0, func(c column) string { return c.head })
		}
		style := ""
		if d.held() {
			style = bold
		}
		p.listRow(style, begins[n], func(c column) string { return c.says(d, begins[n]) })
	}
}

// listRow writes one row; a press on it leads to a page, where there is one.
func (p *page) listRow(style string, to int, says func(column) string) {
	link := 0
	if to > 0 {
		link = p.AddLink()
		p.SetLink(link, 0, to)
	}
	p.SetFont(family, style, plain)
	all, y := columns(), p.GetY()
	for n, c := range all {
		end := p.inner()
		if n+1 < len(all) {
			end = all[n+1].at
		}
		p.SetXY(margin+c.at, y)
		p.CellFormat(end-c.at, row, p.clipped(says(c), end-c.at-line/2), "B", 0, "L", false, link, "")
	}
	p.SetXY(margin, y+row)
}
