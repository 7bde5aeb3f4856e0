package store

import (
	"database/sql"
	"strings"
	"time"

	"becket/flows"
	"becket/flows/due"
)

// Inspection is where one inspection stands. What was answered is in the journal.
type Inspection struct {
	ID        string
	Seq       int64 // the entry with which it began
	Room      string
	Thread    string
	Mark      string
	Flow      string // hash of its text
	Inspector string
	State     InspectionState
	Round     string // the round that it belongs to; empty: it stands alone
	Repeats   string // the inspection that it repeats, blind; empty: none
	Started   time.Time
	Touched   time.Time // the last answer, pause or resumption
	// What follows is known once it is signed.
	Number  string
	Day     due.Date
	Verdict flows.Verdict
	Signer  string
}

// InspectionState says whether answers are awaited.
type InspectionState string

const (
	Underway   InspectionState = "open"
	OnHold     InspectionState = "paused"
	Left       InspectionState = "left off"
	SignedOff  InspectionState = "signed"
	Interim    InspectionState = "supervised"   // closed by somebody who felt nothing: it moves no date
	Waiting    InspectionState = "waiting"      // in its round, for another item to be done first
	Complete   InspectionState = "to be signed" // all is answered; the round's signature is missing
	subjectOfI                 = "inspection:"
)

// InspectionSubject names an inspection's entries in the journal.
func InspectionSubject(id string) string { return subjectOfI + id }

// Started opens an inspection. It keeps all that will be judged besides the answers.
type Started struct {
	Inspection string `json:"inspection"`
	Thread     string `json:"thread,omitempty"`
	Mark       string `json:"mark"`
	Flow       string `json:"flow"` // hash
	Instrument string `json:"instrument,omitempty"`
	SheetRef   string `json:"sheet_ref,omitempty"` // document, edition and page, as people cite it
	// Interval says which interval binds, and on whose word.
	Interval string `json:"interval,omitempty"`
	// Errors are the instrument's, where its sheet gave them, so that the doubt can be explained later.
	Errors *flows.Errors `json:"errors,omitempty"`
	Sent   time.Time     `json:"sent,omitzero"`  // by the sender's own clock
	Zone   string        `json:"zone,omitempty"` // the team's, for the day of the examination
	Round  string        `json:"round,omitempty"`
	// Repeats is the inspection that this one repeats, blind.
	Repeats string      `json:"repeats,omitempty"`
	Start   flows.Start `json:"start"`
}

func (Started) Kind() string      { return "start" }
func (s Started) Subject() string { return subjectOfI + s.Inspection }

