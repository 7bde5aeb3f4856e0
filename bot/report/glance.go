package report

import (
	"fmt"
	"strings"

	"becket/flows"
)

// glance says in a few lines what whoever takes up a report looks for first. Each of them stands in its place in the report again.
func (d Data) glance() []string {
	t := d.Thing
	return []string{
		fmt.Sprintf(glanceVerdict, strings.ToUpper(d.Verdict.String()), d.glanceSafe()),
		strings.Join([]string{t.Kind, known(strings.TrimSpace(t.Maker + " " + t.Model)), fmt.Sprintf(glanceSerial, known(t.Serial))}, ", ") + ".",
		d.glanceDanger(),
		d.glanceNext(),
		fmt.Sprintf(glanceSigned, d.Authenticate.Name, d.Signed),
	}
}

func (d Data) glanceSafe() string {
	if d.Verdict.Usable() {
		return fmt.Sprintf(glanceSafe, d.Day.Words())
	}
	return fmt.Sprintf(glanceUnsafe, d.Day.Words())
}

func (d Data) glanceDanger() string {
	are, could := d.count()
	said := fmt.Sprintf(glanceCount, are, could)
	if are+could == 0 {
		said = glanceNone
	}
	switch d.Danger {
	case "yes":
		said += " " + glanceRisk
	case "no":
		said += " " + glanceNoRisk
	}
	return said
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

// glance frames those lines, the first of them in bold. What is longer than two lines is cut: it stands in the report in full.
func (p *page) glance(says []string) {
	const inside, most = 2.5, 2
	p.Ln(line / 2)
	top := p.GetY()
	p.SetY(top + inside)
	for n, says := range says {
		p.SetFont(family, "", plain)
		if n == 0 {
			p.SetFont(family, bold, headed)
		}
		lines := p.lines(says, p.inner()-2*inside-line) // a line's breadth is left for what says that it is cut
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
