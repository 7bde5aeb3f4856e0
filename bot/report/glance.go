package report

import (
	"fmt"
	"strings"

	"becket/flows"
)

// remark is a line of what is said at a glance.
type remark struct {
	says string
	bold bool
}

// glance says in a few lines what whoever takes up a report looks for first. Each of them stands in its place in the report again.
func (d Data) glance() []remark {
	t := d.Thing
	item := strings.Join([]string{t.Kind, known(strings.TrimSpace(t.Maker + " " + t.Model)), fmt.Sprintf(glanceSerial, known(t.Serial))}, ", ") + "."
	all := []remark{
		{fmt.Sprintf(glanceVerdict, strings.ToUpper(d.Verdict.String()), d.glanceSafe()), true},
		{item, false},
		{d.glanceDefects(), false},
	}
	switch d.Danger {
	case "yes":
		all = append(all, remark{glanceRisk, true})
	case "no":
		all = append(all, remark{glanceNoRisk, false})
	}
	return append(all, remark{d.glanceNext(), false}, remark{fmt.Sprintf(glanceSigned, d.Authenticate.Name, d.Signed), false})
}

func (d Data) glanceSafe() string {
	if d.Verdict.Usable() {
		return fmt.Sprintf(glanceSafe, d.Day.Words())
	}
	return fmt.Sprintf(glanceUnsafe, d.Day.Words())
}

func (d Data) glanceDefects() string {
	are, could := d.count()
	if are+could == 0 {
		return glanceNone
	}
	return fmt.Sprintf(glanceCount, are, could)
}

func (d Data) glanceNext() string {
	switch {
	case d.Verdict == flows.Retire:
		return glanceNever
	case d.held():
		return glanceNoNext
	}
	return fmt.Sprintf(glanceNext, d.Next.Words())
}

// glance frames those lines. What is longer than two lines is cut: it stands in the report in full.
func (p *page) glance(all []remark) {
	const inside, most = 2.5, 2
	p.Ln(line / 2)
	top := p.GetY()
	p.SetY(top + inside)
	for _, r := range all {
		p.SetFont(family, "", plain)
		if r.bold {
			p.SetFont(family, bold, headed)
		}
		lines := p.lines(r.says, p.inner()-2*inside-line) // a line's breadth is left for what says that it is cut
		if len(lines) > most {
			lines = append(lines[:most-1:most-1], lines[most-1]+" …")
		}
		for _, l := range lines {
			p.SetX(margin + inside)
			p.CellFormat(0, line, l, "", 1, "L", false, 0, "")
		}
	}
	p.SetLineWidth(frame)
	p.Rect(margin, top, p.inner(), p.GetY()+inside-top, "D")
	p.SetY(p.GetY() + inside)
}
