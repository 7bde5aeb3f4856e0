package flows

import (
	"fmt"
	"slices"
	"strings"
)

// Draw is a picture of a flow as Mermaid text: a box for each step with what may be found there and its verdict, dotted
// arrows from what opens a step, and what several findings together come to. What no example reaches is marked.
func (f *Flow) Draw(c Coverage) string {
	d := drawing{flow: f, without: c.Without, names: map[string]string{}}
	d.line("%%%% %s, edition %d: examples reach %d of %d rules", f.ID, f.Revision, c.Reached(), len(c.Rules))
	d.line("flowchart TD")
	for i, step := range f.Steps() {
		d.names[step.ID()] = fmt.Sprintf("s%d", i+1)
	}
	for i := range f.Sections {
		d.section(i)
	}
	for i := 1; i < len(f.Sections); i++ {
		d.line("  p%d --> p%d", i, i+1)
	}
	for _, step := range f.Steps() {
		d.openings(step)
	}
	for i, t := range f.Together {
		d.together(i, t)
	}
	for _, v := range []struct {
		verdict Verdict
		fill    string
	}{{Watch, "#fff3c4"}, {Quarantine, "#ffd9b3"}, {Retire, "#ffc9c9"}} {
		d.line("  classDef %s fill:%s,stroke:#333,color:#000", v.verdict, v.fill)
	}
	return d.text.String()
}

type drawing struct {
	flow    *Flow
	without []string
	names   map[string]string // of the boxes, by the step's id
	text    strings.Builder
}

func (d *drawing) line(form string, values ...any) { fmt.Fprintf(&d.text, form+"\n", values...) }

func (d *drawing) section(i int) {
	s := &d.flow.Sections[i]
	title := s.Title
	if s.OnRope {
		title += " (left out once it is held)"
	}
	d.line("  subgraph p%d[%q]", i+1, drawn(title))
	for _, step := range s.steps() {
		words, worst := d.step(step)
		shape := [2]string{"[", "]"}
		if step.Check != nil && step.Check.Critical {
			shape = [2]string{"{{", "}}"}
		}
		class := ""
		if worst > Fit {
			class = ":::" + worst.String()
		}
		d.line("    %s%s\"%s\"%s%s", d.names[step.ID()], shape[0], words, shape[1], class)
	}
	d.line("  end")
}

// step is what stands in a step's box, and the strictest verdict that can come of it.
func (d *drawing) step(step Step) (words string, worst Verdict) {
	lines := []string{"<b>" + drawn(step.ID()) + "</b>"}
	rule := func(id, label string, v Verdict) {
		worst = max(worst, v)
		said := drawn(label) + ": " + v.String()
		if slices.Contains(d.without, id) {
			said += " (no example)"
		}
		lines = append(lines, said)
	}
	switch {
	case step.Check != nil:
		lines = append(lines, drawn(clipped(step.Check.Ask)))
		for _, found := range step.Check.Findings {
			if found.Verdict > Fit {
				rule(step.Check.ID+"."+found.ID, found.Label, found.Verdict)
			} else {
				lines = append(lines, drawn(found.Label)+": noted")
			}
		}
	case step.Reading != nil:
		lines = append(lines, drawn(clipped(step.Reading.Ask)))
		for i, id := range step.Reading.rules() {
			limit := step.Reading.Limits[i]
			rule(id, "at "+limit.At.words(), limit.Verdict)
		}
	default:
		lines = append(lines, drawn(clipped(step.Value.Ask)))
		if step.Value.Match != "" {
			rule(step.Value.ID+".differs", "does not agree", Quarantine)
		}
	}
	return strings.Join(lines, "<br/>"), worst
}

func (d *drawing) openings(step Step) {
	w := step.when()
	for _, id := range w.Found {
		check, finding, _ := strings.Cut(id, ".")
		d.line("  %s -. %q .-> %s", d.names[check], drawn(finding), d.names[step.ID()])
	}
	for i, id := range w.Facts {
		fact, choice, _ := strings.Cut(id, ".")
		d.line("  f%s_%d([%q]) -.-> %s", d.names[step.ID()], i+1, drawn(fact+" is "+choice), d.names[step.ID()])
	}
}

func (d *drawing) together(i int, t Together) {
	said := fmt.Sprintf("<b>%s</b><br/>%d of %d: %s", drawn(t.ID), t.Least, len(t.Of), t.Verdict)
	if slices.Contains(d.without, t.ID) {
		said += " (no example)"
	}
	d.line("  t%d[/\"%s\"/]:::%s", i+1, said, t.Verdict)
	for _, id := range t.Of {
		step, rule, _ := strings.Cut(id, ".")
		d.line("  %s -- %q --> t%d", d.names[step], drawn(rule), i+1)
	}
}

// drawn is a text that can stand in a box: Mermaid takes quotes, angles and hashes for its own.
func drawn(text string) string {
	return strings.NewReplacer(`"`, "#quot;", "<", "#lt;", ">", "#gt;", "#", "#35;", "\\", "/", "\n", " ").Replace(text)
}
