package store

import (
	"database/sql"
	"time"

	"becket/flows/due"
)

// MakerAsked is a question to an item's maker, with the letter as it was drafted.
type MakerAsked struct {
	Mark     string `json:"mark"`
	Maker    string `json:"maker"`
	Question string `json:"question"`
	Letter   string `json:"letter"`
	// Inspection is the one that the letter speaks of; empty: none.
	Inspection string `json:"inspection,omitempty"`
	// Replaces is an earlier draft that never went; 0: there is none.
	Replaces int64 `json:"replaces,omitempty"`
}

func (MakerAsked) Kind() string      { return "maker asked" }
func (m MakerAsked) Subject() string { return "item:" + m.Mark }

func (m MakerAsked) apply(tx *Tx, e Entry) error {
	if err := tx.put(`DELETE FROM maker_question WHERE n = ? AND room = ? AND mark = ? AND sent = '' AND answered IS NULL`, m.Replaces, e.Room, m.Mark); err != nil {
		return err
	}
	return tx.put(`INSERT INTO maker_question(n, room, mark, maker, question, by, asked) VALUES(?, ?, ?, ?, ?, ?, ?)`,
		e.Seq, e.Room, m.Mark, m.Maker, m.Question, e.By, e.At.UnixMicro())
}

// MakerSent says that the letter went, and on which day.
type MakerSent struct {
	Mark     string   `json:"mark"`
	Question int64    `json:"question"` // its entry
	Day      due.Date `json:"day"`
}

func (MakerSent) Kind() string      { return "maker sent" }
func (m MakerSent) Subject() string { return "item:" + m.Mark }

func (m MakerSent) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE maker_question SET sent = ? WHERE n = ? AND room = ? AND mark = ?`, m.Day.String(), m.Question, e.Room, m.Mark)
}

// MakerAnswered is what the maker said. It lifts no hold and moves no date; figures in it count by a sheet alone.
type MakerAnswered struct {
	Mark     string `json:"mark"`
	Question int64  `json:"question,omitempty"` // its entry; 0: nobody here had asked
	Maker    string `json:"maker"`
	Text     string `json:"text"`
	// Document is the title under which the maker's letter is kept with the item; empty: by word of mouth.
	Document string `json:"document,omitempty"`
}

func (MakerAnswered) Kind() string      { return "maker answered" }
func (m MakerAnswered) Subject() string { return "item:" + m.Mark }

func (m MakerAnswered) apply(tx *Tx, e Entry) error {
	n := m.Question
	if n == 0 {
		n = e.Seq
		err := tx.put(`INSERT INTO maker_question(n, room, mark, maker, question, by, asked) VALUES(?, ?, ?, ?, '', '', ?)`, n, e.Room, m.Mark, m.Maker, e.At.UnixMicro())
		if err != nil {
			return err
		}
	}
	return tx.put(`UPDATE maker_question SET answered = ?, answer = ?, document = ?, taken_by = ? WHERE n = ? AND room = ? AND mark = ?`,
		e.At.UnixMicro(), m.Text, m.Document, e.By, n, e.Room, m.Mark)
}

// MakerQuestion is a question to a maker and its answer, as far as they have come.
type MakerQuestion struct {
	N        int64
	Mark     string
	Maker    string
	Question string // empty: the maker spoke unasked
	By       string
	Asked    time.Time
	Sent     due.Date  // zero: the letter isn't known to have gone
	Answered time.Time // zero: not yet
	Answer   string
	Document string
	TakenBy  string // who wrote the answer down
}

// MakerQuestions lists all questions about an item, oldest first.
func (tx *Tx) MakerQuestions(room, mark string) ([]MakerQuestion, error) {
	return tx.makerQuestions(`WHERE room = ? AND mark = ? ORDER BY n`, room, mark)
}

// UnansweredByMaker lists a room's questions that wait for an answer, oldest first.
func (tx *Tx) UnansweredByMaker(room string) ([]MakerQuestion, error) {
	return tx.makerQuestions(`WHERE room = ? AND answered IS NULL ORDER BY n`, room)
}

func (tx *Tx) makerQuestions(where string, args ...any) ([]MakerQuestion, error) {
	return list(tx, func(row *sql.Rows) (MakerQuestion, error) {
		var q MakerQuestion
		var asked int64
		var sent string
		var answered sql.NullInt64
		if err := row.Scan(&q.N, &q.Mark, &q.Maker, &q.Question, &q.By, &asked, &sent, &answered, &q.Answer, &q.Document, &q.TakenBy); err != nil {
			return q, err
		}
		q.Asked = time.UnixMicro(asked).UTC()
		if answered.Valid {
			q.Answered = time.UnixMicro(answered.Int64).UTC()
		}
		var err error
		if sent != "" {
			q.Sent, err = due.Parse(sent)
		}
		return q, err
	}, `SELECT n, mark, maker, question, by, asked, sent, answered, answer, document, taken_by FROM maker_question `+where, args...)
}
