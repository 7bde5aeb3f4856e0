package store

import (
	"fmt"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"becket/flows"
	"becket/flows/due"
)

// TestReadingsStandAsTheyFold: whatever is answered, taken back, set aside or can't be told, and in whatever order, what an inspection measured is
// what its answers fold to; and what isn't signed isn't there.
func TestReadingsStandAsTheyFold(t *testing.T) {
	db := teamed(t)
	day := due.Date{Year: 2026, Month: 11, Day: 26}
	n := 0
	rapid.Check(t, func(rt *rapid.T) {
		n++
		id, mark := fmt.Sprint("$", n), fmt.Sprint("D-", n)
		steps := []string{"measure.groove", "measure.pin", "look.plate"}
		state := (&flows.Flow{}).Start(flows.Start{})
		do(t, db, func(tx *Tx) error {
			if _, err := tx.Append("!yard", "@ana", "$1", Started{Inspection: id, Mark: mark}); err != nil {
				return err
			}
			for range rapid.IntRange(0, 12).Draw(rt, "answers") {
				a := Answered{Inspection: id, Answer: flows.Answer{Step: rapid.SampledFrom(steps).Draw(rt, "step")}}
				switch rapid.IntRange(0, 5).Draw(rt, "how") {
				case 0:
					a.Reopen = true
				case 1:
					a.Unknown = true
				case 2:
					a.Clear = true
				case 3:
					a.SetAside = flows.AgainSpread
					fallthrough
				default:
					for range rapid.IntRange(1, 3).Draw(rt, "repeats") {
						a.Readings = append(a.Readings, flows.MustNumber(fmt.Sprintf("0.%02d", rapid.IntRange(0, 99).Draw(rt, "reading"))))
					}
				}
				if _, err := tx.Append("!yard", "@ana", "$1", a); err != nil {
					return err
				}
				state = state.Recorded(a.Answer, a.SetAside)
			}
			if all, err := tx.MeasuredOf("!yard", mark); err != nil || len(all) > 0 {
				rt.Errorf("before it is signed: %v, %v", all, err)
			}
			_, err := tx.Append("!yard", "@ana", "$1", Signed{Inspection: id, Mark: mark, Day: day})
			return err
		})
		var want []flows.Answer
		slices.Sort(steps)
		for _, step := range steps {
			if a, given := state.Given(step); given && len(a.Readings) > 0 && !a.Unknown {
				want = append(want, flows.Answer{Step: step, Readings: a.Readings})
			}
		}
		view(t, db, func(tx *Tx) error {
			all, err := tx.MeasuredOf("!yard", mark)
			switch {
			case err != nil:
				return err
			case len(want) == 0 && len(all) > 0, len(want) > 0 && (len(all) != 1 || all[0].Day != day || !reflect.DeepEqual(all[0].Answers, want)):
				rt.Errorf("measured was %+v, and by its answers it is %+v", all, want)
			}
			return nil
		})
	})
	faults, err := db.Verify(t.Context(), Projected(), nil)
	if err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}
