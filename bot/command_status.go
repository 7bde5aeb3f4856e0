package bot

import (
	"encoding/json"

	"becket/prompts"
)

// littleSpace is how many bytes the disk should have left: a few hundred photos.
const littleSpace = 500 << 20

// asideMost is how many messages set aside are quoted.
const asideMost = 5

// status tells the keeper how Becket is: what goes over the network, what waits, what failed, the record and the disk.
func (t *turn) status(string) error {
	lines := []string{format(statusHead, t.team.Name, t.moment(t.tx.Now()))}
	for _, part := range []func() ([]string, error){t.statusOfNetwork, t.statusOfMessages, t.statusOfRecord, t.statusOfWording} {
		said, err := part()
		if err != nil {
			return err
		}
		lines = append(lines, said...)
	}
	t.reply(joined(append(lines, t.bot.called())...))
	return nil
}

func (t *turn) statusOfNetwork() ([]string, error) {
	c, said, err := t.tx.Condition(t.m.Room)
	if err != nil || !said || c.Network == "" {
		return []string{statusNoNetwork}, err
	}
	lines := []string{format(statusOpen, c.Network)}
	if c.Encrypted {
		lines[0] = statusEncrypted
	}
	signed := statusUnsigned
	if c.Signed {
		signed = statusSigned
	}
	return append(lines, signed, format(statusHeard, c.Network, t.moment(c.Heard)), format(statusUnread, c.Unread)), nil
}

func (t *turn) statusOfMessages() ([]string, error) {
	here, all, err := t.tx.Waits(t.m.Room)
	if err != nil {
		return nil, err
	}
	aside, err := t.asideHere()
	if err != nil {
		return nil, err
	}
	lines := []string{format(statusWaits, here, all), format(statusAside, len(aside))}
	for n, m := range aside {
		if n == asideMost {
			return append(lines, "  "+format(statusAsideOther, len(aside)-n)), nil
		}
		on := ""
		if !m.At.IsZero() {
			on = t.moment(m.At)
		}
		lines = append(lines, "  "+format(statusAsideOne, m.From, on, clip(m.Text, 60)))
	}
	return lines, nil
}

// asideHere are this room's messages that failed too often.
func (t *turn) asideHere() (here []Message, err error) {
	all, err := t.tx.Aside()
	if err != nil {
		return nil, err
	}
	for _, in := range all {
		now, err := t.tx.RoomNow(in.Room)
		if err != nil {
			return nil, err
		}
		if now != t.m.Room {
			continue
		}
		var m Message
		if err := json.Unmarshal(in.Body, &m); err != nil {
			m = Message{From: in.ID}
		}
		here = append(here, m)
	}
	return here, nil
}

func (t *turn) statusOfRecord() ([]string, error) {
	seq, _, err := t.tx.Head()
	if err != nil {
		return nil, err
	}
	last, _, err := t.tx.Entry(seq)
	if err != nil {
		return nil, err
	}
	free, err := t.tx.Space()
	if err != nil {
		return nil, err
	}
	room := statusRoom
	if free < littleSpace {
		room = format(statusFull, free>>20)
	}
	return []string{format(statusRecord, seq, t.moment(last.At)), room}, nil
}

// statusOfWording tells how much of what a language model said was taken, where one was ever asked.
func (t *turn) statusOfWording() ([]string, error) {
	counts, err := t.tx.WordingCounts()
	if err != nil {
		return nil, err
	}
	yes, no, none := counts[string(prompts.Accepted)], counts[string(prompts.Refused)], counts[string(prompts.Failed)]
	if yes+no+none == 0 {
		return nil, nil
	}
	return []string{format(statusReworded, yes+no, yes, none)}, nil
}

// called is the edition of the program.
func (b *Bot) called() string {
	if b.edition == "" {
		return statusNoEdition
	}
	return format(statusEdition, b.edition)
}
