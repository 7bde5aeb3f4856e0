package store

import "becket/flows/due"

// ReportIssued says that a report of thorough examination was issued, and keeps what only its maker could say. The document lies
// beside the database under its hash.
type ReportIssued struct {
	Mark       string   `json:"mark"`
	Inspection string   `json:"inspection"`
	Number     string   `json:"number"` // of the signed record
	Day        due.Date `json:"day"`    // the date of the report
	ReportSays
	Text string `json:"text"` // a hash over its words, which tells whether it would say the same today
	Hash string `json:"hash"` // the document's
	Size int64  `json:"size"`
	// Together tells that other reports stand in the same document.
	Together bool `json:"together,omitempty"`
}

// ReportSays is what is asked when a report is made, since nothing on record says it.
type ReportSays struct {
	// Danger is "yes" or "no": whether a defect is an existing or imminent risk of serious personal injury (LOLER 1998 reg
	// 10(1)(c)); empty: nothing was held, and nobody was asked.
	Danger string `json:"danger,omitempty"`
	Repair string `json:"repair,omitempty"` // what is needed before it may be used again
	// Before is the day of the last thorough examination outside this record, or "never"; empty: there is one in it, or it is new.
	Before string `json:"before,omitempty"`
	Remedy string `json:"remedy,omitempty"` // what will be needed for what is watched
}

func (ReportIssued) Kind() string             { return "report" }
func (r ReportIssued) Subject() string        { return "item:" + r.Mark }
func (r ReportIssued) apply(*Tx, Entry) error { return nil }

// LastReport is the last report that was issued of an inspection.
func (tx *Tx) LastReport(room, mark, inspection string) (last ReportIssued, found bool, err error) {
	entries, err := tx.EntriesIn(room, ItemSubject(mark))
	if err != nil {
		return last, false, err
	}
	for _, e := range entries {
		if e.Kind != last.Kind() {
			continue
		}
		ev, err := e.Event()
		if err != nil {
			return last, false, err
		}
		if r := ev.(*ReportIssued); r.Inspection == inspection {
			last, found = *r, true
		}
	}
	return last, found, nil
}
