package bot

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"becket/bot/table"
	"becket/flows/due"
)

// spreadsheet takes a table in; it gives whether it was taken whole, and what was told.
func (c *conversation) spreadsheet(text string) (taken bool, told heard) {
	c.Helper()
	rows, err := table.Read([]byte(text), "", table.Large())
	if err != nil {
		return false, nil
	}
	said, err := c.bot.TakeRegister(c.Context(), c.db, c.room, rows, table.Unsaid, false)
	if err != nil {
		c.Fatal(err)
	}
	refused := slices.ContainsFunc(said, func(r RowSaid) bool { return r.Refused })
	return !refused, c.deliver()
}

// TestSafety18_Imported: whatever a file says, no hold is lifted, nothing comes back from retirement, and no day moves later.
func TestSafety18_Imported(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.inspect("@ben", "D-14", nil)
	c.inspect("@ben", "D-60", finds{"look.cam": "crack"})
	c.say("@dee", "", "quarantine D-41 rope creeps")
	marks := []string{"D-14", "D-41", "D-60"}
	day := due.Date{Year: 2026, Month: 11, Day: 14}
	before := map[string]string{}
	days := map[string]due.Date{}
	for _, mark := range marks {
		before[mark], days[mark] = c.status(mark).sentence(day), c.status(mark).due
	}
	for _, says := range []struct{ column, team, value string }{
		{"Status", "", "fit"}, {"Status", "", "in service"}, {"Status", "", ""},
		{string(table.Examined), "examined", "2026-11-13"},
		{string(table.Made), "made", "2026-03"},
		{string(table.FirstUse), "first_use", "2026-11-01"},
		{string(table.Use), "use", "goods"},
		{string(table.Interval), "interval_months", "24"},
		{string(table.LifeMade), "life_made_years", "50"},
		{string(table.LifeUse), "life_use_years", "50"},
		{string(table.Serial), "serial", "22-9999"},
	} {
		for _, mark := range marks {
			row := map[string]string{"Mark": mark, "Family": "cam-handle-descender", says.column: says.value}
			if taken, _ := c.spreadsheet(oneRow(row)); taken && says.team != "" {
				t.Errorf("%s, by a spreadsheet with %s %q: taken", mark, says.column, says.value)
			}
			if says.team != "" {
				item := fmt.Sprintf("- {mark: %s, flow: cam-handle-descender, %s: %s}\n", mark, says.team, says.value)
				head, _, _ := strings.Cut(yard, "items:")
				_ = c.load(head + "items:\n" + item) // refused or not, nothing may come of it
			}
			s := c.status(mark)
			if after := s.sentence(day); after != before[mark] {
				t.Errorf("%s, by a file with %s %q: %q, and before %q", mark, says.column, says.value, after, before[mark])
			}
			if days[mark].Before(s.due) {
				t.Errorf("%s, by a file with %s %q, is due %s, and was %s", mark, says.column, says.value, s.due, days[mark])
			}
		}
	}
	if taken, _ := c.spreadsheet(oneRow(map[string]string{"Mark": "D-14", "Family": "cam-handle-descender", "Status": "quarantine"})); !taken {
		t.Error("a file that holds an item isn't taken")
	}
	c.wantHeld("D-14")
	taken, _ := c.spreadsheet(oneRow(map[string]string{"Mark": "D-61", "Family": "cam-handle-descender", "Maker": "Nobody", "Model": "Wren", "Serial": "K-77"}))
	if taken {
		t.Error("what was retired comes in under a new mark")
	}
}

// oneRow is a table of one row.
func oneRow(cells map[string]string) string {
	var head, row []string
	for _, column := range slices.Sorted(func(yield func(string) bool) {
		for column := range cells {
			if !yield(column) {
				return
			}
		}
	}) {
		head, row = append(head, column), append(row, cells[column])
	}
	return strings.Join(head, ",") + "\n" + strings.Join(row, ",") + "\n"
}

// Several rows of one file that a notice speaks of are all held, and told of in one message.
func TestNotice_SeveralRowsAreToldOfTogether(t *testing.T) {
	t.Parallel()
	c := talk(t)
	c.say("@dee", "", "notice Skerry Works Dunlin, serials 22-1200 to 22-1299: pin may be soft")
	taken, told := c.spreadsheet("Mark,Family,Maker,Model,Serial,Life from manufacture,Life in use\n" +
		"D-90,cam-handle-descender,Skerry Works,Dunlin,22-1200,no limit,no limit\n" +
		"D-91,cam-handle-descender,Skerry Works,Dunlin,22-1250,no limit,no limit\n" +
		"D-92,cam-handle-descender,Skerry Works,Dunlin,22-1300,no limit,no limit\n" +
		"D-93,cam-handle-descender,Skerry Works,Dunlin,22-1299,no limit,no limit\n")
	if !taken {
		t.Fatal("the file isn't taken")
	}
	for mark, holds := range map[string]int{"D-90": 1, "D-91": 1, "D-92": 0, "D-93": 1} {
		if n := len(c.status(mark).holds); n != holds {
			t.Errorf("%s has %d holds, not %d", mark, n, holds)
		}
	}
	var room []string
	for _, r := range told {
		if strings.Contains(r.Text, "By the file, kit came in") {
			room = append(room, r.Text)
		}
	}
	if len(room) != 1 || !strings.Contains(room[0], "In quarantine from now: D-90, D-91, D-93.") {
		t.Errorf("told, in %d messages, is %q", len(room), room)
	}
}
