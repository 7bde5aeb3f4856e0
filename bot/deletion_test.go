package bot

import (
	"slices"
	"strings"
	"testing"

	"becket/flows"
	"becket/store"
)

// deletes has a message deleted by somebody.
func (c *conversation) deletes(from, message string) heard {
	c.Helper()
	_, h := c.send(Message{From: from, Deletes: message})
	return h
}

// sent is a line whose id is wanted.
func (c *conversation) sent(from, thread, text string, files ...File) string {
	c.Helper()
	id, h := c.send(Message{From: from, Thread: thread, Text: text, Files: files})
	if h.refused() {
		c.Fatalf("%s says %q: %s", from, text, h.text())
	}
	return id
}

// photo keeps a picture, as a transport does.
func (c *conversation) photo(content string) File {
	c.Helper()
	hash, size, err := c.db.PutBlob(c.Context(), strings.NewReader(content), 1<<21)
	if err != nil {
		c.Fatal(err)
	}
	return File{Name: "Wilhelmina.png", Hash: hash, Type: "image/png", Size: size}
}

func (c *conversation) photoIsThere(hash string) bool {
	c.Helper()
	if err := c.db.RemoveUnwanted(c.Context()); err != nil {
		c.Fatal(err)
	}
	r, err := c.db.Blob(hash)
	if err != nil {
		return false
	}
	return r.Close() == nil
}

// record is every entry's body, one after the other.
func (c *conversation) record() string {
	c.Helper()
	var all []string
	c.view(func(tx *store.Tx) error {
		entries, err := tx.EntriesAfter(0, 1_000_000)
		for _, e := range entries {
			all = append(all, e.Kind+" "+string(e.Body))
		}
		return err
	})
	return strings.Join(all, "\n")
}

