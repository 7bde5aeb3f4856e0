package flows

import (
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"sync/atomic"
	"testing"
)

// manyPairs are all that are drawn with BECKET_PAIRS=1000000; without it, a twentieth.
const manyPairs = 1_000_000

// pairing draws inspections of one family in pairs, of which the second has one thing more or worse.
type pairing struct {
	flow  *Flow
	rand  *rand.Rand
	start Start
	clear map[string]Answer
}

// begin draws the facts, now and then one that isn't known, and answers all as for something new.
func (p *pairing) begin(d Document) {
	p.start = Start{Item: d.Item.Item, Day: anyDay(), Facts: map[string]string{}, Sheet: d.Sheet, Doubt: d.Instrument.Doubt, Seed: p.rand.Uint64()}
	for _, fact := range p.flow.Facts {
		if n := p.rand.IntN(2*len(fact.Choices) + 1); n > 0 {
			p.start.Facts[fact.ID] = fact.Choices[(n-1)/2].ID
		}
	}
	p.clear = map[string]Answer{}
	for _, step := range p.flow.Steps() {
		p.clear[step.Name] = clearAnswer(p.flow, p.start, step)
	}
}

// worsened is a step's answer with one thing more or worse, and whether there was anything to worsen.
func (p *pairing) worsened(step Step, a Answer) (Answer, bool) {
	switch {
	case a.Unknown:
		return a, false
	case step.Check != nil && p.rand.IntN(4) > 0:
		found := step.Check.Findings[p.rand.IntN(len(step.Check.Findings))]
		a.Findings, a.Clear = append(slices.Clone(a.Findings), found.ID), false
		return a, true
	case step.Reading != nil && p.rand.IntN(4) > 0:
		low, high := step.Reading.bounds()
		by := high.Sub(low).Percent(MustNumber("1")).Times(1 + p.rand.IntN(60))
		a.Readings = slices.Clone(a.Readings)
		a.Readings[p.rand.IntN(len(a.Readings))] = step.Reading.moved(step.Reading.worst(a.Readings), by)
		return a, true
	case len(a.Findings) > 0 || step.Reading != nil || step.Value != nil && step.Value.differs(a.Text, State{Start: p.start}):
		return a, false
	}
	return Answer{Step: step.Name, Unknown: true}, true
}

// draw judges one pair. The first has up to four things wrong.
func (p *pairing) draw() (before, after Outcome, how string) {
	steps := p.flow.Steps()
	changed := map[string]Answer{}
	worsen := func() string {
		step := steps[p.rand.IntN(len(steps))]
		a, ok := changed[step.Name]
		if !ok {
			a = p.clear[step.Name]
		}
		worse, did := p.worsened(step, a)
		if did {
			changed[step.Name] = worse
		}
		return step.Name
	}
	judged := func() Outcome {
		state := p.flow.Start(p.start)
		for _, step := range steps {
			a, ok := changed[step.Name]
			if !ok {
				a = p.clear[step.Name]
			}
			state.answers = append(state.answers, a)
		}
		return Judge(p.flow, state)
	}
	for range p.rand.IntN(5) {
		worsen()
	}
	before = judged()
	how = worsen()
	return before, judged(), how
}

// Design rule 2 in bulk, over all families evenly: one thing more or worse never gives a milder verdict.
func TestManyPairsNeverSoften(t *testing.T) {
	pairs := manyPairs / 20
	if asked, err := strconv.Atoi(os.Getenv("BECKET_PAIRS")); err == nil {
		pairs = asked
	}
	list := libraryFlows(t)
	each := pairs/len(list) + 1
	var drawn, below, complete atomic.Int64
	t.Run("families", func(t *testing.T) {
		for n, f := range list {
			d := clearOf(t, f)
			t.Run(f.ID, func(t *testing.T) {
				t.Parallel()
				p := pairing{flow: f, rand: rand.New(rand.NewPCG(uint64(each), uint64(n)))}
				for i := range each {
					if i%40 == 0 {
						p.begin(d)
					}
					before, after, how := p.draw()
					drawn.Add(1)
					if before.Worst() < Retire {
						below.Add(1)
					}
					if before.Verdict != Incomplete && after.Verdict != Incomplete {
						complete.Add(1)
						if after.Verdict < before.Verdict {
							t.Fatalf("pair %d, %s: it was %s and is %s", i, how, before.Verdict, after.Verdict)
						}
					}
					if after.Worst() < before.Worst() {
						t.Fatalf("pair %d, %s: the worst rule was %s and is %s", i, how, before.Worst(), after.Worst())
					}
				}
			})
		}
	})
	share := func(n int64) float64 { return 100 * float64(n) / float64(drawn.Load()) }
	t.Logf("%d pairs over %d families: %.1f %% start below retire, %.1f %% are complete on both sides", drawn.Load(), len(list), share(below.Load()), share(complete.Load()))
	if share(below.Load()) < 50 || share(complete.Load()) < 30 {
		t.Error("too few start below retire, or are complete: nothing is tried")
	}
}
