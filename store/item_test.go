package store

import (
	"strings"
	"testing"
)

// TestAlikeIsFoundByIndex: what every row of a spreadsheet asks for is looked up, and the register isn't read through for it.
func TestAlikeIsFoundByIndex(t *testing.T) {
	db := openTemp(t)
	for name, query := range map[string]string{
		"serials": `SELECT body FROM item WHERE room = ? AND ` + alike("serial") + ` = ` + alike("?") + ` ORDER BY mark`,
		"marks":   `SELECT body FROM item WHERE room = ? AND ` + alike("mark") + ` = ` + alike("?") + ` ORDER BY mark`,
	} {
		var plan, n string
		if err := raw(t, db).QueryRow(`EXPLAIN QUERY PLAN `+query, "!here", "22-1180").Scan(&n, &n, &n, &plan); err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(plan, "_alike (room=? AND <expr>=?)") {
			t.Errorf("%s: %s", name, plan)
		}
	}
}
