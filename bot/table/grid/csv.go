package grid

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// CSV reads cells that commas, semicolons or tabs part. Its errors say what to change, and where.
func CSV(text []byte, mostRows int) (Grid, error) {
	text = bytes.TrimPrefix(text, []byte("\xef\xbb\xbf"))
	if !utf8.Valid(text) || bytes.IndexByte(text, 0) >= 0 {
		return Grid{}, errors.New("the letters of this file can't be read; save it again as \"CSV UTF-8\"")
	}
	in := csv.NewReader(bytes.NewReader(text))
	in.Comma, in.FieldsPerRecord = separator(text), -1
	var g Grid
	for {
		texts, err := in.Read()
		var broken *csv.ParseError
		switch {
		case errors.Is(err, io.EOF):
			return g, nil
		case errors.As(err, &broken):
			return g, fmt.Errorf("row %d has a quotation mark that isn't closed, or one in the middle; look at that row", broken.StartLine)
		case err != nil:
			return g, err
		}
		line, _ := in.FieldPos(0)
		row := Row{Line: line}
		for n, text := range texts {
			if text = strings.Trim(text, " \u00a0"); text != "" {
				row.Cells = append(row.Cells, Cell{Column: n, Text: text})
			}
		}
		if len(row.Cells) == 0 {
			continue
		}
		if g.Rows = append(g.Rows, row); len(g.Rows) > mostRows {
			return g, tooManyRows("", mostRows)
		}
	}
}

func tooManyRows(at string, most int) error {
	return fmt.Errorf("%sthere are more than %d rows; split the file", at, most)
}

// separator is what stands most often between the headings.
func separator(text []byte) rune {
	first, _, _ := bytes.Cut(bytes.TrimLeft(text, "\r\n"), []byte("\n"))
	best := ','
	for _, r := range ";\t" {
		if bytes.Count(first, []byte(string(r))) > bytes.Count(first, []byte(string(best))) {
			best = r
		}
	}
	return best
}
