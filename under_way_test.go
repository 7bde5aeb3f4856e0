package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
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
