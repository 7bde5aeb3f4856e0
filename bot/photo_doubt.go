package bot

import (
	"strings"
	"time"

	"becket/flows"
	"becket/store"
)

// keptPhoto is a picture with its entry in the record.
type keptPhoto struct {
	store.Photographed
	seq int64
}

// photoDoubt is a picture that was asked about, and the answer.
type photoDoubt struct {
	photo    int64
	seq      int64 // the entry that asks
	why      string
	answered bool
	is       bool
	by       string
}

// cameraSlack is how far a camera's clock may be off before a picture counts as taken earlier: an hour is summer time.
// Common practice, no source.
const cameraSlack = time.Hour

// firstCameras is before what no telephone wrote a true date: a clock that was never set shows its maker's first day.
const firstCameras = 2005

// doubtedPhoto is a picture of the inspection that has to be asked about and wasn't yet, with why.
func (t *turn) doubtedPhoto(i *inspection) (p keptPhoto, why string, err error) {
	for _, p := range i.photos {
		if i.doubtOf(p.seq) != nil || p.Hash == "" {
			continue
		}
		why, err := t.sentBefore(i, p)
		if err == nil && why == "" {
			why = t.takenBefore(i, p)
		}
		if err != nil || why != "" {
			return p, why, err
		}
	}
	return keptPhoto{}, "", nil
}

// sentBefore says for what a picture was sent first; empty: this is the first time, or the same inspection.
func (t *turn) sentBefore(i *inspection, p keptPhoto) (string, error) {
	before, err := t.tx.PhotosLike(p.Hash, p.seq)
	if err != nil {
		return "", err
	}
	for _, e := range before {
		ours, err := t.isOurs(e)
		if err != nil {
			return "", err
		}
		if !ours || e.Subject == store.InspectionSubject(i.ID) {
			continue
		}
		mark, err := t.photographed(e)
		if err != nil || mark != "" {
			return format(photoSentBefore, mark, t.on(e.At)), err
		}
	}
	return "", nil
}

// photographed is the mark of what a picture in the record was sent for.
func (t *turn) photographed(e store.Entry) (string, error) {
	ev, err := e.Event()
	if err != nil {
		return "", err
	}
	p, is := ev.(*store.Photographed)
	if !is || p.Mark != "" {
		return p.Mark, nil
	}
	row, _, err := t.tx.Inspection(p.Inspection)
	return row.Mark, err
}

// takenBefore says when a picture was taken, where its camera says so and that was before the inspection began; empty
// where it doesn't, and where what it says can't be.
func (t *turn) takenBefore(i *inspection, p keptPhoto) string {
	taken, known := takenAt(p.Taken, t.zone)
	if !known || taken.Year() < firstCameras || taken.After(t.tx.Now()) || taken.Add(cameraSlack).After(i.Started) {
		return ""
	}
	return format(photoTakenBefore, t.moment(taken), t.moment(i.Started))
}

// takenAt reads what a camera wrote: the time on its clock, with or without how far that is from UTC.
func takenAt(text string, zone *time.Location) (time.Time, bool) {
	if at, err := time.Parse(time.RFC3339, text); err == nil {
		return at, true
	}
	at, err := time.ParseInLocation("2006-01-02T15:04:05", text, zone)
	return at, err == nil
}

func (i *inspection) doubtOf(photo int64) *photoDoubt {
	for n := range i.doubts {
		if i.doubts[n].photo == photo {
			return &i.doubts[n]
		}
	}
	return nil
}

// openDoubt is the question about a picture that was just asked: nothing was answered since.
func (i *inspection) openDoubt() *photoDoubt {
	if len(i.doubts) == 0 {
		return nil
	}
	last := &i.doubts[len(i.doubts)-1]
	if last.answered || len(i.answers) > 0 && i.answers[len(i.answers)-1].entry.Seq > last.seq {
		return nil
	}
	return last
}

// askOfPhoto asks about a picture before anything else is asked. What was answered with it is written down already.
func (t *turn) askOfPhoto(i *inspection, said string) (bool, error) {
	p, why, err := t.doubtedPhoto(i)
	if err != nil || why == "" {
		return false, err
	}
	ev := store.PhotoDoubted{Inspection: i.ID, Photo: p.seq, Why: why}
	e, err := t.write(ev)
	if err != nil {
		return true, err
	}
	i.doubts = append(i.doubts, photoDoubt{photo: p.seq, seq: e.Seq, why: why})
	r := t.reply(joined(said, format(photoDoubtAsk, why, i.Mark)))
	r.Ask = &Ask{
		Inspection: i.ID, Item: i.Mark, Flow: i.flow.ID, Section: "photo", Steps: []string{p.Step}, Kind: flows.KindConfirm,
		Choices: []Choice{{Key: "yes", ID: "yes", Label: "yes"}, {Key: "no", ID: "no", Label: "no"}},
	}
	return true, nil
}

// aboutPhoto takes a yes, a no or another picture as the answer about the one in doubt. Anything else goes its own way:
// a finding isn't kept waiting for a picture.
func (t *turn) aboutPhoto(i *inspection, text string) (bool, error) {
	d := i.openDoubt()
	word := strings.Trim(text, " .")
	switch {
	case d == nil:
		return false, nil
	case len(t.m.Files) > 0:
		if err := t.vouch(i, d, false); err != nil || text != "" {
			return false, err
		}
		if _, err := t.keepPhotos(i, i.stepOfPhoto(d.photo)); err != nil {
			return true, err
		}
		return true, t.ask(i, photoAnother)
	case sameWord(word, "yes"):
		if err := t.vouch(i, d, true); err != nil {
			return true, err
		}
		return true, t.ask(i, format(photoVouched, i.Mark))
	case sameWord(word, "no"):
		if err := t.vouch(i, d, false); err != nil {
			return true, err
		}
		if i.state.Answered(flows.PhotoStep) && !i.hasPhoto() {
			if err := t.reopen(i, []string{flows.PhotoStep}); err != nil {
				return true, err
			}
		}
		return true, t.ask(i, format(photoNotOf, i.Mark))
	}
	return false, nil
}

func (t *turn) vouch(i *inspection, d *photoDoubt, is bool) error {
	e, err := t.write(store.PhotoVouched{Inspection: i.ID, Photo: d.photo, Is: is})
	d.answered, d.is, d.by = true, is, e.By
	return err
}

func (i *inspection) stepOfPhoto(seq int64) string {
	for _, p := range i.photos {
		if p.seq == seq {
			return p.Step
		}
	}
	return ""
}

// hasPhoto tells whether the inspection has a picture that counts.
func (i *inspection) hasPhoto() bool {
	for _, p := range i.photos {
		if d := i.doubtOf(p.seq); d == nil || !d.answered || d.is {
			return true
		}
	}
	return false
}

// photoLines are what the record says of the pictures that were asked about.
func (i *inspection) photoLines() (lines []string) {
	for _, d := range i.doubts {
		switch {
		case !d.answered:
			lines = append(lines, format(recordPhotoOpen, d.why))
		case d.is:
			lines = append(lines, format(recordPhotoIs, d.why, d.by, i.Mark))
		default:
			lines = append(lines, format(recordPhotoNot, d.why, i.Mark))
		}
	}
	return lines
}
