package store

import (
	"database/sql"
	"fmt"
	"strings"
	"unicode"
)

// Find lists the marks of a room's items of which every word is part of what is said of it: mark, serial, batch, family,
// maker, model, place, holder and owner. The item of that very mark comes first, the others by mark; no more than most are
// given, and how many there are in all. A word of one or two letters has to be the start or the end of a word, since
// almost everything has it somewhere.
func (tx *Tx) Find(room, words string, most int) (marks []string, all int, err error) {
	match := matching(words)
	if match == "" {
		return nil, 0, nil
	}
	const from = ` FROM item_words JOIN item_text AS t ON t.n = item_words.rowid WHERE item_words MATCH ? AND t.room = ?`
	if _, err := tx.get(`SELECT count(*)`+from, []any{match, room}, &all); err != nil {
		return nil, 0, err
	}
	marks, err = tx.marks(`SELECT t.mark`+from+` ORDER BY t.mark <> ?, t.mark LIMIT ?`, match, room, strings.TrimSpace(words), most)
	return marks, all, err
}

// matching says in the words of the index what is looked for; empty where there is nothing to look for.
func matching(words string) string {
	var all []string
	for _, word := range strings.Fields(words) {
		said := strings.TrimSpace(inWordsOf(word))
		switch n := len([]rune(said)); {
		case n == 0:
		case n == 1:
			all = append(all, fmt.Sprintf(`" %s "`, said))
		case n == 2:
			all = append(all, fmt.Sprintf(`(" %s" OR "%[1]s ")`, said))
		default:
			all = append(all, fmt.Sprintf(`"%s"`, said))
		}
	}
	return strings.Join(all, " AND ")
}

// inWordsOf is a text in small letters with a single space before and behind each run of letters and digits.
func inWordsOf(text string) string {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) })
	return " " + strings.Join(words, " ") + " "
}

// reword keeps what an item can be found by.
func (tx *Tx) reword(room string, i Item) error {
	short := strings.TrimLeft(strings.TrimLeftFunc(i.Mark, func(r rune) bool { return !unicode.IsDigit(r) }), "0") // "5" finds D-05
	joined := strings.NewReplacer("-", "", ".", "", " ", "", "/", "")                                              // "d07" finds D-07
	owner := ""
	if i.Loan != nil {
		owner = i.Loan.Owner
	}
	said := inWordsOf(strings.Join([]string{i.Mark, short, joined.Replace(i.Mark), joined.Replace(i.Serial), owner, i.Serial, i.Batch, i.Flow, i.Maker, i.Model, i.Place, i.Holder}, " "))
	return tx.put(`INSERT INTO item_text(room, mark, said) VALUES(?, ?, ?)
		ON CONFLICT(room, mark) DO UPDATE SET said = excluded.said WHERE said <> excluded.said`, room, i.Mark, said)
}

// marks reads a query's one column of marks.
func (tx *Tx) marks(query string, args ...any) ([]string, error) {
	return list(tx, func(row *sql.Rows) (mark string, err error) { return mark, row.Scan(&mark) }, query, args...)
}