// TestWhatIsDeletedAndWhatStays is a table of what a message was: what its sender is told when it is deleted, and what stays.
// Each has the name Wilhelmina in its own words, which must be gone, or stay where the record rests on them.
func TestWhatIsDeletedAndWhatStays(t *testing.T) {
	for name, c := range map[string]struct {
		send  func(c *conversation) (id string) // by @ben
		told  []string
		stays func(c *conversation) bool
		words bool // Wilhelmina's name stays in the record
		said  bool // history says it still
	}{
		"a note": {
			send: func(c *conversation) string {
				return c.sent("@ben", c.begin("@ben", "D-41"), "note Wilhelmina used it last")
			},
			told:  []string{deletedWords},
			stays: func(c *conversation) bool { return strings.Contains(c.record(), `"text":"(deleted)"`) },
		},
		"a finding with a photo": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "look.cam", nil)
				return c.sent("@ben", thread, "d because Wilhelmina says so", c.photo("a crack"))
			},
			told: []string{deletedWords, "The answer itself stays", "put right", "D-41 stays out of use"},
			stays: func(c *conversation) bool {
				return len(c.status("D-41").holds) > 0 && strings.Contains(c.record(), `"findings":[`)
			},
		},
		"what can't be told": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "look.cam", nil)
				return c.sent("@ben", thread, "can't tell because Wilhelmina has the lamp")
			},
			told:  []string{deletedWords, "The answer itself stays", "put right"},
			stays: func(c *conversation) bool { return strings.Contains(c.record(), `"unknown":true,"reason":"(deleted)"`) },
		},
		"a reason asked for": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "close.why", finds{"look.cam": "?"})
				return c.sent("@ben", thread, "Wilhelmina has the lamp")
			},
			told: []string{deletedWords},
			stays: func(c *conversation) bool {
				return strings.Contains(c.record(), `"step":"close.why","text":"(deleted)"`)
			},
		},
		"readings": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "measure.wear_pin", nil)
				return c.sent("@ben", thread, "8.131 8.136 8.133")
			},
			told:  []string{"The answer itself stays"},
			stays: func(c *conversation) bool { return strings.Contains(c.record(), `["8.131","8.136","8.133"]`) },
		},
		"a report": {
			send: func(c *conversation) string {
				return c.sent("@ben", "", "quarantine D-41 Wilhelmina dropped it", c.photo("a dent"))
			},
			told:  []string{deletedWords, "D-41 stays out of use"},
			stays: func(c *conversation) bool { return len(c.status("D-41").holds) == 1 },
		},
		"a report of two": {
			send: func(c *conversation) string {
				return c.sent("@ben", "", "quarantine D-41 D-14 Wilhelmina dropped them")
			},
			told: []string{deletedWords, "D-41 stays out of use", "D-14 stays out of use"},
			stays: func(c *conversation) bool {
				return len(c.status("D-41").holds) == 1 && len(c.status("D-14").holds) == 1
			},
		},
		"a stricter signature": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "", nil)
				return c.sent("@ben", thread, "sign quarantine because Wilhelmina heard it click")
			},
			told: []string{deletedWords, "D-41 stays out of use"},
			stays: func(c *conversation) bool {
				return c.status("D-41").last.Verdict == flows.Quarantine && len(c.status("D-41").holds) == 1
			},
		},
		"a signature by the rules": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "", nil)
				return c.sent("@ben", thread, "sign fit")
			},
			told:  []string{deletedDone},
			stays: func(c *conversation) bool { return c.status("D-41").last.Verdict == flows.Fit },
		},
		"a beginning": {
			send:  func(c *conversation) string { return c.begin("@ben", "D-41") },
			told:  []string{deletedDone},
			stays: func(c *conversation) bool { return strings.Contains(c.record(), "start {") },
		},
		"a release": {
			send: func(c *conversation) string {
				c.say("@ana", "", "quarantine D-41 it creeps")
				c.inspect("@ben", "D-41", nil)
				return c.sent("@ben", "", "release D-41 it was grit; cleaned by Wilhelmina, and locks every time")
			},
			told:  []string{deletedWritten},
			stays: func(c *conversation) bool { return len(c.status("D-41").holds) == 0 },
			words: true, said: true, // in writing is what a release is
		},
		"an answer that was edited": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "look.cam", nil)
				first := c.sent("@ben", thread, "can't tell because Wilhelmina has the lamp")
				if _, h := c.send(Message{From: "@ben", Text: "can't tell because she, Wilhelmina, has it", Replaces: first}); h.refused() {
					c.Fatal(h.text())
				}
				return first
			},
			told: []string{deletedWords, "The answer itself stays"},
			stays: func(c *conversation) bool {
				return strings.Count(c.record(), `"unknown":true,"reason":"(deleted)"`) == 2
			},
		},
		"an answer that was edited after it was signed": {
			send: func(c *conversation) string {
				thread := c.begin("@ben", "D-41")
				c.until("@ben", thread, "look.cam", nil)
				first := c.sent("@ben", thread, "a")
				c.until("@ben", thread, "", nil)
				c.say("@ben", thread, "sign fit")
				c.send(Message{From: "@ben", Text: "a, says Wilhelmina", Replaces: first})
				return first
			},
			told:  []string{deletedWords, "inspect D-41 again"},
			stays: func(c *conversation) bool { return c.status("D-41").last.Verdict == flows.Fit },
		},
		"a tap": {
			send: func(c *conversation) string {
				_, asked := c.critical()
				id, _ := c.send(Message{From: "@ben", Text: "a", Answers: asked.Key})
				return id
			},
			told:  []string{"The answer itself stays", "put right"},
			stays: func(c *conversation) bool { return strings.Contains(c.record(), `"step":"look.cam","clear":true`) },
		},
	} {
		t.Run(name, func(t *testing.T) {
			talk := talk(t)
			id := c.send(talk)
			for _, who := range []string{"@ana", "@zed"} {
				before := talk.record()
				talk.wantRefused(talk.deletes(who, id), "Only its sender")
				if talk.record() != before {
					t.Errorf("%s deleted it", who)
				}
			}
			h := talk.deletes("@ben", id)
			for _, words := range c.told {
				talk.wantSaid(h, words)
			}
			if n := strings.Count(h.text(), "\n") + 1; n != len(c.told) && !strings.Contains(h.text(), "put right") && !strings.Contains(h.text(), "stays, and so") {
				t.Errorf("%d sentences, wanted %d: %s", n, len(c.told), h.text())
			}
			if !c.stays(talk) {
				t.Errorf("more is gone than should be:\n%s", talk.record())
			}
			if strings.Contains(talk.record(), "Wilhelmina") != c.words {
				t.Errorf("the words should stay: %v\n%s", c.words, talk.record())
			}
			if used := talk.say("@ana", "", "history D-41"); strings.Contains(used.text(), "Wilhelmina") != c.said {
				t.Errorf("history says them, or doesn't and should: %s", used.text())
			}
			before := talk.record()
			if h := talk.deletes("@ben", id); strings.Contains(h.text(), deletedWords) || talk.record() != before {
				t.Errorf("deleted twice: %s", h.text())
			}
		})
	}
}

func TestDeletedAmongPeople(t *testing.T) {
	c := talk(t)
	chat, _ := c.send(Message{From: "@ben", Text: "lovely morning"})
	before := c.record()
	for _, id := range []string{chat, "$never", ""} {
		if h := c.deletes("@ben", id); id != "" && len(h) > 0 {
			t.Errorf("Becket meddles: %s", h.text())
		}
	}
	report := c.sent("@ben", "", "quarantine D-41 it creeps")
	if err := c.load(strings.Replace(yard, "!yard", "!shed", 1)); err != nil {
		t.Fatal(err)
	}
	whole := c.record()
	if _, h := c.send(Message{From: "@ben", Room: "!shed", Deletes: report}); len(h) > 0 || c.record() != whole {
		t.Errorf("it was deleted from another room: %s", h.text())
	}
	if !strings.HasPrefix(whole, before) {
		t.Error("something was changed")
	}
}

