package bot

import (
	"slices"
	"strings"

	"becket/flows"
)

// compare says, after an answer with a photo, that the item's last signed inspection has one of the same place, and sends it
// along. It comes after the answer and never before: an old picture steers the eye.
func (t *turn) compare(i *inspection, q flows.Question) (said string, files []File, err error) {
	if _, now := photoOf(i.photos, q.Steps); !now {
		return "", nil, nil
	}
	row, found, err := t.tx.LastSigned(t.m.Room, i.Mark)
	if err != nil || !found {
		return "", nil, err
	}
	last, err := t.bot.load(t.tx, row)
	if err != nil {
		return "", nil, err
	}
	p, found := photoOf(last.photos, q.Steps)
	switch {
	case !found:
		return "", nil, nil
	case !strings.HasPrefix(p.Type, "image/") || p.Type == "image/heic":
		return format(photoStays, row.Day.Words()), nil, nil
	}
	// Whoever named the file may have written the reading into its name.
	name := i.Mark + " " + row.Day.Words() + "." + strings.TrimPrefix(p.Type, "image/")
	return format(photoEarlier, row.Day.Words()), []File{{Name: name, Hash: p.Hash, Type: p.Type, Size: p.Size}}, nil
}

// photoOf is the newest photo that belongs to one of these steps.
func photoOf(photos []keptPhoto, steps []string) (keptPhoto, bool) {
	for _, p := range slices.Backward(photos) {
		if p.Hash != "" && slices.Contains(steps, p.Step) {
			return p, true
		}
	}
	return keptPhoto{}, false
}
