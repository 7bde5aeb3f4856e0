package bot

import (
	"cmp"
	"context"
	"fmt"
	"regexp"
	"slices"
	"strconv"

	"becket/store"
)

// headDigits is how much of the last entry's hash is posted: enough that nobody makes another record that ends alike.
const headDigits = 16

// Head is an end of the record as it was posted in a room: how many entries it had, and how the last of them ends.
type Head struct {
	Entries int64
	Ends    string // the first digits of its hash, in hexadecimal
}

// String is the head as it is posted.
func (h Head) String() string { return format(headPosted, h.Entries, h.Ends) }

// ReadHead finds the end of a record in what was posted, whatever stands around it.
func ReadHead(text string) (Head, error) {
	found := regexp.MustCompile(`(\d+) entries, ends ([0-9a-f]{16})\b`).FindStringSubmatch(text)
	if found == nil {
		return Head{}, fmt.Errorf("%q is no end of a record; copy the digest's last line, like: 812 entries, ends 4f2a91c07be218d3", clip(text, 60))
	}
	entries, err := strconv.ParseInt(found[1], 10, 64)
	if err != nil {
		return Head{}, fmt.Errorf("%s is too large a number of entries", found[1])
	}
	return Head{Entries: entries, Ends: found[2]}, nil
}

// headOf is the end of the record as it stands.
func headOf(tx *store.Tx) (Head, error) {
	entries, hash, err := tx.Head()
	return Head{Entries: entries, Ends: fmt.Sprintf("%x", hash)[:headDigits]}, err
}

// Continues compares ends that were posted with the record, and names each that it doesn't continue, and from where on
// it can be another.
func (b *Bot) Continues(ctx context.Context, db *store.DB, posted []Head) ([]store.Fault, error) {
	posted = slices.SortedFunc(slices.Values(posted), func(a, b Head) int { return cmp.Compare(a.Entries, b.Entries) })
	var faults []store.Fault
	err := db.View(ctx, func(tx *store.Tx) error {
		last, _, err := tx.Head()
		if err != nil {
			return err
		}
		var agrees int64
		for _, h := range posted {
			entry, found, err := tx.Entry(h.Entries)
			switch {
			case err != nil:
				return err
			case !found:
				faults = append(faults, store.Fault{Seq: last + 1, What: fmt.Sprintf("and all up to entry %d, whose end was posted, are missing at the end of the record", h.Entries)})
			case fmt.Sprintf("%x", entry.Hash)[:headDigits] != h.Ends:
				faults = append(faults, store.Fault{Seq: h.Entries, What: fmt.Sprintf("ends otherwise than was posted (%s): the record was written anew there or before, after entry %d at the earliest", h.Ends, agrees)})
			default:
				agrees = h.Entries
			}
		}
		return nil
	})
	return faults, err
}
