package bot

import (
	"fmt"
	"slices"

	"becket/flows"
	"becket/store"
)

// opinion tells whether an opinion was given by somebody who was asked, by nobody else in their name, about what was asked,
// and whether the rules make of it what the record says.
func (a *audit) opinion(e store.Entry, o store.Opinion) []string {
	asked, ok := a.asked[o.ID]
	delete(a.asked, o.ID)
	switch {
	case !ok:
		return []string{"gives an opinion that nobody asked for"}
	case e.By != o.By || !slices.Contains(asked.Asked, o.By):
		return []string{fmt.Sprintf("gives an opinion by %s, who wasn't asked for it", o.By)}
	case o.By == asked.First:
		return []string{"gives a second opinion by whoever gave the first"}
	case !slices.Equal(o.Steps, asked.Steps) || o.Inspection != asked.Inspection || o.Mark != asked.Mark:
		return []string{"gives an opinion on something else than was asked"}
	}
	worst, err := a.opinionMeans(o)
	switch {
	case err != nil:
		return []string{"holds an opinion that its script doesn't take: " + err.Error()}
	case worst != o.Verdict:
		return []string{fmt.Sprintf("takes an opinion as %s, and by the rules it is %s", o.Verdict, worst)}
	}
	return nil
}

// opinionMeans judges an opinion once more, by what its inspection started from.
func (a *audit) opinionMeans(o store.Opinion) (worst flows.Verdict, err error) {
	err = a.db.View(a.ctx, func(tx *store.Tx) error {
		row, found, err := tx.Inspection(o.Inspection)
		if err != nil || !found {
			return fmt.Errorf("the inspection %q isn't there", o.Inspection)
		}
		i, err := a.bot.load(tx, row)
		if err != nil {
			return err
		}
		worst = flows.Fit
		for _, answer := range o.Answers {
			if _, scripted := i.flow.Step(answer.Step); !scripted { // what was found before, which is no longer asked about
				worst = o.Verdict
				return nil
			}
			_, verdict, _, err := flows.Second(i.flow, i.state.Start, answer)
			if err != nil {
				return err
			}
			worst = max(worst, verdict)
		}
		return nil
	})
	return worst, err
}
