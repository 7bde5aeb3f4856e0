package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
)

// wording is a question as a person reads it: where they are, what to look at, and what an answer looks like.
func wording(q flows.Question, position, of int) string {
	var b strings.Builder
	head := format(positionOf, position, of, strings.ToLower(q.Title))
	switch q.Kind {
	case flows.KindCritical:
		fmt.Fprintf(&b, "%s%s%s", head, aloneBecause, q.Ask)
	case flows.KindChecks:
		b.WriteString(groupHead(head, q))
	default:
		fmt.Fprintf(&b, "%s: %s", head, q.Ask)
	}
	if q.Kind != flows.KindChecks {
		writeOptions(&b, optionsOf(q), 0)
	}
	if q.Section == "feel" {
		b.WriteString("\n" + feelHands)
	}
	b.WriteString("\n" + capital(form_(q)))
	return b.String()
}

// groupHead words a group of checks: the place once, then each check's own sentence above its letters.
func groupHead(head string, q flows.Question) string {
	var b strings.Builder
	b.WriteString(head)
	if q.Part != "" && q.Section != "since" {
		b.WriteString(", " + q.Part)
	}
	asks := q.Asks
	if len(asks) == 1 {
		b.WriteString(": " + asks[0])
	} else {
		b.WriteString(".")
	}
	n := 0
	for i, step := range q.Steps {
		if len(asks) > 1 {
			b.WriteString("\n" + asks[i])
		}
		mine := slices.DeleteFunc(slices.Clone(q.Options), func(o flows.Option) bool { return o.Check != checkOf(step) })
		writeOptions(&b, mine, n)
		n += len(mine)
	}
	return b.String()
}

func writeOptions(b *strings.Builder, options []flows.Option, from int) {
	for n, o := range options {
		fmt.Fprintf(b, "\n  %s  %s", key(from+n), o.Label)
	}
}

// form_ says what an answer to this question looks like.
func form_(q flows.Question) string {
	switch q.Kind {
	case flows.KindChecks:
		if q.Clear != "" {
			return format(formChecksClear, q.Clear)
		}
		return formChecks
	case flows.KindCritical:
		return formCritical
	case flows.KindChoice:
		return formChoice
	case flows.KindReading:
		return format(formReading, times(q.Repeat), q.Unit)
	case flows.KindPhoto:
		return formPhoto
	case flows.KindMatch:
		return formMatch
	}
	switch {
	case q.Unit == "count":
		return formCount
	case q.Unit != "":
		return format(formNumber, q.Unit)
	case flows.IsReason(q.Steps[0]):
		return formReason
	case flows.IsPlace(q.Steps[0]):
		return formNote
	}
	return formRead
}

func times(n int) string {
	if n == 1 {
		return onceWord
	}
	return format(timesWord, n)
}

// askOf describes the same question to a program.
func askOf(i *inspection, q flows.Question, position, of int) *Ask {
	a := &Ask{
		Inspection: i.ID, Item: i.Mark, Flow: i.flow.ID, Section: q.Section, Steps: q.Steps, Kind: q.Kind,
		Unit: string(q.Unit), Repeat: q.Repeat, Required: q.Required, Position: position, Of: of, Expect: q.Expect,
		asking: i.asking(q),
	}
	for n, o := range optionsOf(q) {
		c := Choice{Key: key(n), Check: o.Check, ID: o.ID, Label: o.Label}
		if q.Kind != flows.KindChoice {
			c.Verdict = &o.Verdict
		}
		a.Choices = append(a.Choices, c)
	}
	return a
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// sentence makes a sentence of an error's text.
func sentence(s string) string {
	s = capital(strings.TrimSpace(s))
	if strings.HasSuffix(s, ".") {
		return s
	}
	return s + "."
}
