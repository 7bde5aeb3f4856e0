package grid

import (
	"encoding/xml"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"
)

// format is how a number is shown, as far as it matters to what it is.
type format struct {
	day   bool
	zeros int // how many digits are shown at least
}

// readFormats reads how the cells of each style are shown (ECMA-376 part 1, 18.8.30).
func (w *Workbook) readFormats(part string) error {
	var styles struct {
		Own []struct {
			ID   int    `xml:"numFmtId,attr"`
			Code string `xml:"formatCode,attr"`
		} `xml:"numFmts>numFmt"`
		Cells []struct {
			Format int `xml:"numFmtId,attr"`
		} `xml:"cellXfs>xf"`
	}
	if err := w.decode(part, &styles); err != nil {
		return err
	}
	own := map[int]string{}
	for _, f := range styles.Own {
		own[f.ID] = f.Code
	}
	for _, c := range styles.Cells {
		f := format{day: givenDay(c.Format)}
		if code, is := own[c.Format]; is {
			f = readFormat(code)
		}
		w.formats = append(w.formats, f)
	}
	return nil
}

// givenDay tells whether one of the formats that every program has shows a day: 14 to 17 and 22, and those of East Asia.
func givenDay(id int) bool {
	return id >= 14 && id <= 17 || id == 22 || id >= 27 && id <= 31 || id == 36 || id >= 50 && id <= 54 || id == 57 || id == 58
}

// readFormat tells whether a format shows a day: with a year, or a day in the month. A month alone could be minutes.
func readFormat(code string) format {
	plain := strings.ToLower(withoutAsides(code))
	f := format{day: !strings.Contains(plain, "general") && (strings.ContainsAny(plain, "yd") || strings.Contains(plain, "mmm"))}
	if plain != "" && strings.Trim(plain, "0") == "" {
		f.zeros = len(plain)
	}
	return f
}

// withoutAsides is the first part of a format, for numbers above zero, without what is shown as it stands, what only takes up
// room, and colours and languages.
func withoutAsides(code string) string {
	var plain strings.Builder
	for until := rune(0); code != ""; {
		letter, size := utf8.DecodeRuneInString(code)
		code = code[size:]
		switch {
		case until != 0:
			if letter == until {
				until = 0
			}
		case letter == '"':
			until = '"'
		case letter == '[':
			until = ']'
		case letter == '\\', letter == '_', letter == '*':
			_, size = utf8.DecodeRuneInString(code)
			code = code[size:]
		case letter == ';':
			return plain.String()
		default:
			plain.WriteRune(letter)
		}
	}
	return plain.String()
}

// dayCount is how a workbook counts its days: from the end of 1899, or from 1904.
type dayCount struct{ from1904 bool }

// day is the day of a count (ECMA-376 part 1, 18.17.4), like 2024-03-05; what time of day it holds is left off. Before March 1900
// the one count has a day that never was, and no kit is so old.
func (d dayCount) day(count float64) (string, bool) {
	first := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if d.from1904 {
		first = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	if !(count >= 0 && count < 1_000_000) {
		return "", false
	}
	return first.AddDate(0, 0, int(math.Floor(count))).Format(time.DateOnly), true
}

// digits is how far a spreadsheet reckons: what is written beyond them is chance.
const digits = 15

// number writes a number as people do, with a point and without an exponent.
func number(text string, shown format) (string, float64, bool) {
	n, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(n, 0) || math.IsNaN(n) {
		return text, 0, false
	}
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(n, 'g', digits, 64), 64)
	if err != nil {
		return text, 0, false
	}
	written := strconv.FormatFloat(rounded, 'f', -1, 64)
	if n >= 0 && n == math.Trunc(n) && len(written) < shown.zeros {
		written = strings.Repeat("0", shown.zeros-len(written)) + written
	}
	return written, n, true
}

// unescape reads letters that XML can't hold, written like _x000D_ (ECMA-376 part 1, 22.9.2.19).
func unescape(text string) string {
	const length = len("_x000D_")
	var all strings.Builder
	for {
		before, after, found := strings.Cut(text, "_x")
		all.WriteString(before)
		if !found {
			return all.String()
		}
		code, read := text[len(before):], "_x"
		if len(code) >= length && code[length-1] == '_' {
			if n, err := strconv.ParseUint(code[2:length-1], 16, 16); err == nil && !utf16.IsSurrogate(rune(n)) {
				read, after = string(rune(n)), code[length:]
			}
		}
		all.WriteString(read)
		text = after
	}
}

// attribute is an attribute of an element, by its bare name.
func attribute(of xml.StartElement, name string) string {
	for _, a := range of.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value
		}
	}
	return ""
}
