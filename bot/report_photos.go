package bot

import (
	"strings"

	"becket/bot/photo/small"
	"becket/bot/report"
	"becket/flows"
	"becket/store"
)

// reportPhotos names the pictures that were taken.
func (t *turn) reportPhotos(_ store.Item, i *inspection, d *report.Data) error {
	for _, p := range i.photos {
		if p.Hash == "" {
			continue // its sender deleted it
		}
		d.Photos = append(d.Photos, report.Photo{
			Of: format(photoTaken, i.shownAt(p.Step), d.Day.Words()), File: func() ([]byte, error) { return t.printed(p.Hash, p.Type) },
		})
	}
	return nil
}

// shownAt is what a photo shows by the step that it was sent at: the part that a group of checks looks at, a check, the place of what
// is watched, or else the item.
func (i *inspection) shownAt(step string) string {
	if step == "" || step == flows.PhotoStep {
		return photoPlain
	}
	if finding, is := flows.Placed(step); is {
		return format(photoPlace, finding)
	}
	section, id, _ := strings.Cut(step, ".")
	of := strings.ReplaceAll(id, "_", " ")
	if s, known := i.flow.Step(step); known && s.Check != nil && s.Check.Part != "" {
		of = s.Check.Part
	}
	return capital(strings.ReplaceAll(section, "-", " ")) + ": " + of
}

// printed is a photo as documents show it; empty where it can't be shown. The original is read all the same, so that no document is
// made while the record has lost it.
func (t *turn) printed(hash, kind string) ([]byte, error) {
	original, err := t.tx.File(hash)
	if err != nil {
		return nil, err
	}
	if copied, whole := t.tx.Small(hash); whole {
		return copied, nil
	}
	copied, made, err := small.Of(kind, original)
	if err != nil {
		return nil, nil // the report says that it is kept
	}
	if made {
		_ = t.tx.KeepSmall(hash, copied) // the next document makes it again
	}
	return copied, nil
}
