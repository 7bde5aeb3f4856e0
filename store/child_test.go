package store

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Some faults need a process of their own: it is this test program started again, with a part to play.
const partVariable = "BECKET_STORE_TEST_PART"

func TestMain(m *testing.M) {
	if part := os.Getenv(partVariable); part != "" {
		file := os.Getenv("BECKET_STORE_TEST_FILE")
		if err := play(part, file); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func play(part, file string) error {
	switch part {
	case "open as nobody":
		if os.Getuid() == 0 {
			const nobody = 65534
			if err := syscall.Setgroups(nil); err != nil {
				return err
			}
			if err := syscall.Setgid(nobody); err != nil {
				return err
			}
			if err := syscall.Setuid(nobody); err != nil {
				return err
			}
		}
		fallthrough
	case "open":
		db, err := openFile(file)
		if err != nil {
			return err
		}
		return db.Close()
	case "hold":
		db, err := openFile(file)
		if err != nil {
			return err
		}
		fmt.Println("open")
		_, _ = os.Stdin.Read(make([]byte, 1))
		return db.Close()
	case "write on and on":
		return writeOnAndOn(file)
	case "write with photos":
		return writeWithPhotos(file)
	case "fill up":
		return fillUp(file)
	}
	return fmt.Errorf("there is no part %q", part)
}

// appendNote writes one entry and a reply, as a step does.
func appendNote(db *DB, key string) (seq int64, err error) {
	err = db.Do(context.Background(), func(tx *Tx) error {
		e, err := tx.Append("!yard", "@ana", "$1", noteSet{key, strings.Repeat("x", 2000)})
		if err != nil {
			return err
		}
		seq = e.Seq
		return tx.Say(fmt.Sprint("k", seq), "$1", "!yard", []byte("saved"))
	})
	return seq, err
}

func writeOnAndOn(file string) error {
	db, err := openFile(file)
	if err != nil {
		return err
	}
	for {
		seq, err := appendNote(db, "a")
		if err != nil {
			return err
		}
		fmt.Println(seq)
	}
}

// writeWithPhotos writes entries until it is killed, and now and then keeps a photo that they speak of from then on.
func writeWithPhotos(file string) error {
	db, err := openFile(file)
	if err != nil {
		return err
	}
	hash := ""
	for n := 0; ; n++ {
		if n%50 == 0 {
			if hash, _, err = db.PutBlob(context.Background(), strings.NewReader(fmt.Sprint("photo ", n)), 1<<20); err != nil {
				return err
			}
		}
		err := db.Do(context.Background(), func(tx *Tx) error {
			_, err := tx.Append("!yard", "@ana", "$1", noteSet{"photo", hash})
			return err
		})
		if err != nil {
			return err
		}
		fmt.Println(hash)
	}
}

// fillUp writes until files may not grow any more, then allows it again, and says what happened.
func fillUp(file string) error {
	signal.Ignore(syscall.SIGXFSZ)
	db, err := openFile(file)
	if err != nil {
		return err
	}
	defer db.Close()
	var was syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		return err
	}
	limit := syscall.Rlimit{Cur: 600_000, Max: was.Max}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	var taken int64
	for {
		seq, err := appendNote(db, "a")
		if err != nil {
			fmt.Println(err)
			break
		}
		taken = seq
	}
	if _, _, err := db.PutBlob(context.Background(), strings.NewReader(strings.Repeat("x", 800_000)), 1<<20); err == nil {
		return fmt.Errorf("a photo beyond the limit was kept")
	} else {
		fmt.Println(err)
	}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &was); err != nil {
		return err
	}
	next, err := appendNote(db, "b")
	if err != nil {
		return err
	}
	if taken == 0 || next != taken+1 {
		return fmt.Errorf("%d entries were taken, and the next has the number %d", taken, next)
	}
	left, err := filepath.Glob(filepath.Join(db.photoFolder(), "*"))
	if err != nil || len(left) > 0 {
		return fmt.Errorf("of the photo is left %v, %v", left, err)
	}
	return nil
}

// child prepares this program to play a part. What it writes comes as one text.
func child(t *testing.T, part, file string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), partVariable+"="+part, "BECKET_STORE_TEST_FILE="+file)
	cmd.Stderr = os.Stderr
	return cmd
}

// started starts a child and gives what it writes line by line.
func started(t *testing.T, cmd *exec.Cmd) *bufio.Scanner {
	t.Helper()
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	// A child that waits for its input goes on when the test ends.
	if _, err := cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	return bufio.NewScanner(out)
}
