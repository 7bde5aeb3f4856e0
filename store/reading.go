package store

import (
	"database/sql"
	"encoding/json"
	"fmt"

	"becket/flows"
	"becket/flows/due"
)

// keepReadings keeps what a step was measured at, as long as that answer stands: one that was set aside changes nothing, and one that was
// taken back, or that couldn't tell, leaves the step without readings.
func (a Answered) keepReadings(tx *Tx) error {
	switch {
	case a.SetAside != "":
		return nil
	case len(a.Readings) == 0 || a.Reopen || a.Unknown:
		return tx.put(`DELETE FROM reading WHERE inspection = ? AND step = ?`, a.Inspection, a.Step)
	}
	readings, err := json.Marshal(a.Readings)
	if err != nil {
		return fmt.Errorf("the readings of %s can't be kept: %w", a.Step, err)
	}
	return tx.put(`INSERT INTO reading(inspection, step, readings) VALUES(?, ?, ?)
		ON CONFLICT(inspection, step) DO UPDATE SET readings = excluded.readings`, a.Inspection, a.Step, string(readings))
}

// Measured is what one signed inspection measured.
type Measured struct {
	Seq     int64    // the entry with which it began
	Day     due.Date // of the examination
	Started Started
	// Answers are its standing answers with readings, in the order of their steps' names.
	Answers []flows.Answer
}

// MeasuredOf is what each of an item's signed inspections measured, oldest first, without those that measured nothing.
func (tx *Tx) MeasuredOf(room, mark string) (all []Measured, err error) {
	rows, err := list(tx, scanMeasuredStep, `SELECT i.seq, i.day, j.body, r.step, r.readings
		FROM inspection i JOIN reading r ON r.inspection = i.id JOIN journal j ON j.seq = i.seq
		WHERE i.room = ? AND i.mark = ? AND i.state IN ('signed', 'supervised')
		ORDER BY i.day, i.started, i.id, r.step`, room, mark)
	for _, row := range rows {
		if len(all) == 0 || all[len(all)-1].Seq != row.seq {
			one := Measured{Seq: row.seq}
			if one.Day, err = due.Parse(row.day); err != nil {
				return nil, err
			}
			if err := json.Unmarshal(row.started, &one.Started); err != nil {
				return nil, fmt.Errorf("entry %d: %w", row.seq, err)
			}
			all = append(all, one)
		}
		a := flows.Answer{Step: row.step}
		if err := json.Unmarshal([]byte(row.readings), &a.Readings); err != nil {
			return nil, fmt.Errorf("the readings of %s: %w", row.step, err)
		}
		last := &all[len(all)-1]
		last.Answers = append(last.Answers, a)
	}
	return all, err
}

// measuredStep is one step of an inspection, with the entry that began that.
type measuredStep struct {
	seq      int64
	day      string
	started  []byte
	step     string
	readings string
}

func scanMeasuredStep(row *sql.Rows) (m measuredStep, err error) {
	err = row.Scan(&m.seq, &m.day, &m.started, &m.step, &m.readings)
	return m, err
}
