package bot

import (
	"bytes"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/flows/due"
	"becket/store"
)

// TeamFile is a team with its people and register, as `becket import` reads it.
type TeamFile struct {
	Team struct {
		Room string `json:"room"`
		Name string `json:"name"`
		Zone string `json:"zone"`
	} `json:"team"`
	People      []store.Person     `json:"people"`
	Sheets      []store.Sheet      `json:"sheets"`
	Instruments []store.Instrument `json:"instruments"`
	Items       []TeamItem         `json:"items"`
}

// TeamItem is an item with its lives as a team file says them.
type TeamItem struct {
	store.Item
	LifeMade SaidLife `json:"life_made_years"`
	LifeUse  SaidLife `json:"life_use_years"`
}

// SaidLife is how long a maker lets something live. The zero value is no limit, as a file means it that leaves a life out.
type SaidLife struct {
	Years  int
	Untold bool // nobody knows it, which is no life without end
	said   bool
}

// UnmarshalJSON reads a number of years, "no limit", or "?" for not known, as which nothing behind the name counts too.
func (l *SaidLife) UnmarshalJSON(text []byte) error {
	l.said = true
	word := strings.Trim(string(text), `"`)
	switch {
	case word == "null" || word == notKnown || word == "":
		l.Untold = true
		return nil
	case saysNoLimit(word):
		return nil
	}
	n, err := strconv.Atoi(word)
	if err != nil {
		return fmt.Errorf("a life can't be %s; write a number of years, \"no limit\", or \"?\" where nobody knows", clip(word, mostQuoted))
	}
	l.Years = n
	return nil
}

// importer is whose word an imported entry is.
const importer = "import"

// ParseTeamFile reads a team file from YAML or JSON. Unknown keys and keys given twice are refused.
func ParseTeamFile(text []byte) (TeamFile, error) {
	var f TeamFile
	if err := flows.ReadDocument(text, "a team file", &f); err != nil {
		return f, err
	}
	if f.Team.Room == "" {
		return f, fmt.Errorf("the team file names no room; give team: {room: ...}")
	}
	return f, nil
}

// Import enters a team file, whole or not at all, in an empty or a living register. An item that is there
// already may not be changed by it; holds, retirements and records stay as they are.
func (b *Bot) Import(tx *store.Tx, f TeamFile, origin string) error {
	if f.Team.Zone != "" {
		if _, err := zoneOf(f.Team.Zone); err != nil {
			return err
		}
	}
	write := func(ev store.Event) error {
		_, err := tx.Append(f.Team.Room, importer, importer+":"+origin, ev)
		return err
	}
	if team, found, err := tx.Team(f.Team.Room); err != nil {
		return err
	} else if !found || team.Name != f.Team.Name || team.Zone != f.Team.Zone {
		if err := write(store.TeamNamed{Name: f.Team.Name, Zone: f.Team.Zone, Origin: origin}); err != nil {
			return err
		}
	}
	for _, step := range []func(TeamFile, *store.Tx, func(store.Event) error) error{b.importPeople, b.importSheets, b.importInstruments, b.importItems} {
		if err := step(f, tx, write); err != nil {
			return err
		}
	}
	return nil
}

func (b *Bot) importPeople(f TeamFile, tx *store.Tx, write func(store.Event) error) error {
	listed := map[string]bool{}
	for _, p := range f.People {
		if p.ID == "" {
			return fmt.Errorf("somebody in people has no id; give each an id like @ana")
		}
		if listed[p.ID] {
			return fmt.Errorf("%s is listed twice; list each person once", p.ID)
		}
		listed[p.ID] = true
		for _, role := range p.Roles {
			if role != store.Keeper && role != store.Member {
				return fmt.Errorf("%s has the role %q; a role is %s or %s, and whoever may sign has families under competent", p.ID, role, store.Keeper, store.Member)
			}
		}
		for _, c := range p.Competent {
			if _, ok := b.library[c.Flow]; !ok {
				return fmt.Errorf("%s is listed as competent for %q, and there is no such family here", p.ID, c.Flow)
			}
		}
		was, found, err := tx.Person(f.Team.Room, p.ID)
		if err != nil {
			return err
		}
		if found && same(was, p) {
			continue
		}
		if err := write(store.PersonListed{Person: p}); err != nil {
			return err
		}
	}
	return nil
}

