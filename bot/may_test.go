package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"becket/flows/due"
	"becket/store"
)

// whoMayWhat is every act, and who may do it: stranger, member, competent for this family, keeper. It is written out by hand from
// the design (default closed; anybody may quarantine; release is for a competent person) and common practice.
func whoMayWhat() map[act][4]bool {
	return map[act][4]bool{
		actReport:     {true, true, true, true},
		actLook:       {false, true, true, true},
		actInspect:    {false, true, true, true},
		actIssue:      {false, true, true, true},
		actSign:       {false, false, true, false},
		actRelease:    {false, false, true, false},
		actStrike:     {false, false, true, false},
		actBeforeUse:  {false, true, true, true},
		actTell:       {false, true, true, true},
		actRetire:     {false, false, true, true},
		actCounter:    {false, false, false, true},
		actTakeIn:     {false, false, true, true},
		actCorrect:    {false, false, true, true},
		actSheet:      {false, false, true, true},
		actInstrument: {false, false, false, true},
		actTelling:    {false, false, false, true},
		actRepeats:    {false, false, false, true},
		actAgreement:  {false, false, false, true},
		actEvidence:   {false, false, false, true},
		actImport:     {false, false, false, true},
		actAccount:    {false, false, false, true},
		actPeople:     {false, false, false, true},
		actStatus:     {false, false, false, true},
		actAgree:      {false, true, true, true},
		actSupervise:  {false, false, true, false},
		actMakeReport: {false, false, true, true},
		actDetails:    {false, false, false, true},
		actJudge:      {false, false, false, true},
	}
}

func TestMayCellByCell(t *testing.T) {
	t.Parallel()
	const family = "cam-handle-descender"
	day, gone := due.Date{Year: 2026, Month: 11, Day: 14}, due.Date{Year: 2026, Month: 11, Day: 13}
	people := []struct {
		name   string
		person store.Person
		listed bool
		column int
	}{
		{"stranger", store.Person{}, false, 0},
		{"stranger with roles", store.Person{Roles: []string{store.Keeper}, Competent: []store.Competence{{Flow: family, Until: day}}}, false, 0},
		{"member", store.Person{}, true, 1},
		{"member, said", store.Person{Roles: []string{store.Member}}, true, 1},
		{"role unheard of", store.Person{Roles: []string{"admin"}}, true, 1},
		{"competence that ended yesterday", store.Person{Competent: []store.Competence{{Flow: family, Until: gone}}}, true, 1},
		{"competent for another family", store.Person{Competent: []store.Competence{{Flow: "another", Until: day}}}, true, 1},
		{"competent to the end of today", store.Person{Competent: []store.Competence{{Flow: family, Until: day}}}, true, 2},
		{"keeper", store.Person{Roles: []string{store.Keeper}}, true, 3},
	}
	for _, p := range people {
		for a, row := range whoMayWhat() {
			if got := may(p.person, p.listed, a, family, day); got != row[p.column] {
				t.Errorf("%s may %s: %v", p.name, a, got)
			}
		}
		if may(p.person, p.listed, "something new", family, day) {
			t.Errorf("%s may do what nobody has thought of", p.name)
		}
	}
	both := store.Person{Roles: []string{store.Keeper}, Competent: []store.Competence{{Flow: family, Until: day}}}
	for a, row := range whoMayWhat() {
		if got := may(both, true, a, family, day); got != (row[2] || row[3]) {
			t.Errorf("keeper and competent may %s: %v", a, got)
		}
	}
	acts := map[act]bool{}
	for a := range permitted() {
		if acts[a] = true; whoMayWhat()[a] == [4]bool{} {
			t.Errorf("somebody may %s, of which this test knows nothing", a)
		}
	}
	for _, c := range commands() {
		if !acts[c.act] {
			t.Errorf("%q is %s, which nobody may", c.words[0], c.act)
		}
	}
}