func (s Started) apply(tx *Tx, e Entry) error {
	return tx.put(`INSERT INTO inspection(id, seq, room, thread, mark, flow, inspector, state, started, touched, instrument, round, repeats) VALUES(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
		s.Inspection, e.Seq, e.Room, s.Thread, s.Mark, s.Flow, e.By, string(Underway), e.At.UnixMicro(), e.At.UnixMicro(), s.Instrument, s.Round, s.Repeats)
}

// Answered is one answer to one step. One that was set aside to be asked again stands too: folding the
// entries sets it aside again.
type Answered struct {
	Inspection string `json:"inspection"`
	flows.Answer
	// SetAside says why the answer was not taken and asked for again; empty: it was taken.
	SetAside flows.Again `json:"set_aside,omitempty"`
	// Sent is when it was sent by the sender's own clock, where the message said so. It serves to judge the pace.
	Sent time.Time `json:"sent,omitzero"`
	// Quick marks an answer that came faster than anybody can look.
	Quick bool `json:"quick,omitempty"`
	// Correction marks an answer given to a step that had one.
	Correction bool `json:"correction,omitempty"`
	// Replaces is the message whose edit this is; empty: it is none.
	Replaces string `json:"replaces,omitempty"`
}

func (Answered) Kind() string      { return "answer" }
func (a Answered) Subject() string { return subjectOfI + a.Inspection }

func (a Answered) apply(tx *Tx, e Entry) error {
	if err := tx.work(e, a.Readings); err != nil {
		return err
	}
	if err := a.keepReadings(tx); err != nil {
		return err
	}
	if len(a.Readings) == 0 {
		return tx.touch(a.Inspection, e.At)
	}
	return tx.put(`UPDATE inspection SET touched = ?, measured = 1 WHERE id = ?`, e.At.UnixMicro(), a.Inspection)
}

// Noted is somebody's own words, to an inspection, an item or a person.
type Noted struct {
	Inspection string `json:"inspection,omitempty"`
	Mark       string `json:"mark,omitempty"`
	Person     string `json:"person,omitempty"`
	Text       string `json:"text"`
	Replaces   string `json:"replaces,omitempty"` // as in Answered
}

func (Noted) Kind() string { return "note" }
func (n Noted) Subject() string {
	switch {
	case n.Inspection != "":
		return subjectOfI + n.Inspection
	case n.Person != "":
		return "person:" + n.Person
	}
	return "item:" + n.Mark
}

func (Noted) apply(*Tx, Entry) error { return nil }

// Photographed is a picture that belongs to a step of an inspection, or to an item. The picture itself lies
// beside the database under its hash.
type Photographed struct {
	Inspection string `json:"inspection,omitempty"`
	Mark       string `json:"mark,omitempty"`
	Step       string `json:"step,omitempty"`
	Hash       string `json:"hash"`
	Name       string `json:"name"`
	Type       string `json:"type"`
	Size       int64  `json:"size"`
	Taken      string `json:"taken,omitempty"` // when, by the camera's own clock
}

func (Photographed) Kind() string { return "photo" }
func (p Photographed) Subject() string {
	if p.Inspection != "" {
		return subjectOfI + p.Inspection
	}
	return "item:" + p.Mark
}

func (Photographed) apply(*Tx, Entry) error { return nil }

// Paused stops the asking for a while.
type Paused struct {
	Inspection string `json:"inspection"`
}

func (Paused) Kind() string      { return "pause" }
func (p Paused) Subject() string { return subjectOfI + p.Inspection }

func (p Paused) apply(tx *Tx, e Entry) error { return tx.setState(p.Inspection, OnHold, e.At) }

// Resumed carries on.
type Resumed struct {
	Inspection string `json:"inspection"`
}

func (Resumed) Kind() string      { return "carry on" }
func (r Resumed) Subject() string { return subjectOfI + r.Inspection }

func (r Resumed) apply(tx *Tx, e Entry) error { return tx.setState(r.Inspection, Underway, e.At) }

// TakenOver makes the entry's author the inspector from here.
type TakenOver struct {
	Inspection string `json:"inspection"`
	From       string `json:"from"`
	// OneByOne: whoever took over may not sign, and is asked one thing at a time from here.
	OneByOne bool `json:"one_by_one,omitempty"`
}

func (TakenOver) Kind() string      { return "take over" }
func (t TakenOver) Subject() string { return subjectOfI + t.Inspection }

func (t TakenOver) apply(tx *Tx, e Entry) error {
	if err := tx.put(`UPDATE inspection SET inspector = ? WHERE id = ?`, e.By, t.Inspection); err != nil {
		return err
	}
	return tx.setState(t.Inspection, Underway, e.At)
}

// LeftOff ends an inspection without a verdict. Its holds stay. With ToSign, what was found retires the item
// already, and the inspection stays open for its signature.
type LeftOff struct {
	Inspection string   `json:"inspection"`
	NotDone    []string `json:"not_done,omitempty"`
	ToSign     bool     `json:"to_sign,omitempty"`
}

func (LeftOff) Kind() string      { return "leave off" }
func (l LeftOff) Subject() string { return subjectOfI + l.Inspection }

func (l LeftOff) apply(tx *Tx, e Entry) error {
	if l.ToSign {
		return tx.touch(l.Inspection, e.At)
	}
	return tx.setState(l.Inspection, Left, e.At)
}

// Signed ends an inspection with a verdict. Outcome is what the rules said then; Verify derives it again.
type Signed struct {
	Inspection string        `json:"inspection"`
	Number     string        `json:"number"`
	Mark       string        `json:"mark"`
	Day        due.Date      `json:"day"`
	Verdict    flows.Verdict `json:"verdict"` // never milder than Outcome's
	Reason     string        `json:"reason,omitempty"`
	Outcome    flows.Outcome `json:"outcome"`
	// Newer is the model's sheet as it stood at signing, where it had changed since the start. The outcome is the
	// worst by either.
	Newer *NewerSheet `json:"newer,omitempty"`
	// Warned is what was said beside the signature about the signer's independence.
	Warned string `json:"warned,omitempty"`
}

// NewerSheet is what a sheet says now.
type NewerSheet struct {
	Figures     map[string]flows.Number `json:"figures"`
	Unconfirmed string                  `json:"unconfirmed,omitempty"`
	Ref         string                  `json:"ref,omitempty"`
	// Facts are the model's, where an inspection is judged by others than it began with; nil: it isn't.
	Facts map[string]string `json:"facts,omitzero"`
}

func (Signed) Kind() string      { return "sign" }
func (s Signed) Subject() string { return subjectOfI + s.Inspection }

func (s Signed) apply(tx *Tx, e Entry) error {
	err := tx.put(`UPDATE inspection SET state = ?, touched = ?, number = ?, day = ?, verdict = ?, signer = ? WHERE id = ?`,
		string(SignedOff), e.At.UnixMicro(), s.Number, s.Day.String(), s.Verdict.String(), e.By, s.Inspection)
	if err != nil {
		return err
	}
	return tx.reckon(e.Room, s.Mark)
}

// Supervised closes what somebody else examined under the author's eyes. It counts as an interim inspection.
type Supervised struct{ Signed }

func (Supervised) Kind() string { return "supervise" }

func (s Supervised) apply(tx *Tx, e Entry) error {
	return tx.put(`UPDATE inspection SET state = ?, touched = ?, number = ?, day = ?, verdict = ?, signer = ? WHERE id = ?`,
		string(Interim), e.At.UnixMicro(), s.Number, s.Day.String(), s.Verdict.String(), e.By, s.Inspection)
}

// Supervised lists what somebody examined under supervision, oldest first.
func (tx *Tx) Supervised(room, inspector string) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND inspector = ? AND state = 'supervised' ORDER BY touched, id`, room, inspector)
}

