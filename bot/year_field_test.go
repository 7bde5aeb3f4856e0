package bot

import (
	"fmt"
	"slices"
	"strings"
)

// about are those of some marks that are there and not at the end of their life, each once.
func (y *year) about(marks []string) []string {
	var there []string
	for _, mark := range marks {
		if c := y.cards[mark]; !c.retired && !c.unseen && !slices.Contains(there, mark) {
			there = append(there, mark)
		}
	}
	return there
}

// incident is a stopped fall, which holds all that was in it, or a drop, after which it is looked at.
func (y *year) incident(marks []string, fall bool) {
	marks = y.about(marks)
	if len(marks) == 0 {
		return
	}
	y.compare(marks...)
	what := "dropped on the slip"
	if fall {
		what = "fall Gull Gully"
	}
	id, h := y.send(Message{From: "@eli", Text: "incident " + what + " today, @dee, " + strings.Join(marks, " ")})
	if h.refused() {
		y.Fatalf("the incident isn't taken: %s", h.text())
	}
	if h = y.say("@eli", "", "that's all"); h.refused() {
		y.Fatalf("the incident %s has no end: %s", id, h.text())
	}
	y.note("@eli", "incident "+what+": "+strings.Join(marks, " "))
	for _, mark := range marks {
		if fall {
			y.cards[mark].holds++
			y.on(y.dayOfYear()+y.anyDay(2, 9), func() { y.letGoWithoutPaper(mark) })
		} else {
			y.cards[mark].lookAgain = "it was dropped"
			y.on(y.dayOfYear()+y.anyDay(1, 9), func() { y.inspectAny(mark) })
		}
	}
	y.forward(1e9)
	y.compare(marks...)
}

// letGoWithoutPaper tries what Becket has to refuse: a release after a stopped fall without the maker's document.
func (y *year) letGoWithoutPaper(mark string) {
	c := y.cards[mark]
	if c.retired || c.unseen || c.holder == "@ana" {
		return
	}
	var verdict string
	y.around(mark, func() { verdict = y.inspectAs("@ana", mark, y.wears(mark)) })
	if verdict != "fit" && verdict != "watch" {
		return // its life was over, or it wore: no paper helps it
	}
	for hold := 1; hold <= c.holds; hold++ {
		text := fmt.Sprintf("release %s hold %d washed and oiled; closes every time", mark, hold)
		if h := y.say("@ana", "", text); strings.Contains(h.text(), "maker's document") {
			y.note("@ana", text+" - refused")
			y.compare(mark)
			return
		} else if !h.refused() { // another hold of the same item
			c.holds--
			hold--
		}
	}
	y.Errorf("%s stopped a fall, and no release of it asks for the maker's document", mark)
}

// dusty is a day in the dust: what was used is looked at before it is used again.
func (y *year) dusty(marks []string) {
	marks = y.about(marks)
	if len(marks) == 0 {
		return
	}
	y.compare(marks...)
	y.mustSay("@fay", "conditions dusty, "+strings.Join(marks, " "))
	for _, mark := range marks {
		y.cards[mark].lookAgain = "it was in the dust"
		y.on(y.dayOfYear()+y.anyDay(1, 5), func() { y.inspectAny(mark) })
	}
	y.forward(1e9)
	y.compare(marks...)
}

// makersNotice holds every connector whose serial lies in a range.
func (y *year) makersNotice() {
	from, to := 10070, 10140
	y.compare(y.marks...)
	h := y.mustSay("@ana", fmt.Sprintf("notice Northlight Kittiwake, serials N-%d to N-%d: gate may stick. Stop use.", from, to))
	if !strings.Contains(h.text(), "(yes / no)") {
		y.Fatalf("the notice asks nothing: %s", h.text())
	}
	y.mustSay("@ana", "yes")
	for i, mark := range y.marks {
		if serial := 7*i + 10000; mark[0] == 'K' && serial >= from && serial <= to && !y.cards[mark].retired {
			y.cards[mark].holds++
		}
	}
	y.forward(1e9)
	y.compare(y.marks...)
}
