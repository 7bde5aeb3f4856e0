package store

import (
	"testing"

	"becket/flows"
)

// TestHoldsOfAnOlderEdition: what was held before holds had a source has the one that its rule gives, and the register
// is what the journal gives again.
func TestHoldsOfAnOlderEdition(t *testing.T) {
	db := teamed(t)
	want := map[string]Source{"D-1": Reported, "D-2": Finding, "D-3": Arrest, "D-4": Untold, "D-5": Noticed, "D-6": Decision}
	do(t, db, func(tx *Tx) error {
		for mark, held := range map[string]HoldPlaced{
			"D-1": {}, "D-2": {Inspection: "$9", Rule: "cam.notch"}, "D-3": {Inspection: "$9", Rule: "history.arrest"},
			"D-4": {Inspection: "$9", Rule: "cam.unknown"}, "D-5": {Inspection: "$9", Rule: "history.notice"}, "D-6": {Inspection: "$9", Rule: "cam-groove.same"},
		} {
			held.Mark, held.Verdict, held.Why = mark, flows.Quarantine, "it is so"
			if _, err := tx.Append("!yard", "@ana", "$2", held); err != nil {
				return err
			}
		}
		return nil
	})
	backToEdition(t, raw(t, db), 16)
	file := db.file
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	again, err := Open(t.Context(), file, atTen)
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	view(t, again, func(tx *Tx) error {
		for mark, source := range want {
			holds, err := tx.Holds("!yard", mark)
			if err != nil {
				return err
			}
			if len(holds) != 1 || holds[0].Source != source {
				t.Errorf("%s: %+v, want %s", mark, holds, source)
			}
		}
		return nil
	})
	faults, err := again.Verify(t.Context(), Projected(), nil)
	if err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}