func (b *Bot) importSheets(f TeamFile, tx *store.Tx, write func(store.Event) error) error {
	for _, s := range f.Sheets {
		if s.Maker == "" || s.Model == "" {
			return fmt.Errorf("a sheet has no maker or no model; give both")
		}
		if err := b.checkSheet(s); err != nil {
			return err
		}
		was, found, err := tx.Sheet(f.Team.Room, s.Maker, s.Model)
		if err != nil {
			return err
		}
		if found && same(was, s) {
			continue
		}
		if err := write(store.SheetKeyed{Sheet: s}); err != nil {
			return err
		}
		if found && s.Counts() {
			if err := b.judgeImported(tx, f.Team.Room, s); err != nil {
				return err
			}
		}
	}
	return nil
}

// judgeImported judges a model's items again by a sheet that came in a file, and says in the room what moved.
func (b *Bot) judgeImported(tx *store.Tx, room string, s store.Sheet) error {
	id := fmt.Sprintf("%s/%s/%d", importer, s.Name(), tx.Now().UnixMicro())
	t := &turn{bot: b, tx: tx, m: Message{ID: id, Room: room, From: importer}, zone: tx.Now().Location()}
	moved, err := t.judgeAgain(s)
	if err != nil {
		return err
	}
	if len(t.replies) > 0 || moved != format(againNothing, 0) {
		t.reply(joined(format(sheetImported, s.Name(), s.Edition), moved)).To = ""
	}
	return t.deliver()
}

func (b *Bot) importInstruments(f TeamFile, tx *store.Tx, write func(store.Event) error) error {
	there, err := tx.Instruments(f.Team.Room)
	if err != nil {
		return err
	}
	known := map[string]store.Instrument{}
	for _, in := range there {
		known[in.Mark] = in
	}
	for _, in := range f.Instruments {
		if in.Mark == "" || in.Doubt.Sign() < 0 {
			return fmt.Errorf("an instrument needs a mark, and a doubt that isn't below nothing")
		}
		was, found := known[in.Mark]
		was.Good, was.Out = in.Good, in.Out // checks aren't in the file
		if found && same(was, in) {
			continue
		}
		if err := write(store.InstrumentListed{Instrument: in}); err != nil {
			return err
		}
	}
	return nil
}

func (b *Bot) importItems(f TeamFile, tx *store.Tx, write func(store.Event) error) error {
	var taken []store.Item
	for _, said := range f.Items {
		item := said.Item
		item.LifeMadeYears, item.LifeUseYears = said.LifeMade.Years, said.LifeUse.Years
		if err := b.checkItem(item, tx); err != nil {
			return err
		}
		if item.Use == "" {
			item.Use = flows.People
		}
		was, found, err := asTaken(item, f.Team.Room, tx)
		switch {
		case err != nil:
			return err
		case found && same(was, item):
			continue
		case found:
			return fmt.Errorf("%s is in the register already and differs from the file; an import changes no item. Nothing was taken", item.Mark)
		}
		if err := onlyOne(item, f.Team.Room, tx); err != nil {
			return err
		}
		if err := write(store.ItemTaken{Item: item}); err != nil {
			return err
		}
		if untold, err := lifeUntoldOf(tx, f.Team.Room, item, said.LifeMade.Untold, said.LifeUse.Untold); err != nil {
			return err
		} else if untold {
			if err := write(lifeHold(item.Mark)); err != nil {
				return err
			}
		}
		taken = append(taken, item)
	}
	return b.cameInByFile(tx, f.Team.Room, taken)
}

// LivesUntold are the marks of a file's items that are held because nobody said how long their makers let them live.
func (f TeamFile) LivesUntold(tx *store.Tx) (marks []string, err error) {
	for _, item := range f.Items {
		holds, err := tx.Standing(f.Team.Room, item.Mark)
		if err != nil {
			return nil, err
		}
		if slices.ContainsFunc(holds, func(h store.Hold) bool { return h.Source == store.Untold && h.Inspection == "" }) {
			marks = append(marks, item.Mark)
		}
	}
	return marks, nil
}

