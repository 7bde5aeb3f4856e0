// Package practice holds invented kit with planted faults, to practise on: what is seen at one check of a family, and
// what it is. Nothing of it is ever in a register.
package practice

import (
	"embed"
	"fmt"
	"math/rand/v2"

	"becket/flows"
)

// exercises is read-only: the exercises as they were when the program was built.
//
//go:embed exercises.yaml
var exercises embed.FS

// Exercise is one piece of invented kit at one check.
type Exercise struct {
	ID    string `json:"exercise"`
	Flow  string `json:"flow"`         // the family's id
	Check string `json:"check"`        // SECTION.CHECK
	Shows string `json:"shows"`        // what is seen, felt or heard
	Is    string `json:"is,omitempty"` // the finding that it is; empty: nothing is wrong
	Tells string `json:"tells"`        // what it looks like and why, told at the end
}

// Planted tells whether there is a fault to be found.
func (e Exercise) Planted() bool { return e.Is != "" }

// All are the exercises that come with the program. An error means that it was built with some that can't be used.
func All() ([]Exercise, error) {
	text, err := exercises.ReadFile("exercises.yaml")
	if err != nil {
		return nil, fmt.Errorf("the practice in this program can't be read, it must be built again: %w", err)
	}
	var all struct {
		Exercises []Exercise `json:"exercises"`
	}
	if err := flows.ReadDocument(text, "the practice", &all); err != nil {
		return nil, fmt.Errorf("the practice in this program has mistakes, it must be built again: %w", err)
	}
	return all.Exercises, nil
}

// Round draws a round of practice by chance: n exercises, half of them with a fault, none twice, in no order that helps.
// A shorter list where there aren't so many.
func Round(all []Exercise, seed uint64, n int) []Exercise {
	draw := rand.New(rand.NewPCG(seed, 0)) //nolint:gosec // nobody gains by foreseeing it
	var round []Exercise
	for _, planted := range []bool{true, false} {
		left := n / 2
		for _, at := range draw.Perm(len(all)) {
			if all[at].Planted() == planted && left > 0 {
				round = append(round, all[at])
				left--
			}
		}
	}
	draw.Shuffle(len(round), func(i, j int) { round[i], round[j] = round[j], round[i] })
	return round
}