// TestPhotoGoesWithItsLastMessage: the file is removed unless another entry has the same picture.
func TestPhotoGoesWithItsLastMessage(t *testing.T) {
	c := talk(t)
	f := c.photo("a dent")
	first := c.sent("@ben", "", "quarantine D-41 dented", f)
	second := c.sent("@ben", "", "quarantine D-14 dented too", f)
	c.deletes("@ben", first)
	if !c.photoIsThere(f.Hash) {
		t.Fatal("it is gone, and the second report has it too")
	}
	c.deletes("@ben", second)
	if c.photoIsThere(f.Hash) {
		t.Error("it is still there")
	}
}

// TestSafety01_Deletions: whatever is deleted, by whomever, after whatever, nothing that is out of use comes back, no verdict
// changes, and the record can be derived again.
func TestSafety01_Deletions(t *testing.T) {
	c := talk(t)
	c.say("@ana", "", "quarantine D-14 it creeps when I stop")
	c.inspect("@ben", "D-41", finds{"look.cam": "groove", "function.action": "?too dark"})
	thread := c.begin("@ben", "D-14")
	c.until("@ben", thread, "look.cam", nil)
	c.sent("@ben", thread, "d", c.photo("a crack"))
	c.say("@ben", thread, "put right 3 clear because it was dirt and brushed off")
	c.say("@ben", thread, "note wet")
	c.until("@ben", thread, "", nil)
	c.say("@ben", thread, "sign retire because I don't trust it")
	c.begin("@fay", "D-60")
	stands := func() (all []string) {
		for _, mark := range []string{"D-14", "D-41", "D-60"} {
			s := c.status(mark)
			all = append(all, mark, s.last.Verdict.String(), s.last.Number)
			if s.retired != nil {
				all = append(all, "retired")
			}
			for _, h := range s.holds {
				all = append(all, h.Verdict.String())
			}
		}
		return all
	}
	before := stands()
	if !slices.Contains(before, "retired") || !slices.Contains(before, "quarantine") {
		t.Fatalf("there is nothing to lose: %v", before)
	}
	messages := c.n
	for n := range messages {
		for _, who := range []string{"@zed", "@ana", "@ben", "@fay"} {
			c.deletes(who, "$"+format("%d", n+1))
		}
		if after := stands(); !slices.Equal(after, before) {
			t.Fatalf("message %d deleted: %v, before %v", n+1, after, before)
		}
	}
	if faults, err := c.bot.Verify(t.Context(), c.db); err != nil || len(faults) > 0 {
		t.Errorf("%v, %v", faults, err)
	}
}

// TestBlankedWordsCantBeChangedUnseen damages entries that were blanked, past the program.
func TestBlankedWordsCantBeChangedUnseen(t *testing.T) {
	r := told(t)
	thread := r.say("@me", "", "inspect D-11")
	noted := r.say("@me", thread, "note Wilhelmina used it last")
	r.n++
	m := Message{ID: "$delete", Room: "!here", From: "@me", Deletes: noted}
	if _, err := r.db.Receive(t.Context(), "test", []store.Incoming{{ID: m.ID, Room: m.Room, Body: []byte(inJSON(m))}}, ""); err != nil {
		t.Fatal(err)
	}
	r.do(func(tx *store.Tx) error { return r.bot.Take(tx, m) })
	if faults := r.faults(); len(faults) > 0 {
		t.Fatal(faults)
	}
	for _, change := range []string{
		`UPDATE journal SET body = CAST(replace(CAST(body AS TEXT), '(deleted)', 'all was well') AS BLOB) WHERE seq = ?`,
		`UPDATE journal SET by_whom = '@isla' WHERE seq = ?`, `UPDATE journal SET at = at - 1 WHERE seq = ?`,
		`DELETE FROM journal WHERE kind = 'blank' AND subject = 'entry:' || ?`,
	} {
		c, raw := r.unguarded()
		var seq int64
		if err := raw.QueryRow(`SELECT seq FROM journal WHERE kind = 'note' AND CAST(body AS TEXT) LIKE '%(deleted)%'`).Scan(&seq); err != nil {
			t.Fatal(err)
		}
		c.exec(raw, change, seq)
		if faults := c.faults(); !names(faults, seq, "isn't what was written") {
			t.Errorf("%s: named were %v", change, faults)
		}
	}
}
