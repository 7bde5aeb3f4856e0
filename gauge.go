package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"becket/bot"
	"becket/flows"
)

// gaugeCommand is `becket gauge`.
type gaugeCommand struct {
	File string `arg:"" optional:"" help:"Lines of person, part, reading, separated by commas or semicolons; standard input without it."`
}

func (c *gaugeCommand) Run(s *streams) error {
	text, err := readFile(c.File, s.in)
	if err != nil {
		return err
	}
	readings, err := gaugeReadings(string(text))
	if err != nil {
		return err
	}
	said, err := bot.GaugeWords(readings)
	if err != nil {
		return err
	}
	fmt.Fprintln(s.out, said)
	return nil
}

// gaugeReadings reads person, part and reading off each line, into readings[person][part][trial]. A first line without a number is a heading.
func gaugeReadings(text string) (readings [][][]float64, err error) {
	r := csv.NewReader(strings.NewReader(text))
	r.FieldsPerRecord, r.TrimLeadingSpace, r.Comment = 3, true, '#'
	if first, _, _ := strings.Cut(text, "\n"); strings.Contains(first, ";") {
		r.Comma = ';'
	}
	var people, parts []string
	for n := 1; ; n++ {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			return readings, nil
		}
		if err != nil {
			return nil, fmt.Errorf("line %d isn't a person, a part and a reading, like: Ana, 3, 9.62", n)
		}
		value, err := flows.ParseNumber(fields[2])
		if err != nil && n == 1 {
			continue
		}
		if err != nil {
			return nil, fmt.Errorf("line %d: %w", n, err)
		}
		person, part := placeIn(&people, strings.TrimSpace(fields[0])), placeIn(&parts, strings.TrimSpace(fields[1]))
		for len(readings) <= person {
			readings = append(readings, nil)
		}
		for len(readings[person]) <= part {
			readings[person] = append(readings[person], nil)
		}
		readings[person][part] = append(readings[person][part], value.Float())
	}
}

// placeIn is where a name stands in a list; a new one is put at its end.
func placeIn(names *[]string, name string) int {
	if n := slices.Index(*names, name); n >= 0 {
		return n
	}
	*names = append(*names, name)
	return len(*names) - 1
}
