package store

import (
	"database/sql"
	"encoding/json"
	"time"
)

// Notice is a maker's safety notice as somebody typed it, and what of ours it speaks of.
type Notice struct {
	Text    string        `json:"text"` // as it was typed, whole
	Maker   string        `json:"maker"`
	Model   string        `json:"model,omitempty"`
	Serials []string      `json:"serials,omitempty"` // ranges as read
	Batches []string      `json:"batches,omitempty"`
	Made    string        `json:"made,omitempty"`
	Seen    int           `json:"seen"` // how many items of the register were looked through
	Matched []NoticeMatch `json:"matched,omitempty"`
}

// NoticeMatch is an item that a notice speaks of, or that can't be ruled out.
type NoticeMatch struct {
	Mark  string `json:"mark"`
	Doubt string `json:"doubt,omitempty"` // why it can't be ruled out; empty: it matches
}

// NoticeTaken enters a notice with what matched on that day; nothing matched is an entry too.
type NoticeTaken struct {
	Number int `json:"number"` // counted in the room
	Notice
}

func (NoticeTaken) Kind() string    { return "notice" }
func (NoticeTaken) Subject() string { return "notice" }

func (n NoticeTaken) apply(tx *Tx, e Entry) error {
	body, err := json.Marshal(n.Notice)
	if err != nil {
		return err
	}
	return tx.put(`INSERT INTO notice(n, room, number, body) VALUES(?, ?, ?, ?)`, e.Seq, e.Room, n.Number, string(body))
}

// NoticeActed says that what matched is held.
type NoticeActed struct {
	Notice int64 `json:"notice"` // its entry
}

func (NoticeActed) Kind() string    { return "notice acted on" }
func (NoticeActed) Subject() string { return "notice" }

func (n NoticeActed) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE notice SET held = ? WHERE n = ? AND room = ?`, e.Seq, n.Notice, e.Room)
}

// HolderAsked is the question to whoever holds an item that a notice speaks of; to the keepers for one in the store.
type HolderAsked struct {
	Notice int64  `json:"notice"`
	Mark   string `json:"mark"`
	Holder string `json:"holder,omitempty"`
}

func (HolderAsked) Kind() string      { return "holder asked" }
func (h HolderAsked) Subject() string { return "item:" + h.Mark }

func (h HolderAsked) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO notice_item(notice, mark, room, holder, asked) VALUES(?, ?, ?, ?, ?) ON CONFLICT DO NOTHING`, h.Notice, h.Mark, e.Room, h.Holder, e.At.UnixMicro())
}

// HolderAnswered is the answer. Who hasn't got it stays on the list until it is found.
type HolderAnswered struct {
	Notice int64  `json:"notice"`
	Mark   string `json:"mark"`
	Has    bool   `json:"has"`
	Text   string `json:"text,omitempty"`
}

func (HolderAnswered) Kind() string      { return "holder answered" }
func (h HolderAnswered) Subject() string { return "item:" + h.Mark }

func (h HolderAnswered) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE notice_item SET answered = ?, has = ?, answer = ?, by = ? WHERE notice = ? AND mark = ? AND room = ?`,
		e.At.UnixMicro(), h.Has, h.Text, e.By, h.Notice, h.Mark, e.Room)
}

// KeptNotice is a notice in the register. Held tells whether what matched is held.
type KeptNotice struct {
	N      int64
	Number int
	Held   bool
	Notice
}

// Notices lists a room's notices, oldest first.
func (tx *Tx) Notices(room string) ([]KeptNotice, error) {
	return list(tx, func(row *sql.Rows) (KeptNotice, error) {
		var k KeptNotice
		var held sql.NullInt64
		var body string
		if err := row.Scan(&k.N, &k.Number, &held, &body); err != nil {
			return k, err
		}
		k.Held = held.Valid
		return k, json.Unmarshal([]byte(body), &k.Notice)
	}, `SELECT n, number, held, body FROM notice WHERE room = ? ORDER BY n`, room)
}

// NoticeItem is one item of a notice that was acted on: who was asked, and what they answered.
type NoticeItem struct {
	Notice   int64
	Mark     string
	Holder   string // empty: in the store, so the keepers were asked
	Asked    time.Time
	Answered time.Time // zero: not yet
	Has      bool
	Answer   string
	By       string
}

// NoticeItems lists the items of a notice by mark.
func (tx *Tx) NoticeItems(notice int64) ([]NoticeItem, error) {
	return tx.noticeItems(`WHERE notice = ? ORDER BY mark`, notice)
}

// UnansweredNotices lists the items of a room's notices that nobody has in the hand yet: not answered, or not found.
func (tx *Tx) UnansweredNotices(room string) ([]NoticeItem, error) {
	return tx.noticeItems(`WHERE room = ? AND (answered IS NULL OR has = 0) ORDER BY notice, mark`, room)
}

func (tx *Tx) noticeItems(where string, args ...any) ([]NoticeItem, error) {
	return list(tx, func(row *sql.Rows) (NoticeItem, error) {
		var i NoticeItem
		var asked int64
		var answered sql.NullInt64
		if err := row.Scan(&i.Notice, &i.Mark, &i.Holder, &asked, &answered, &i.Has, &i.Answer, &i.By); err != nil {
			return i, err
		}
		i.Asked = time.UnixMicro(asked).UTC()
		if answered.Valid {
			i.Answered = time.UnixMicro(answered.Int64).UTC()
		}
		return i, nil
	}, `SELECT notice, mark, holder, asked, answered, has, answer, by FROM notice_item `+where, args...)
}
