package bot

import (
	"cmp"
	"crypto/sha256"
	"fmt"
	"slices"
	"strings"

	"becket/store"
)

// mostMoved is how many items that moved are named one by one.
const mostMoved = 30

// judgeStore judges every item of the register by the scripts and the makers' figures that count now, and says what moved.
func (t *turn) judgeStore(_ string) error {
	items, err := t.tx.Items(t.m.Room)
	if err != nil {
		return err
	}
	var moved, held []string
	more := map[string]int{} // by family: items whose script now asks what wasn't asked
	judged := 0
	for _, item := range items {
		i, err := t.lastJudged(item.Mark)
		if err != nil {
			return err
		}
		if i == nil {
			continue
		}
		judged++
		moves, asksMore, err := t.judgeByAll(item, i)
		if err != nil {
			return err
		}
		for _, m := range moves {
			if m.said != "" {
				moved = append(moved, m.said)
			}
			if m.held && !slices.Contains(held, item.Mark) {
				held = append(held, item.Mark)
			}
		}
		if asksMore {
			more[item.Flow]++
		}
		sooner, err := t.foretellNearer(item.Mark)
		if err != nil {
			return err
		}
		if sooner != "" {
			moved = append(moved, sooner)
		}
	}
	if _, err := t.write(store.StoreJudged{Editions: t.bot.editions(), Items: judged, Held: held}); err != nil {
		return err
	}
	told, err := t.tellAllOf(items, held, againToldAll)
	if err != nil {
		return err
	}
	lines := []string{format(againStore, judged)}
	switch {
	case judged == 0:
		lines = []string{againStoreNone}
	case len(moved) == 0:
		lines = []string{format(againStoreNothing, judged)}
	}
	lines = append(lines, moved[:min(mostMoved, len(moved))]...)
	if left := len(moved) - mostMoved; left > 0 {
		lines = append(lines, format(againLeft, left))
	}
	for _, f := range t.bot.families() {
		if n := more[f.ID]; n > 0 {
			lines = append(lines, format(againAsksMore, strings.ToLower(f.Title), f.Revision, n))
		}
	}
	t.reply(joined(append(lines, told)...))
	return nil
}

// judgeByAll judges an item by its model's sheet, and then by a newer edition of its script. It tells whether that edition
// asks what wasn't asked.
func (t *turn) judgeByAll(item store.Item, i *inspection) (moves []move, asksMore bool, err error) {
	sheet, found, err := t.tx.Sheet(t.m.Room, item.Maker, item.Model)
	if err != nil {
		return nil, false, err
	}
	if found && sheet.Counts() {
		m, err := t.judgeItemAgain(item, sheet)
		if err != nil {
			return nil, false, err
		}
		moves = append(moves, m)
	}
	f, known := t.bot.library[i.flow.ID]
	if !known || f.Hash == i.flow.Hash {
		return moves, false, nil
	}
	by := store.NewerSheet{Figures: i.state.Sheet, Unconfirmed: i.state.Unconfirmed, Ref: i.started.SheetRef}
	if found && sheet.Counts() {
		by = sheetNow(f, item, sheet, i.started.Start)
	}
	m, err := t.moveBy(item, i, by, f, store.NewScript)
	o := i.rejudged(by, f)
	return append(moves, m), len(stepsBeyond(o.Missing, i.signed.Outcome.Missing)) > 0, err
}

// editions are the scripts that count now, by their hash.
func (b *Bot) editions() map[string]string {
	all := map[string]string{}
	for id, f := range b.library {
		all[id] = f.Hash
	}
	return all
}

// sayEditions says once in a room that scripts have come in a newer edition than those that its items were judged by, until
// its keeper has everything judged again.
func (b *Bot) sayEditions(tx *store.Tx, room string) error {
	now := b.editionsKey()
	if told, err := tx.Told(room, store.RuleEdition, now); err != nil || told {
		return err
	}
	if err := tx.Occurred(room, store.RuleEdition, now, tx.Now(), ""); err != nil {
		return err
	}
	stale, err := b.staleEditions(tx, room)
	if err != nil || len(stale) == 0 {
		return err
	}
	t := &turn{bot: b, tx: tx, m: Message{Room: room, From: teller}, zone: tx.Now().Location()}
	keepers, err := t.keepers()
	if err != nil {
		return err
	}
	return t.sayByItself(Reply{Key: "editions/" + room + "/" + now, Room: room, Text: format(againEditions, strings.Join(stale, ", "), keepers)})
}

// editionsKey tells one set of scripts from another.
func (b *Bot) editionsKey() string {
	sum := sha256.New()
	for _, f := range b.families() {
		fmt.Fprintf(sum, "%s %s\n", f.ID, f.Hash)
	}
	return fmt.Sprintf("%x", sum.Sum(nil))[:headDigits]
}

// staleEditions names the families whose items were last judged by another edition of their script than counts now.
func (b *Bot) staleEditions(tx *store.Tx, room string) ([]string, error) {
	used, err := tx.EditionsUsed(room)
	if err != nil {
		return nil, err
	}
	judged, err := tx.JudgedBy(room)
	if err != nil {
		return nil, err
	}
	items := map[string]int{}
	for hash, n := range used {
		f, err := b.kept(tx, hash)
		if err != nil {
			return nil, err
		}
		if now, known := b.library[f.ID]; known && now.Hash != hash && judged[f.ID] != now.Hash {
			items[f.ID] += n
		}
	}
	var stale []string
	for _, f := range b.families() {
		if n := items[f.ID]; n > 0 {
			stale = append(stale, format(againStale, strings.ToLower(f.Title), f.Revision, n))
		}
	}
	slices.SortFunc(stale, cmp.Compare[string])
	return stale, nil
}