// LivesLeftOut counts a file's items of which it says no life at all, and no limit neither.
func (f TeamFile) LivesLeftOut() (n int) {
	for _, item := range f.Items {
		n += oneIf(!item.LifeMade.said && !item.LifeUse.said)
	}
	return n
}

// asTaken is the item of that mark as it was taken in: who had it and where it was kept then the file says, and what
// was issued or taken back since isn't a difference.
func asTaken(item store.Item, room string, tx *store.Tx) (store.Item, bool, error) {
	was, found, err := tx.Item(room, item.Mark)
	if err != nil || !found {
		return was, found, err
	}
	if item.Printed.IsZero() {
		was.Printed = item.Printed // read off it since
	}
	if item.OwnLimit.IsZero() {
		was.OwnLimit = item.OwnLimit
	}
	if item.Made.IsZero() {
		was.Made = item.Made
	}
	if item.FirstUse.IsZero() {
		was.FirstUse = item.FirstUse
	}
	if item.SafeLoad == "" {
		was.SafeLoad = "" // filled in since
	}
	if item.Standard == "" {
		was.Standard = ""
	}
	if item.Scheme == "" {
		was.Scheme = ""
	}
	if item.Examined == "" {
		was.Examined = ""
	}
	if item.Bought.IsZero() {
		was.Bought = item.Bought
	}
	moved, err := tx.Moved(room, item.Mark)
	if moved {
		was.Holder, was.Place = item.Holder, item.Place
	}
	return was, true, err
}

// onlyOne refuses a mark that is easily taken for another, and a second one for the same maker, model and serial: it wouldn't make another
// item of it.
func onlyOne(item store.Item, room string, tx *store.Tx) error {
	if alike, err := tx.ItemsAlike(room, item.Mark); err != nil {
		return err
	} else if len(alike) > 0 {
		return fmt.Errorf("%s is easily taken for %s; mark one of them otherwise, on the item too. Nothing was taken", item.Mark, alike[0].Mark)
	}
	if item.Serial == "" {
		return nil
	}
	like, err := tx.ItemsLike(room, item.Maker, item.Model, item.Serial)
	if err != nil || len(like) == 0 {
		return err
	}
	return fmt.Errorf("%s has the serial of %s, of the same maker and model; a new mark doesn't make it another item. Nothing was taken", item.Mark, like[0].Mark)
}

func (b *Bot) checkItem(item store.Item, tx *store.Tx) error {
	f, ok := b.library[item.Flow]
	switch {
	case item.Mark == "" || strings.ContainsAny(item.Mark, " \t\n"):
		return fmt.Errorf("an item has no mark, or one with a space in it: %q", item.Mark)
	case !ok:
		return fmt.Errorf("%s belongs to the family %q, and there is no such family here", item.Mark, item.Flow)
	case item.Use != "" && item.Use != flows.People && item.Use != flows.Goods:
		return fmt.Errorf("%s: use is people or goods, not %q", item.Mark, item.Use)
	case item.IntervalMonths < 0 || item.LifeMadeYears < 0 || item.LifeUseYears < 0:
		return fmt.Errorf("%s: an interval or a life is below nothing", item.Mark)
	}
	if _, err := due.Parse(item.Examined); err != nil && item.Examined != "" && item.Examined != neverWord {
		return fmt.Errorf("%s: examined: %w, or never", item.Mark, err)
	}
	for id, choice := range item.Facts {
		if fact, ok := f.Fact(id); !ok || !hasChoice(fact, choice) {
			return fmt.Errorf("%s: the fact %s can't be %q for its family", item.Mark, id, choice)
		}
	}
	if err := item.Life().Check(due.On(tx.Now())); err != nil {
		return fmt.Errorf("%s: %w", item.Mark, err)
	}
	return nil
}

// same compares two rows as they would be written.
func same(a, b any) bool {
	x, errX := json.Marshal(a)
	y, errY := json.Marshal(b)
	return errX == nil && errY == nil && bytes.Equal(x, y)
}
