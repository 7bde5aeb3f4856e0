package bot

import (
	"fmt"
	"slices"
	"strings"

	"becket/flows"
	"becket/store"
)

// noticeNow is a notice as it reads against the register of today: a maker or model that was unknown when it was taken
// may have come in since.
type noticeNow struct {
	store.KeptNotice
	reads makersNotice
	near  []string // names in the register so like the notice's that it may be a slip
}

// noticesNow reads again every notice that was taken here.
func (t *turn) noticesNow() ([]noticeNow, error) {
	kept, err := t.tx.Notices(t.m.Room)
	if err != nil || len(kept) == 0 {
		return nil, err
	}
	known, _, err := t.models()
	if err != nil {
		return nil, err
	}
	all := make([]noticeNow, len(kept))
	for n, k := range kept {
		reads, name, err := readNotice(k.Text)
		if err != nil {
			return nil, fmt.Errorf("reading notice %d again: %w", k.Number, err)
		}
		near := reads.named(name, known)
		all[n] = noticeNow{KeptNotice: k, reads: reads, near: near}
	}
	return all, nil
}

// cameIn matches kit that has just come into the register with the notices taken before: what one speaks of is held at
// once, in the notice's words, and whoever has it is asked and chased like the others. It is empty where none does.
func (t *turn) cameIn(items []store.Item) (said string, err error) {
	return t.spokenOf(items, func(store.KeptNotice) bool { return true })
}

// spokenOf is cameIn by some of the notices.
func (t *turn) spokenOf(items []store.Item, by func(store.KeptNotice) bool) (said string, err error) {
	notices, err := t.noticesNow()
	if err != nil {
		return "", err
	}
	notices = slices.DeleteFunc(notices, func(k noticeNow) bool { return !by(k.KeptNotice) })
	var lines []string
	for _, k := range notices {
		var spoken []store.NoticeMatch
		byHolder := map[string][]store.Item{}
		for _, item := range items {
			matches, doubt := k.reads.speaksOf(item)
			switch {
			case matches:
				spoken = append(spoken, store.NoticeMatch{Mark: item.Mark, Doubt: doubt})
				byHolder[item.Holder] = append(byHolder[item.Holder], item)
				if err := t.holdByNotice(k.KeptNotice, item); err != nil {
					return "", err
				}
			case slices.Contains(k.near, item.ModelName()):
				lines = append(lines, format(noticeNearNew, k.Number, clip(noticeName(k.Text), 40), item.Mark, item.ModelName()))
			}
		}
		if len(spoken) == 0 {
			continue
		}
		asked, err := t.askHolders(k.KeptNotice, byHolder)
		if err != nil {
			return "", err
		}
		lines = append(lines, format(noticeSpeaksOf, k.Number, clip(noticeSays(k.Text), 120)), matchedWords(spoken),
			format(noticeActed, strings.Join(matchedMarks(spoken), ", ")), format(noticeAsked, strings.Join(asked, ", "), k.Number), noticeRelease)
	}
	return joined(lines...), nil
}

// holdByNotice holds an item that a notice speaks of, and puts its holder on the list of those who are asked.
func (t *turn) holdByNotice(k store.KeptNotice, item store.Item) error {
	why := format(noticeWhy, k.Number, clip(noticeSays(k.Text), 120))
	if _, err := t.write(store.HoldPlaced{Mark: item.Mark, Verdict: flows.Quarantine, Why: why, Source: store.Noticed, About: k.N}); err != nil {
		return err
	}
	if _, err := t.write(store.HolderAsked{Notice: k.N, Mark: item.Mark, Holder: item.Holder}); err != nil {
		return err
	}
	return t.tellOldConversation(item.Mark)
}

// matchedWords says which items match and which can't be ruled out, and why.
func matchedWords(all []store.NoticeMatch) string {
	var sure, doubted []string
	for _, m := range all {
		if m.Doubt == "" {
			sure = append(sure, m.Mark)
		} else {
			doubted = append(doubted, format(nearOne, m.Mark, m.Doubt))
		}
	}
	var lines []string
	if len(sure) > 0 {
		lines = append(lines, format(noticeSure, strings.Join(sure, ", ")))
	}
	if len(doubted) > 0 {
		lines = append(lines, format(noticeDoubted, strings.Join(doubted, ", ")))
	}
	return joined(lines...)
}

// noticeName is what a notice begins with: whose kit, of which model.
func noticeName(text string) string {
	head, _, _ := strings.Cut(text, ":")
	name, _, _ := strings.Cut(head, ",")
	return strings.TrimSpace(name)
}

// cameInSince are the items of a notice that came in after it was taken.
func (t *turn) cameInSince(k store.KeptNotice) (marks []string, err error) {
	items, err := t.tx.NoticeItems(k.N)
	for _, i := range items {
		if !slices.Contains(matchedMarks(k.Matched), i.Mark) {
			marks = append(marks, i.Mark)
		}
	}
	return marks, err
}

// cameInByFile is cameIn for what a file brought, said in the team's room.
func (b *Bot) cameInByFile(tx *store.Tx, room string, items []store.Item) error {
	id := fmt.Sprintf("%s/notices/%d", importer, tx.Now().UnixMicro())
	t := &turn{bot: b, tx: tx, m: Message{ID: id, Room: room, From: importer}, zone: tx.Now().Location()}
	said, err := t.cameIn(items)
	if err != nil {
		return err
	}
	if said != "" {
		t.reply(joined(noticesImported, said)).To = ""
	}
	return t.deliver()
}
