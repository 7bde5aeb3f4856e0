package store

// CheckedBeforeUse says that somebody went through the short list for an item before they used it. It is no inspection: it
// moves no date and gives no verdict. A fault found there is a hold of its own beside it.
type CheckedBeforeUse struct {
	Mark string `json:"mark"`
	// Flow is the hash of the script whose list it was, and Checks are the checks that were asked.
	Flow   string   `json:"flow"`
	Checks []string `json:"checks"`
	// Wrong are the checks at which something was found or couldn't be told; empty: all were clear. Said is what was said of them.
	Wrong []string `json:"wrong,omitempty"`
	Said  string   `json:"said,omitempty"`
}

func (CheckedBeforeUse) Kind() string             { return "checked before use" }
func (c CheckedBeforeUse) Subject() string        { return ItemSubject(c.Mark) }
func (c CheckedBeforeUse) apply(*Tx, Entry) error { return nil }
