package agreement

import "errors"

// ErrUneven tells that not every thing was called by equally many people, at least two.
var ErrUneven = errors.New("agreement of many needs the same number of people, at least two, for every thing")

// Many is the agreement of many people, not necessarily the same ones for each thing: counts[i][a] of them called thing i a. It gives Fleiss' kappa,
// and the share of pairs that agree; the kappa is unknown (false) where everybody gave one answer throughout.
// Source: Fleiss, Psychological Bulletin 76 (1971).
func Many(counts [][]int) (kappa, alike float64, known bool, err error) {
	if len(counts) == 0 {
		return 0, 0, false, ErrUneven
	}
	people := 0
	for _, n := range counts[0] {
		people += n
	}
	answers := make([]float64, len(counts[0]))
	for _, row := range counts {
		sum, pairs := 0, 0
		if len(row) != len(answers) {
			return 0, 0, false, ErrUneven
		}
		for a, n := range row {
			sum += n
			pairs += n * (n - 1)
			answers[a] += float64(n)
		}
		if sum != people || people < 2 {
			return 0, 0, false, ErrUneven
		}
		alike += float64(pairs) / float64(people*(people-1)) / float64(len(counts))
	}
	luck := 0.0
	for _, n := range answers {
		p := n / float64(people*len(counts))
		luck += p * p
	}
	if luck >= 1 {
		return 0, alike, false, nil
	}
	return (alike - luck) / (1 - luck), alike, true, nil
}