// TestMayRefusalsSayWhoCould says each thing as everybody, and looks whether it happened and who was named.
func TestMayRefusalsSayWhoCould(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "quarantine D-41 rope creeps") // something to release
	c.inspect("@ben", "D-41", nil)
	c.inspect("@ben", "D-60", finds{"look.cam": "crack"}) // something to strike
	column := map[string]int{"@zed": 0, "@dee": 1, "@eve": 1, "@ben": 2, "@cal": 3}
	able := map[act][]string{ // who is listed and could, for this family
		actRelease: {"@ana", "@ben", "@fay"}, actStrike: {"@ana", "@ben", "@fay"}, actCounter: {"@ana", "@cal"},
		actTakeIn: {"@ana", "@ben", "@fay", "@cal"}, actSheet: {"@ana", "@ben", "@fay", "@cal"}, actInstrument: {"@ana", "@cal"}, actTelling: {"@ana", "@cal"}, actRepeats: {"@ana", "@cal"}, actAgreement: {"@ana", "@cal"}, actEvidence: {"@ana", "@cal"}, actAccount: {"@ana", "@cal"}, actStatus: {"@ana", "@cal"},
	}
	for _, line := range []struct {
		text string
		act  act
	}{
		{"quarantine D-14 rope creeps", actReport},
		{"fault D-14 rope creeps", actReport},
		{"quarantine blue descender, east stack, no mark", actReport},
		{"incident fall Gull Gully today, D-14", actReport},
		{"help", actReport},
		{"check D-14", actBeforeUse},
		{"before use D-14", actBeforeUse},
		{"words", actLook},
		{"language", actLook},
		{"conditions dusty, D-14", actTell},
		{"notice Skerry Works Heron: stop use", actTell},
		{"in quarantine", actLook},
		{"countersign D-41", actCounter},
		{"inspect D-14", actInspect},
		{"can I use D-14", actLook},
		{"history D-14", actLook},
		{"why D-41", actLook},
		{"due", actLook},
		{"find D-14", actLook},
		{"papers D-14", actLook},
		{"life D-14", actLook},
		{"life D-14 printed March 2030", actTakeIn},
		{"borrow V-01", actTakeIn},
		{"sent back D-14", actIssue},
		{"swap D-14 for D-41 in S-1", actTakeIn},
		{"set S-1 of D-14, D-41", actTakeIn},
		{"seal B-1 number 4471 with D-14", actTakeIn},
		{"open B-1 4471", actIssue},
		{"who has D-14", actLook},
		{"issue D-14 to @dee", actIssue},
		{"return D-14", actIssue},
		{"not seen D-14", actIssue},
		{"found D-14 in the hut", actIssue},
		{"release D-41 cleaned and tried on two ropes", actRelease},
		{"strike D-60 the record was meant for D-41", actStrike},
		{"goods only D-14 worn, kept for hauling", actTakeIn},
		{"take in D-99", actTakeIn},
		{"cut D-14 at 34 m", actTakeIn},
		{"sheet", actSheet},
		{"confirm sheet Skerry Works, Dunlin", actSheet},
		{"instrument", actInstrument},
		{"digest Monday 07:30 Europe/London", actTelling},
		{"digest off", actTelling},
		{"repeat 1 in 12", actRepeats},
		{"agreement", actAgreement},
		{"evidence pack", actEvidence},
		{"wear D-14", actLook},
		{"cause D-14 grit left", actTell},
		{"causes", actLook},
		{"price D-14 180", actTakeIn},
		{"budget", actLook},
		{"quiet 22:00 to 07:00", actTelling},
		{"handover", actLook},
		{"status", actStatus},
		{"nothing more since 14 November 2026", actAccount},
	} {
		for who, n := range column {
			t.Run(fmt.Sprint(who, " ", line.text), func(t *testing.T) {
				h := c.try(Message{From: who, Text: line.text})
				allowed := whoMayWhat()[line.act][n]
				turnedAway := strings.Contains(h.text(), "may not") || strings.Contains(h.text(), "isn't in this team's list, so you can only")
				if allowed == turnedAway {
					t.Fatalf("may: %v; said was %q", allowed, h.text())
				}
				if allowed {
					return
				}
				if !h.refused() || len(h) != 1 {
					t.Errorf("turned away, something happened all the same: %q", h.text())
				}
				named := able[line.act]
				if n == 0 {
					named = []string{"@ana", "@cal"} // who can list a stranger: the keepers
				}
				for _, p := range named {
					if !strings.Contains(h.text(), p) {
						t.Errorf("%s could, and isn't named: %q", p, h.text())
					}
				}
				for _, p := range []string{"@ana", "@ben", "@cal", "@dee", "@eve", "@fay"} {
					if p != who && !slices.Contains(named, p) && strings.Contains(h.text(), p) {
						t.Errorf("%s couldn't either, and is named: %q", p, h.text())
					}
				}
			})
		}
	}
}

