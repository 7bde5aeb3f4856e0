package wear

import "becket/flows/due"

// Begins is the number of the reading from which a course counts: after a part was replaced, what the old one measured tells nothing of
// the new one. That is where somebody worked on the item, on one of these days, between two readings of which the later is better
// by more than both their doubts, as wear never makes it. The work alone shows nothing, since it may have been at another
// place; nor does a better reading alone, since it may have been measured wrongly.
func (c Course) Begins(worked []due.Date) int {
	begins := 0
	for n := 1; n < len(c.Readings); n++ {
		before, now := c.Readings[n-1], c.Readings[n]
		better := before.Value - now.Value
		if c.Down {
			better = -better
		}
		if better <= before.Doubt+now.Doubt {
			continue
		}
		for _, day := range worked {
			if !day.Before(before.On) && !day.After(now.On) {
				begins = n
			}
		}
	}
	return begins
}
