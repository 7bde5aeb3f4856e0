package bot

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"becket/store"
)

// reportable is the yard with all told that reports need of people and places.
func reportable(t *testing.T) *conversation {
	t.Helper()
	c := talk(t)
	c.tellReports("@ana", "@ben")
	c.say("@ana", "", "swl D-14 D-41: 215 kg")
	return c
}

// tellReports tells the details of the team, by its keeper, and those of people.
func (c *conversation) tellReports(people ...string) {
	c.Helper()
	lines := []string{"report details", "The Gannet Trust (invented)", "1 Stack Lane", "same", "yes"}
	for _, p := range people {
		for _, line := range lines {
			c.say(p, "", line)
		}
		lines = nil
		for _, line := range []string{"my details", "Robin " + p, "2 Lighthouse Row", "inspector, certificate 1234", "self-employed", "yes"} {
			c.say(p, "", line)
		}
	}
}

// reports asks for a report and answers what it asks; what isn't answered otherwise is "never" or words.
func (c *conversation) reports(from, mark, danger string) heard {
	c.Helper()
	h := c.say(from, "", "report "+mark)
	for range 5 {
		last := h[len(h)-1]
		switch {
		case last.Ask == nil:
			return h
		case strings.Contains(last.Text, "existing or imminent"):
			h = c.say(from, "", danger)
		case strings.Contains(last.Text, "by its papers"):
			h = c.say(from, "", "never")
		default:
			h = c.say(from, "", "the maker is asked")
		}
	}
	c.Fatalf("the report asks without end: %s", h.text())
	return nil
}

// document is the file of a reply.
func (c *conversation) document(h heard) (data []byte) {
	c.Helper()
	files := h[len(h)-1].Files
	if len(files) != 1 || files[0].Type != "application/pdf" {
		c.Fatalf("there is no document: %v, %s", files, h.text())
	}
	c.view(func(tx *store.Tx) (err error) {
		data, err = tx.File(files[0].Hash)
		return err
	})
	if !bytes.HasPrefix(data, []byte("%PDF-")) || int64(len(data)) != files[0].Size {
		c.Fatalf("the document has %d bytes, not %d, or is no PDF", len(data), files[0].Size)
	}
	return data
}

func TestReportAsksForDangerWhereSomethingIsHeld(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.inspect("@ben", "D-41", finds{"look.cam": "sharp"})
	c.wantRefused(c.say("@cal", "", "report D-41"), "That takes somebody who may sign: @ana, @ben or @fay.")
	h := c.reports("@ben", "D-41", "yes")
	c.wantSaid(h, "Yes, there is one, existing or imminent.")
	c.wantSaid(h, "send a copy to the enforcing authority")
	c.wantSaid(h, "A danger: Cam: A sharp edge or a notch.")
	c.wantSaid(h, "None would do: it is retired")
	first := c.document(h)
	again := c.say("@dee", "", "report D-41")
	c.wantSaid(again, "word for word")
	if !bytes.Equal(first, c.document(again)) {
		t.Error("the same report is another document")
	}
}

func TestReportOfAQuarantineSaysTheRepair(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.say("@ana", "", "quarantine D-14 rope creeps")
	c.inspect("@ben", "D-14", finds{"since." + c.question("D-14"): "same"})
	h := c.reports("@ben", "D-14", "no")
	c.wantSaid(h, "8(b) Repair, renewal or alteration needed for what is a danger\n  The maker is asked.")
	c.wantSaid(h, "None is set: it is not for use.")
	c.wantSaid(h, "No, in the judgement of who made this report")
}

func TestReportTellsTheFirstFromTheNextAndTheExceptional(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.inspect("@ana", "D-41", nil)
	h := c.reports("@ana", "D-41", "no")
	c.wantSaid(h, "(a) Yes, this is its first thorough examination")
	c.wantSaid(h, "8(a) Parts with a defect that is or could become a danger to persons\n  None.")
	c.forward(90 * 24 * time.Hour)
	c.inspect("@ana", "D-41", nil)
	h = c.reports("@ana", "D-41", "no")
	c.wantSaid(h, "4 Last thorough examination before this\n  14 November 2026, record 2026-0001.")
	c.wantSaid(h, "(a)(i) Within an interval of 6 months")
	c.forward(24 * time.Hour)
	c.say("@ana", "", "conditions dusty, D-41")
	for range 3 {
		c.say("@ana", "", "yes")
	}
	if s := c.status("D-41"); len(s.called) == 0 {
		t.Fatal("the dust called nothing in")
	}
	c.inspect("@ana", "D-41", nil)
	c.wantSaid(c.reports("@ana", "D-41", "no"), "(a)(iv) After exceptional circumstances")
}

