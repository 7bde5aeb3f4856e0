package bot

import (
	"math"

	"becket/flows/agreement"
)

// fewTwice is below how many pairs figures of agreement say little.
const fewTwice = 24

// How a table of two looks is ordered.
const (
	outOfUse = iota
	inUse
)

// agreement tells the keeper how far two looks at the same item agree, by all that was inspected again, blind. The raw counts and all
// figures stand together (attention rule 18), and no names.
func (t *turn) agreement(string) error {
	pairs, err := t.tx.RepeatPairs(t.m.Room, "")
	if err != nil {
		return err
	}
	table := agreement.Table{{0, 0}, {0, 0}}
	for _, p := range pairs {
		first, second := outOfUse, outOfUse
		if p.First.Verdict.Usable() {
			first = inUse
		}
		if p.Second.Verdict.Usable() {
			second = inUse
		}
		table[first][second]++
	}
	practice, err := t.practiceTogether()
	if err != nil || len(pairs) == 0 {
		t.reply(joined(agreeNone, practice))
		return err
	}
	two, err := agreement.Compare(table)
	if err != nil {
		return err
	}
	t.reply(joined(append(agreementWords(two), practice)...))
	return nil
}

// practiceTogether is how many of the faults that were set in practice all people together caught; empty where fewer than two practised,
// since what one person caught is said to that person alone.
func (t *turn) practiceTogether() (string, error) {
	people, err := t.tx.People(t.m.Room)
	if err != nil {
		return "", err
	}
	found, set, practised := 0, 0, 0
	for _, p := range people {
		caught, planted, err := t.tx.Practice(t.m.Room, p.ID, t.tx.Now().AddDate(-catchYears, 0, 0))
		if err != nil {
			return "", err
		}
		if found, set = found+caught, set+planted; planted > 0 {
			practised++
		}
	}
	if practised < 2 {
		return "", nil
	}
	c := agreement.CaughtOf(found, set)
	return format(agreePractice, found, set, percent(float64(found)/float64(set)), percent(c.Between.Low), percent(c.Between.High)), nil
}

func agreementWords(two agreement.Two) []string {
	both, first, second := two.Table[outOfUse][outOfUse], two.Table[outOfUse][inUse], two.Table[inUse][outOfUse]
	lines := []string{
		format(agreeHead, two.N),
		format(agreeRaw, two.Table[inUse][inUse], both, first, second),
		format(agreeShare, two.Alike, two.N, percent(two.Share), percent(two.Between.Low), percent(two.Between.High)),
	}
	if two.Kappa.Known {
		lines = append(lines, format(agreeKappa, two.Kappa.Value, two.Kappa.Low, two.Kappa.High, two.AC1.Value, two.AC1.Low, two.AC1.High, two.PABAK))
	} else {
		lines = append(lines, format(agreeNoKappa, two.AC1.Value, two.PABAK))
	}
	lines = append(lines, agreeRead)
	if found := both + first + second; found > 0 {
		lines = append(lines, format(agreeMissed, found, second, first))
	}
	if both+second > 0 { // what the second found is what the first is held against
		caught := agreement.CaughtOf(both, both+second)
		lines = append(lines, format(agreeFound, percent(float64(both)/float64(both+second)), percent(caught.Between.Low), percent(caught.Between.High)))
	}
	if both > 0 && first+second > 0 {
		r := agreement.ReadersOf(both, first, second)
		lines = append(lines, format(agreeUnseen, r.All, 2*math.Sqrt(r.Variance), max(0, r.All-float64(both+first+second))),
			format(agreeDiffer, int(math.Round(100*r.ByChance))))
	}
	if two.N < fewTwice {
		lines = append(lines, agreeFewTwice)
	}
	return lines
}

func percent(share float64) string { return format(percentOf, 100*share) }

// GaugeWords says what a gauge study shows: readings[person][part][trial].
func GaugeWords(readings [][][]float64) (string, error) {
	g, err := agreement.Study(readings)
	if err != nil {
		return "", err
	}
	pooled := gaugeNotPooled
	if g.Pooled {
		pooled = gaugePooled
	}
	rule := gaugeBad
	switch share := g.StudyVariation(); {
	case share < 0.1:
		rule = gaugeGood
	case share < 0.3:
		rule = gaugeMiddling
	}
	return joined(
		format(gaugeHead, len(readings), len(readings[0]), len(readings[0][0])),
		format(gaugeSpread, math.Sqrt(g.Repeatability), math.Sqrt(g.Reproducibility), math.Sqrt(g.Both), math.Sqrt(g.Parts)),
		format(gaugeShare, 100*g.StudyVariation(), 100*g.Contribution()), rule,
		format(gaugeKinds, int(g.Kinds())), pooled, gaugeSource), nil
}