func TestMaySignOnBothDays(t *testing.T) {
	t.Parallel()
	signs := func(until string) (heard, *conversation, string) {
		c := talkIn(t, strings.Replace(yard, `- {id: "@ben", competent: [{flow: cam-handle-descender, until: 2099-12-31}]}`,
			`- {id: "@ben", competent: [{flow: cam-handle-descender, until: `+until+`}]}`, 1), 1)
		thread := c.begin("@ben", "D-14")
		c.until("@ben", thread, "feel.cam_edges", nil)
		c.now = c.now.Add(11 * 3600e9)
		c.until("@ben", thread, "function.action", nil)
		c.now = c.now.Add(11 * 3600e9) // the next day, and no pause long enough to look again
		c.until("@ben", thread, "", nil)
		return c.say("@ben", thread, "sign "+c.open(thread).outcome().Verdict.String()), c, thread
	}
	if h, _, _ := signs("2026-11-15"); h.refused() {
		t.Errorf("competent on both days: %s", h.text())
	}
	h, c, thread := signs("2026-11-14")
	c.wantRefused(h, "You aren't listed as competent")
	for _, who := range []string{"@ana", "@fay"} {
		c.wantSaid(h, who)
	}
	if strings.Contains(h.text(), "@ben") || strings.Contains(h.text(), "@eve") {
		t.Errorf("named is who can't either: %s", h.text())
	}
	// What was felt and worked is done again by who signs (safety rule 15).
	c.say("@ana", thread, "take over "+"D-14")
	i := c.open(thread)
	for _, step := range []string{"feel.cam_edges", "function.action", "on-rope.hold"} {
		if i.state.Answered(step) {
			t.Errorf("%s was felt by another", step)
		}
	}
	c.until("@ana", thread, "", nil)
	c.wantSaid(c.say("@ana", thread, "sign "+c.open(thread).outcome().Verdict.String()), "Signed, @ana")
	c.wantSaid(c.say("@ana", "", "history D-14"), "Examined in part by @ben")
}

func TestMayUnknownRoomsGetNothing(t *testing.T) {
	t.Parallel()
	c := talk(t)
	for _, text := range []string{"help", "due", "inspect D-14", "quarantine D-14 rope creeps", "clear"} {
		if _, h := c.send(Message{Room: "!nowhere", From: "@ana", Text: text}); len(h) > 0 {
			t.Errorf("an unknown room was told %q", h.text())
		}
	}
	if s := c.status("D-14"); len(s.holds) > 0 {
		t.Error("an unknown room has changed something")
	}
	h := c.say("@zed", "", "quarantine D-14 rope creeps")
	c.wantSaid(h, "provisional")
	told := map[string]bool{}
	for _, r := range h {
		told[r.To] = true
	}
	for _, keeper := range []string{"@ana", "@cal", "@fay"} { // the keepers, and who holds it
		if !told[keeper] {
			t.Errorf("%s wasn't called", keeper)
		}
	}
	c.wantHeld("D-14")
}
