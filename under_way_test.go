package main

import (
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"becket/bot"
	"becket/bot/console"
	"becket/store"
)

// lines tells of each line that is written to it.
type lines chan string

func (l lines) Write(p []byte) (int, error) {
	l <- string(p)
	return len(p), nil
}

func TestACommandThatTakesLongSaysThatItIsAtWork(t *testing.T) {
	t.Parallel()
	said := make(lines, 100)
	stop := underWay(said, time.Millisecond)
	for range 2 {
		if line := <-said; !strings.HasPrefix(line, "Still at work, ") || !strings.HasSuffix(line, " so far.\n") {
			t.Errorf("it says %q", line)
		}
	}
	go func() {
		for range said { // so that nothing waits to be written
		}
	}()
	stop()
	close(said) // a line written now would panic
	var out bytes.Buffer
	underWay(&out, time.Hour)()
	if out.Len() > 0 {
		t.Errorf("what takes no time says %q", out.String())
	}
}

func TestWhichCommandsTakeLong(t *testing.T) {
	t.Parallel()
	for command, want := range map[string]bool{"import <file>": true, "export <file>": true, "verify": true, "backup <file>": true, "restore <copy>": true, "chat": false, "serve": false, "evidence <file>": false} {
		if takesLong(command) != want {
			t.Errorf("%s: %v", command, !want)
		}
	}
}

func TestAMessageThatTakesLongIsSaidToBeWorkedOn(t *testing.T) {
	t.Parallel()
	b, err := newBot("", bot.Options{})
	if err != nil {
		t.Fatal(err)
	}
	db, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "t.db"), func() time.Time {
		time.Sleep(50 * time.Millisecond) // each transaction begins with it
		return time.Now()
	})
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var said bytes.Buffer
	con := console.Console{
		Bot: b, DB: db, In: strings.NewReader("due\n"), Out: io.Discard, As: "@ana", Room: "!here",
		Working: func() (done func()) { return underWay(&said, 10*time.Millisecond) },
	}
	if err := con.Run(t.Context()); err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(said.String(), "Still at work, ") {
		t.Errorf("it says %q", said.String())
	}
}
