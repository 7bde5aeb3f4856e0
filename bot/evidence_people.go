package bot

import (
	"maps"
	"slices"
	"strings"

	"becket/store"
)

// everybody is who is listed now, and who inspected or signed.
func (e *evidenceOf) everybody() ([]string, error) {
	listed, err := e.tx.People(e.m.Room)
	for _, p := range listed {
		e.people[p.ID] = true
	}
	return slices.Sorted(maps.Keys(e.people)), err
}

func (e *evidenceOf) listed(row row) error {
	ids, err := e.everybody()
	if err != nil {
		return err
	}
	for _, id := range ids {
		p, listed, err := e.tx.Person(e.m.Room, id)
		if err != nil {
			return err
		}
		own, err := e.tx.Particulars(e.m.Room, id)
		if err != nil {
			return err
		}
		role, families := packMember, orNone(e.familiesWords(p))
		switch {
		case !listed:
			role, families = packNotListed, packNone
		case p.IsKeeper():
			role = packKeeper
		}
		if err := row(id, orNone(p.Name), role, orNone(own.Qualifications), families); err != nil {
			return err
		}
	}
	return nil
}

// familiesWords are the families for which somebody may sign, until when, and on what that rests.
func (e *evidenceOf) familiesWords(p store.Person) string {
	var all []string
	for _, c := range p.Competent {
		said := format(packUntil, e.bot.title(c.Flow), c.Until.Words())
		if c.Evidence != "" {
			said += ", " + c.Evidence
		}
		switch {
		case c.Agreed != "":
			said += format(packAgreed, c.Agreed)
		case c.OwnWord:
			said += packOwnWord
		}
		all = append(all, said)
	}
	return strings.Join(all, "; ")
}

// competenceLog is how everybody's place in the list changed.
func (e *evidenceOf) competenceLog(row row) error {
	ids, err := e.everybody()
	if err != nil {
		return err
	}
	for _, id := range ids {
		err := e.eachEntry("person:"+id, func(entry store.Entry, ev store.Event) error {
			said := ""
			switch ev := ev.(type) {
			case *store.PersonListed:
				said = format(packListed, orNone(e.familiesWords(ev.Person)))
				if ev.IsKeeper() {
					said = format(packListedKeeper, orNone(e.familiesWords(ev.Person)))
				}
			case *store.PersonRemoved:
				said = format(packRemoved, orNone(ev.Why))
			default:
				return nil
			}
			return row(id, e.on(entry.At), said, entry.By)
		})
		if err != nil {
			return err
		}
	}
	return nil
}
