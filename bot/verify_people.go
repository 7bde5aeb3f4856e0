package bot

import (
	"becket/flows/due"
	"becket/store"
)

// auditUnheld is what verify says of an item whose hold is missing.
const auditUnheld = "judged %s again more strictly, and no hold follows"

// people are who is listed in each room, followed from entry to entry.
type people map[string]map[string]store.Person

func (p people) follow(e store.Entry, ev store.Event) {
	in := p[e.Room]
	if in == nil {
		in = map[string]store.Person{}
		p[e.Room] = in
	}
	switch ev := ev.(type) {
	case *store.PersonListed:
		in[ev.ID] = ev.Person
	case *store.PersonRemoved:
		delete(in, ev.ID)
	case *store.RoomMoved:
		p[ev.To] = in
		delete(p, e.Room)
	}
}

// permitted tells whether who signed might, by the list of people as it stood then: for that family, on the day of the
// examination and on that of signing.
func (a *audit) permitted(e store.Entry, ev *store.Signed, what act) []string {
	r, ok := a.open[ev.Inspection]
	if !ok {
		return nil // said already
	}
	zone, err := a.bot.zones.zone(r.started.Zone)
	if err != nil {
		return []string{err.Error()}
	}
	person, listed := a.people[e.Room][e.By]
	for _, day := range []due.Date{ev.Day, due.On(e.At.In(zone))} {
		if !may(person, listed, what, r.flow.ID, day) {
			return []string{format("signs %s by %s, who wasn't competent for it on %s", ev.Number, e.By, day.Words())}
		}
	}
	return nil
}

// corrected tells whether a correction of the register has the second person and the document that it takes, as far as it shows
// in its own entry.
func (a *audit) corrected(e store.Entry, ev *store.ItemCorrected) []string {
	two, document := ev.First != "" && ev.First != e.By, ev.Document != ""
	if ev.Identity() && (two || document) || !ev.Identity() && (two && document || !laterDate(ev.Correction)) {
		return nil
	}
	return []string{format(auditCorrected, ev.What, ev.Mark)}
}