func TestReportIsKeptBackWhileReadingsAreDue(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.inspect("@ben", "D-41", finds{"look.cam": "groove", "measure.cam_groove": "0.381 0.382 0.383"})
	c.reports("@ben", "D-41", "no")
	c.begin("@ana", "D-41")
	if h := c.say("@dee", "", "report D-41"); strings.Contains(h.text(), "0.38") || len(h[0].Files) > 0 {
		t.Errorf("the last reading is told while the next is due: %s", h.text())
	}
}

func TestReportSurvivesWhoSignedIt(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.inspect("@ben", "D-41", nil)
	c.say("@ana", "", "remove @ben")
	c.wantSaid(c.reports("@ana", "D-41", "no"), "Robin @ben, 2 Lighthouse Row.")
}

func TestReportOfNothing(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.wantRefused(c.say("@ana", "", "report D-60"), "no thorough examination of it is signed yet")
	c.wantRefused(c.say("@ana", "", "report D-99"), "There is no D-99 here")
	c.wantRefused(c.say("@zed", "", "report D-41"), "you can only report a fault")
	c.inspect("@ana", "D-60", nil)
	h := c.say("@ana", "", "report D-60")
	c.wantRefused(h, "No report for D-60 yet")
	c.wantSaid(h, "5: Its safe working load. Type, like: swl D-60 200 kg.")
}

func TestReportsOfARound(t *testing.T) {
	t.Parallel()
	c := talkIn(t, tin(3), 7)
	thread := c.roundOf("@ben", "connectors")
	for range 3 {
		c.answerItem("@ben", thread, nil)
	}
	c.say("@ben", thread, "sign round fit")
	h := c.say("@ana", "", "report round")
	c.wantRefused(h, "No reports yet.")
	for _, want := range []string{"The keeper types: report details.", "Type, like: swl K-01 K-02 K-03 200 kg.", "@ben types: my details.", "Type, like: last examined K-01 K-02 K-03 3 June 2024."} {
		c.wantSaid(h, want)
	}
	c.tellReports("@ana", "@ben")
	c.say("@ana", "", "swl K-01 K-02, K-03: 22 kN")
	c.say("@ana", "", "last examined K-01 K-02 K-03: 3 June 2026")
	h = c.say("@ana", "", "report round")
	c.wantSaid(h, "3 reports in one document")
	if all := c.document(h); bytes.Count(all, []byte("/Type /Page\n")) < 3 {
		t.Error("the document has fewer pages than reports")
	}
	if n := strings.Count(h.text(), ": FIT, examined on 14 November 2026, the next by 14 May 2027"); n != 3 {
		t.Errorf("%d of 3 are listed: %s", n, h.text())
	}
	one := c.say("@dee", "", "report K-02")
	c.wantSaid(one, "word for word")
	c.wantSaid(one, "3 June 2026, by evidence from outside this record.")
	if bytes.Equal(c.document(h), c.document(one)) {
		t.Error("one report is the document of all")
	}
	c.wantSaid(c.say("@dee", "", "report K-01 K-03"), "2 reports in one document")
}

func TestReportsAreNoneWhereOneHasToBeJudged(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	c.say("@ana", "", "last examined D-14 D-41: never")
	c.inspect("@ben", "D-14", nil)
	c.inspect("@ben", "D-41", finds{"look.cam": "sharp"})
	c.wantRefused(c.say("@ana", "", "report D-14 D-41"), "Make each by itself first, like: report D-41.")
	c.reports("@ben", "D-41", "no")
	h := c.say("@ana", "", "report D-14 D-41 D-60")
	c.wantSaid(h, "2 reports in one document")
	c.wantSaid(h, "There is nothing to report of D-60")
	c.wantSaid(h, "D-41, record 2026-0002: RETIRE, examined on 14 November 2026, not for use")
}

// TestReportSaysByWhenAsItWore has a place that wears fast: what could become a danger does so before the interval ends, and by then the next
// examination is due.
func TestReportSaysByWhenAsItWore(t *testing.T) {
	t.Parallel()
	c := reportable(t)
	for _, read := range []string{"0.01 0.02 0.01", "0.25 0.26 0.27", "0.49 0.50 0.51"} {
		c.forward(80 * 24 * time.Hour)
		c.inspect("@ben", "D-41", finds{"measure.cam_groove": read})
	}
	h := c.reports("@ben", "D-41", "no")
	c.wantSaid(h, "8(c) What could become a danger: by when, and what it needs\n  (i) By 8 August 2027")
	c.wantSaid(h, "may be there from 8 August 2027 on")
	c.wantSaid(h, "8(d) Latest date for the next thorough examination\n  8 August 2027, not 12 October 2027: the cam groove may be at its limit by then, as it has worn so far.")
}
