package store

import (
	"database/sql"
	"encoding/json"
	"slices"
	"strconv"
	"strings"

	"becket/flows"
	"becket/flows/due"
)

// Sheet holds a maker's published figures for one model.
type Sheet struct {
	Maker    string                  `json:"maker"`
	Model    string                  `json:"model"`
	Flow     string                  `json:"flow"`
	Document string                  `json:"document"`
	Edition  string                  `json:"edition"`
	Page     string                  `json:"page"`
	Figures  map[string]flows.Number `json:"figures,omitempty"`
	Facts    map[string]string       `json:"facts,omitempty"`
	// ConfirmedBy are the people who typed the figures, each by themselves. Two make them count.
	ConfirmedBy []string `json:"confirmed_by,omitempty"`
	// Before are the interval and lives of the edition that counted before, for as long as one person alone has typed this
	// one: nobody puts a date off alone.
	Before map[string]flows.Number `json:"before,omitempty"`
}

// Counts tells whether two different people have typed the figures.
func (s Sheet) Counts() bool {
	first := slices.Sorted(slices.Values(s.ConfirmedBy))
	return len(slices.Compact(first)) >= 2
}

// whole is a figure that counts months or years, the stricter of this edition's and of what counted before; 0 where
// neither gives one.
func (s Sheet) whole(figure string) int {
	n, _ := strconv.Atoi(s.Figures[figure].String()) // no number: none given
	before, _ := strconv.Atoi(s.Before[figure].String())
	return due.Strictest(n, before)
}

// Name is the model as people say it.
func (s Sheet) Name() string { return s.Maker + " " + s.Model }

// SheetKeyed is a sheet typed in by one person, or taken from a team file. It replaces the model's sheet.
type SheetKeyed struct{ Sheet }

func (SheetKeyed) Kind() string      { return "sheet" }
func (s SheetKeyed) Subject() string { return "sheet:" + s.Name() }

func (s SheetKeyed) apply(tx *Tx, e Entry) error {
	was, found, err := tx.Sheet(e.Room, s.Maker, s.Model)
	if err != nil {
		return err
	}
	s.Before = nil
	if found && !s.Counts() {
		s.Before = map[string]flows.Number{}
		for _, figure := range []string{FigureInterval, FigureLifeMade, FigureLifeUse} {
			if n := was.counted(figure); n > 0 {
				s.Before[figure] = flows.MustNumber(strconv.Itoa(n))
			}
		}
	}
	return tx.putSheet(e.Room, s.Sheet)
}

// counted is a figure that two people stand for; 0 where there is none.
func (s Sheet) counted(figure string) int {
	figures := s.Figures
	if !s.Counts() {
		figures = s.Before
	}
	n, _ := strconv.Atoi(figures[figure].String()) // no number: none given
	return n
}

// SheetConfirmed is the same figures typed again by somebody else.
type SheetConfirmed struct {
	Maker string `json:"maker"`
	Model string `json:"model"`
}

func (SheetConfirmed) Kind() string      { return "sheet confirmed" }
func (s SheetConfirmed) Subject() string { return "sheet:" + s.Maker + " " + s.Model }

func (s SheetConfirmed) apply(tx *Tx, e Entry) error {
	sheet, found, err := tx.Sheet(e.Room, s.Maker, s.Model)
	if err != nil || !found {
		return err
	}
	sheet.ConfirmedBy = append(sheet.ConfirmedBy, e.By)
	if sheet.Counts() {
		sheet.Before = nil
	}
	return tx.putSheet(e.Room, sheet)
}

// SheetDisputed says that a second person typed something else. Neither counts: the sheet is entered anew.
type SheetDisputed struct {
	Maker  string   `json:"maker"`
	Model  string   `json:"model"`
	Differ []string `json:"differ"`
}

func (SheetDisputed) Kind() string      { return "sheet disputed" }
func (s SheetDisputed) Subject() string { return "sheet:" + s.Maker + " " + s.Model }

func (s SheetDisputed) apply(tx *Tx, e Entry) error {
	sheet, found, err := tx.Sheet(e.Room, s.Maker, s.Model)
	if err != nil || !found {
		return err
	}
	sheet.ConfirmedBy = nil
	return tx.putSheet(e.Room, sheet)
}

func (tx *Tx) putSheet(room string, s Sheet) error {
	body, err := json.Marshal(s)
	if err != nil {
		return err
	}
	err = tx.put(`INSERT INTO sheet(room, maker, model, body) VALUES(?, ?, ?, ?)
		ON CONFLICT(room, maker, model) DO UPDATE SET body = excluded.body`, room, s.Maker, s.Model, string(body))
	if err != nil {
		return err
	}
	return tx.reckonModel(room, s.Maker, s.Model)
}

// Sheet finds a model's sheet.
func (tx *Tx) Sheet(room, maker, model string) (Sheet, bool, error) {
	return one[Sheet](tx, `SELECT body FROM sheet WHERE room = ? AND maker = ? AND model = ?`, room, maker, model)
}

// Sheets lists a room's sheets by maker and model.
func (tx *Tx) Sheets(room string) ([]Sheet, error) {
	return all[Sheet](tx, `SELECT body FROM sheet WHERE room = ? ORDER BY maker, model`, room)
}

// Unsheeted is a model of which a room has kit, without a sheet that counts.
type Unsheeted struct {
	Maker, Model, Flow string
	Marks              []string
	Sheet              *Sheet // nil: nobody has typed one
}

// ModelsWithoutSheet lists by maker and model what has no sheet that counts. Kit that is retired, or back with its owner, is
// left out.
func (tx *Tx) ModelsWithoutSheet(room string) ([]Unsheeted, error) {
	all, err := list(tx, func(row *sql.Rows) (Unsheeted, error) {
		var u Unsheeted
		var marks string
		err := row.Scan(&u.Maker, &u.Model, &u.Flow, &marks)
		u.Marks = strings.Split(marks, "\n")
		slices.Sort(u.Marks)
		return u, err
	}, `SELECT max(maker), max(model), flow, group_concat(mark, char(10)) FROM item
		WHERE room = ? AND NOT EXISTS (SELECT 1 FROM hold WHERE hold.room = item.room AND hold.mark = item.mark AND hold.verdict = 'retire' AND hold.released IS NULL)
		AND NOT EXISTS (SELECT 1 FROM custody WHERE custody.room = item.room AND custody.mark = item.mark AND custody.body ->> '$.gone' IS NOT NULL)
		GROUP BY maker COLLATE NOCASE, model COLLATE NOCASE, flow ORDER BY 1, 2, 3`, room)
	var open []Unsheeted
	for _, u := range all {
		sheet, found, err := tx.Sheet(room, u.Maker, u.Model)
		switch {
		case err != nil:
			return nil, err
		case found && sheet.Counts():
			continue
		case found:
			u.Sheet = &sheet
		}
		open = append(open, u)
	}
	return open, err
}