// Closed tells whether nobody may answer or carry on any more.
func (i Inspection) Closed() bool {
	return i.State == SignedOff || i.State == Interim || i.State == Left
}

func (tx *Tx) touch(id string, at time.Time) error {
	return tx.put(`UPDATE inspection SET touched = ? WHERE id = ?`, at.UnixMicro(), id)
}

func (tx *Tx) setState(id string, state InspectionState, at time.Time) error {
	return tx.put(`UPDATE inspection SET state = ?, touched = ? WHERE id = ?`, string(state), at.UnixMicro(), id)
}

// Inspection finds an inspection by id.
func (tx *Tx) Inspection(id string) (Inspection, bool, error) {
	return firstOf(tx.inspections(`WHERE id = ?`, id))
}

// OpenInspections lists a room's inspections that somebody may still answer or carry on, oldest first.
func (tx *Tx) OpenInspections(room string) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND state IN ('open', 'paused') ORDER BY started, id`, room)
}

// Unfinished is the inspection of an item that somebody may still answer, carry on or sign. An item has one at most.
func (tx *Tx) Unfinished(room, mark string) (Inspection, bool, error) {
	return firstOf(tx.inspections(`WHERE room = ? AND mark = ? AND state IN ('open', 'paused', 'waiting', 'to be signed') ORDER BY started, id LIMIT 1`, room, strings.TrimSpace(mark)))
}

// InspectionsOf lists an item's inspections, oldest first.
func (tx *Tx) InspectionsOf(room, mark string) ([]Inspection, error) {
	return tx.inspections(`WHERE room = ? AND mark = ? ORDER BY started, id`, room, mark)
}

// LastSigned is the item's latest signed inspection; of one and its blind repeat, the stricter.
func (tx *Tx) LastSigned(room, mark string) (Inspection, bool, error) {
	last, signed, err := firstOf(tx.inspections(`WHERE room = ? AND mark = ? AND state = 'signed' ORDER BY day DESC, touched DESC, seq DESC LIMIT 1`, room, mark))
	if err != nil || last.Repeats == "" {
		return last, signed, err
	}
	if first, found, err := tx.Inspection(last.Repeats); err != nil || found && first.State == SignedOff && first.Verdict > last.Verdict {
		return first, found, err
	}
	return last, signed, nil
}

// InspectionIn finds the inspection of a conversation: the one that is asked now, else the last.
func (tx *Tx) InspectionIn(room, thread string) (Inspection, bool, error) {
	return firstOf(tx.inspections(`WHERE room = ? AND thread = ? ORDER BY state IN ('open', 'paused') DESC, seq DESC LIMIT 1`, room, thread))
}

// SignedIn counts a room's signed records whose number starts with prefix.
func (tx *Tx) SignedIn(room, prefix string) (n int, err error) {
	// What follows is digits, and the colon comes after them. LIKE would go through all that the room ever signed.
	_, err = tx.get(`SELECT count(*) FROM inspection WHERE room = ? AND number >= ? AND number < ? || ':'`, []any{room, prefix, prefix}, &n)
	return n, err
}

func firstOf(list []Inspection, err error) (Inspection, bool, error) {
	if err != nil || len(list) == 0 {
		return Inspection{}, false, err
	}
	return list[0], true, nil
}

func (tx *Tx) inspections(where string, args ...any) ([]Inspection, error) {
	return list(tx, scanInspection, `SELECT id, seq, room, thread, mark, flow, inspector, state, started, touched, number, day, verdict, signer, round, repeats FROM inspection `+where, args...)
}

func scanInspection(row *sql.Rows) (Inspection, error) {
	var i Inspection
	var state, day, verdict string
	var started, touched int64
	if err := row.Scan(&i.ID, &i.Seq, &i.Room, &i.Thread, &i.Mark, &i.Flow, &i.Inspector, &state, &started, &touched, &i.Number, &day, &verdict, &i.Signer, &i.Round, &i.Repeats); err != nil {
		return i, err
	}
	i.State, i.Started, i.Touched = InspectionState(state), time.UnixMicro(started).UTC(), time.UnixMicro(touched).UTC()
	var err error
	if day != "" {
		if i.Day, err = due.Parse(day); err != nil {
			return i, err
		}
	}
	i.Verdict, err = flows.ParseVerdict(verdict)
	return i, err
}
