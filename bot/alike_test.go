package bot

import (
	"fmt"
	"slices"
	"testing"
)

// What is said alike of many is said once, in the order in which it came; of few it is left as it was.
func TestManyLinesAlikeAreSaidOnce(t *testing.T) {
	t.Parallel()
	var held, rows []string
	for n := range mostApart {
		held = append(held, fmt.Sprintf("D-%d: since today", n))
		rows = append(rows, fmt.Sprintf("row %d: no such family", n+2))
	}
	if got := allAlike(held); !slices.Equal(got, held) {
		t.Errorf("few: %q", got)
	}
	held = append(held, "D-99: for 3 days")
	want := []string{"Since today: D-0, D-1, D-2, D-3, D-4, D-5, D-6, D-7, D-8, D-9, D-10, D-11", "For 3 days: D-99"}
	if got := allAlike(held); !slices.Equal(got, want) {
		t.Errorf("many: %q", got)
	}
	rows = append(rows, "row 40, column B (Type): there is no mark", "and no row at all")
	want = []string{"rows 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13: no such family", "row 40, column B (Type): there is no mark", "and no row at all"}
	if got := rowsAlike(rows); !slices.Equal(got, want) {
		t.Errorf("rows: %q", got)
	}
}
