package main

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"

	_ "modernc.org/sqlite"
)

// The program under test is this test binary started again: what it is to be, it reads from the environment.
const (
	actsAsBecket = "BECKET_TEST_RUN"        // the program itself
	asNobody     = "BECKET_TEST_AS_NOBODY"  // run by an ordinary person, should root run the tests
	fileLimit    = "BECKET_TEST_FILE_LIMIT" // the most bytes that a file may have
)

// init comes before any test and ends, as the program does, where the program is wanted.
func init() {
	if os.Getenv(actsAsBecket) == "" {
		return
	}
	if err := prepareProcess(); err != nil {
		fmt.Fprintln(os.Stderr, "preparing the test:", err)
		os.Exit(99)
	}
	main()
}

func prepareProcess() error {
	if limit := os.Getenv(fileLimit); limit != "" {
		most, err := strconv.ParseUint(limit, 10, 64)
		if err != nil {
			return err
		}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &syscall.Rlimit{Cur: most, Max: most}); err != nil {
			return err
		}
	}
	if os.Getenv(asNobody) == "" || os.Getuid() != 0 {
		return nil
	}
	const nobody = 65534
	return errors.Join(syscall.Setgroups(nil), syscall.Setgid(nobody), syscall.Setuid(nobody))
}

// ended is how a run of the program ended.
type ended struct {
	status      int
	out, errOut string
}

// program prepares a run in a folder.
func program(t *testing.T, dir string, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self, args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), actsAsBecket+"=1")
	return cmd
}

func finish(t *testing.T, cmd *exec.Cmd, input string) ended {
	t.Helper()
	var out, errOut bytes.Buffer
	cmd.Stdin, cmd.Stdout, cmd.Stderr = strings.NewReader(input), &out, &errOut
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return ended{cmd.ProcessState.ExitCode(), out.String(), errOut.String()}
}

func becket(t *testing.T, dir, input string, args ...string) ended {
	t.Helper()
	return finish(t, program(t, dir, args...), input)
}

// refusedWith checks that a run ended with status and nothing but this sentence on standard error.
func (e ended) refusedWith(t *testing.T, status int, sentence string) {
	t.Helper()
	if want := "becket: " + sentence + "\n"; e.status != status || e.errOut != want {
		t.Errorf("status %d, and on standard error\n  %s  want %d and\n  %s", e.status, e.errOut, status, want)
	}
}

const noon = "2026-11-14T12:00:00Z"

// demoSays starts the demo in a folder, says lines, and ends it.
func demoSays(t *testing.T, dir string, lines ...string) ended {
	t.Helper()
	return becket(t, dir, strings.Join(lines, "\n")+"\n", "chat", "--json", "--demo", "--now", noon, "--seed", "1")
}

// begun is a folder with the demo team, and one inspection of which two answers were taken.
func begun(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	e := demoSays(t, dir, `{"id":"$1","text":"inspect D-07"}`, `{"id":"$2","text":"22-1180"}`, `{"id":"$3","text":"clear"}`)
	if e.status != exitDone || strings.Count(e.out, `"status":"taken"`) != 3 {
		t.Fatalf("status %d: %s%s", e.status, e.out, e.errOut)
	}
	return dir
}

// entries verifies the database and tells how many entries are in it.
func entries(t *testing.T, dir string) int {
	t.Helper()
	e := becket(t, dir, "", "verify")
	var n int
	if _, err := fmt.Sscanf(e.out, "All %d entries are as they were written, and every verdict follows from them.", &n); err != nil || e.status != exitDone {
		t.Fatalf("verify ends with %d: %s%s", e.status, e.out, e.errOut)
	}
	return n
}

// jsonLine is one line of `chat --json`.
type jsonLine struct {
	Text, Done, Status, Error string
	Line                      int
	Refused                   bool
}

func linesOf(t *testing.T, out string) (lines []jsonLine) {
	t.Helper()
	for text := range strings.Lines(out) {
		var l jsonLine
		if err := json.Unmarshal([]byte(text), &l); err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		lines = append(lines, l)
	}
	return lines
}

func writeFile(t *testing.T, file string, content []byte) {
	t.Helper()
	if err := os.WriteFile(file, content, 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestWrongUsage(t *testing.T) {
	for args, sentence := range map[string]string{
		"sing":          `unexpected argument sing.`,
		"chat --sing":   `unknown flag --sing.`,
		"judge":         `missing flags: --flow=ID.`,
		"import":        `expected "<file>".`,
		"chat --seed x": `--seed: expected a valid 64 bit uint but got "x".`,
	} {
		e := becket(t, t.TempDir(), "", strings.Fields(args)...)
		e.refusedWith(t, exitUsage, sentence+` Type "becket --help" for what there is.`)
	}
	if e := becket(t, t.TempDir(), ""); e.status != exitUsage || strings.Count(e.errOut, "\n") != 1 {
		t.Errorf("without a command: %d, %q", e.status, e.errOut)
	}
	if e := becket(t, t.TempDir(), "", "--help"); e.status != exitDone || !strings.Contains(e.out, "verify") || e.errOut != "" {
		t.Errorf("--help: %+v", e)
	}
}

func TestRefusedCommands(t *testing.T) {
	const flow = "cam-handle-descender"
	for _, test := range []struct{ args, sentence string }{
		{"chat --now yesterday", `--now takes a time like 2026-03-02T09:15:00Z, not "yesterday"`},
		{"chat --now 2026-02-30T00:00:00Z", `--now takes a time like 2026-03-02T09:15:00Z, not "2026-02-30T00:00:00Z"`},
		{"judge --now 2026 --flow " + flow, `--now takes a time like 2026-03-02T09:15:00Z, not "2026"`},
		{"judge --flow " + flow + " none.json", "the file none.json can't be read"},
		{"judge --flow " + flow + " .", ". is a folder; give a file"},
		{"import none.yaml", "the file none.yaml can't be read"},
		{"flows check none", "none is no folder"},
		{"flows list --flows none", "none is no folder with scripts"},
		{"verify", "there is no database becket.db"},
		{"backup copy.db", "there is no database becket.db"},
		{"verify --db none/t.db", "there is no database none/t.db"},
	} {
		dir := t.TempDir()
		e := becket(t, dir, "", strings.Fields(test.args)...)
		e.refusedWith(t, exitFailed, test.sentence)
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Errorf("becket %s leaves %v, %v", test.args, left, err)
		}
	}
	for _, args := range []string{"judge --flow kite", "flows show kite"} {
		e := becket(t, t.TempDir(), "", strings.Fields(args)...)
		if e.status != exitFailed || !strings.HasPrefix(e.errOut, `becket: there is no script "kite"; there are: `) || !strings.Contains(e.errOut, flow) {
			t.Errorf("%s: %+v", args, e)
		}
	}
}

func TestFilesThatAreNoDatabase(t *testing.T) {
	good, err := os.ReadFile(filepath.Join(begun(t), "becket.db"))
	if err != nil {
		t.Fatal(err)
	}
	for name, content := range map[string][]byte{
		"a text":         []byte("Dear diary, today nothing was inspected.\n"),
		"noise":          bytes.Repeat([]byte{0x17, 0xe4, 0x2b}, 2000),
		"cut off":        good[:len(good)/2],
		"a spoilt start": append(bytes.Repeat([]byte{0}, 64), good[64:]...),
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "becket.db")
			writeFile(t, file, content)
			writeFile(t, filepath.Join(dir, "team.yaml"), demoTeam)
			for _, args := range []string{"chat", "verify", "import team.yaml", "backup copy.db"} {
				becket(t, dir, "due\n", strings.Fields(args)...).refusedWith(t, exitFailed,
					"becket.db is not a Becket database, or is damaged. Restore it from a backup; nothing was changed.")
			}
			if after, err := os.ReadFile(file); err != nil || !bytes.Equal(after, content) {
				t.Error("the file was changed")
			}
		})
	}
}

func TestDatabaseOfANewerBecket(t *testing.T) {
	dir := begun(t)
	db, err := sql.Open("sqlite", filepath.Join(dir, "becket.db"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	var version int
	if err := db.QueryRow(`SELECT version FROM version`).Scan(&version); err != nil {
		t.Fatal(err)
	}
	set := func(v int) {
		if _, err := db.Exec(`UPDATE version SET version = ?, compat = ?`, v, v); err != nil {
			t.Fatal(err)
		}
	}
	set(version + 1)
	for _, args := range []string{"chat", "verify", "backup copy.db"} {
		becket(t, dir, "due\n", strings.Fields(args)...).refusedWith(t, exitFailed,
			"becket.db was written by a newer Becket than this one. Use the newer program; nothing was changed.")
	}
	set(version)
	if n := entries(t, dir); n == 0 {
		t.Error("the record is empty")
	}
}

func TestSecondProcess(t *testing.T) {
	dir := begun(t)
	before := entries(t, dir)
	first := program(t, dir, "chat", "--json", "--now", noon)
	in, err := first.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := first.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	lines := bufio.NewScanner(out)
	if !lines.Scan() || lines.Text() != `{"ready":true}` {
		t.Fatalf("it begins with %q", lines.Text())
	}
	writeFile(t, filepath.Join(dir, "team.yaml"), demoTeam)
	for _, args := range []string{"chat", "verify", "import team.yaml"} {
		becket(t, dir, "due\n", strings.Fields(args)...).refusedWith(t, exitFailed,
			"becket.db is in use by another program. Close that one first, or name another file; nothing was changed.")
	}
	if e := becket(t, dir, "", "backup", "copy.db"); e.status != exitDone {
		t.Errorf("a copy beside the first process: %+v", e)
	}
	fmt.Fprintln(in, `{"id":"$4","text":"quarantine D-09 spring feels weak"}`)
	for lines.Scan() && !strings.Contains(lines.Text(), `"done":"$4"`) {
	}
	if !strings.Contains(lines.Text(), `"taken"`) {
		t.Errorf("the first process ends with %q", lines.Text())
	}
	in.Close()
	if err := first.Wait(); err != nil {
		t.Error(err)
	}
	if after := entries(t, dir); after <= before {
		t.Errorf("%d entries, and %d before", after, before)
	}
}

func TestFolderThatCantBeWritten(t *testing.T) {
	dir := begun(t)
	before := entries(t, dir)
	// An ordinary person has to get as far as the folder.
	for up := dir; up != filepath.Dir(up) && up != os.TempDir(); up = filepath.Dir(up) {
		if err := os.Chmod(up, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(filepath.Join(dir, "becket.db"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	for _, args := range []string{"chat --db becket.db", "verify --db becket.db", "chat --db new.db"} {
		cmd := program(t, dir, strings.Fields(args)...)
		cmd.Env = append(cmd.Env, asNobody+"=1")
		file := strings.Fields(args)[2]
		finish(t, cmd, "due\n").refusedWith(t, exitFailed,
			file+" can't be written. Allow writing to it and to its folder, or name another file; nothing was changed.")
	}
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if after := entries(t, dir); after != before {
		t.Errorf("%d entries, and %d before", after, before)
	}
}

// fillUp sends faults until the disk takes no more, and checks that all that was said to be taken is there, and
// that it goes on once makeRoom has made room.
func fillUp(t *testing.T, cmd *exec.Cmd, dir string, makeRoom func()) {
	t.Helper()
	before := entries(t, dir)
	var input strings.Builder
	for n := range 3000 {
		fmt.Fprintf(&input, `{"id":"$f%d","text":"quarantine D-09 %s"}`+"\n", n, strings.Repeat("weak spring ", 200))
	}
	e := finish(t, cmd, input.String())
	e.refusedWith(t, exitFailed, "becket.db can't grow: the disk is full, or a limit on file size is reached. Make room and try again; nothing was changed.")
	taken := strings.Count(e.out, `"status":"taken"`)
	if taken == 0 || taken == 3000 {
		t.Fatalf("%d were taken", taken)
	}
	// The last one may be in the record although its "done" could no longer be written.
	if grown := entries(t, dir) - before; grown < taken || grown > taken+1 {
		t.Errorf("%d were taken, and the record has %d more", taken, grown)
	}
	makeRoom()
	again := demoSays(t, dir, `{"id":"$f0","text":"a word"}`, `{"id":"$again","text":"quarantine D-10 handle bent"}`)
	if !strings.Contains(again.out, `{"done":"$f0","status":"repeated"}`) || !strings.Contains(again.out, `{"done":"$again","status":"taken"}`) {
		t.Errorf("with room again: %d %s%s", again.status, again.out, again.errOut)
	}
}

func TestFileSizeLimit(t *testing.T) {
	dir := begun(t)
	cmd := program(t, dir, "chat", "--json", "--now", noon)
	cmd.Env = append(cmd.Env, fileLimit+"=600000")
	fillUp(t, cmd, dir, func() {}) // the limit ended with the process
}

func TestFullDisk(t *testing.T) {
	small := t.TempDir()
	if err := syscall.Mount("tmpfs", small, "tmpfs", 0, "size=1m"); err != nil {
		t.Skipf("no disk of 1 MB can be mounted here (%v); TestFileSizeLimit covers the same path", err)
	}
	defer func() {
		if err := syscall.Unmount(small, 0); err != nil {
			t.Error(err)
		}
	}()
	dir := begun(t)
	text, err := os.ReadFile(filepath.Join(dir, "becket.db"))
	if err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(small, "becket.db"), text)
	fillUp(t, program(t, small, "chat", "--json", "--now", noon), small, func() {
		if err := syscall.Mount("", small, "", syscall.MS_REMOUNT, "size=8m"); err != nil {
			t.Fatal(err)
		}
	})
}

// pngHead is the start of a PNG that says it has so many points, and holds none.
func pngHead(width, height uint32) []byte {
	file := []byte("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, data []byte) {
		file = binary.BigEndian.AppendUint32(file, uint32(len(data)))
		body := append([]byte(kind), data...)
		file = append(file, body...)
		file = binary.BigEndian.AppendUint32(file, crc32.ChecksumIEEE(body))
	}
	size := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, width), height)
	chunk("IHDR", append(size, 8, 2, 0, 0, 0))
	var points bytes.Buffer
	z := zlib.NewWriter(&points)
	_, _ = z.Write(make([]byte, 1000))
	_ = z.Close()
	chunk("IDAT", points.Bytes())
	chunk("IEND", nil)
	return file
}

func TestPhotosThatCantBeKept(t *testing.T) {
	dir := begun(t)
	before := entries(t, dir)
	var good bytes.Buffer
	if err := png.Encode(&good, image.NewGray(image.Rect(0, 0, 8, 8))); err != nil {
		t.Fatal(err)
	}
	writeFile(t, filepath.Join(dir, "good.png"), good.Bytes())
	writeFile(t, filepath.Join(dir, "text.jpg"), []byte("this is no photo"))
	writeFile(t, filepath.Join(dir, "empty.jpg"), nil)
	writeFile(t, filepath.Join(dir, "half.png"), good.Bytes()[:20])
	writeFile(t, filepath.Join(dir, "bomb.png"), pngHead(60_000, 60_000))
	// RFC 9649, 2.7.1: one less than the width and the height, 24 bits each, little end first.
	writeFile(t, filepath.Join(dir, "bomb.webp"), []byte("RIFF\x16\x00\x00\x00WEBPVP8X\x0a\x00\x00\x00\x00\x00\x00\x00\x5f\xea\x00\x5f\xea\x00"))
	writeFile(t, filepath.Join(dir, "endless.png"), pngHead(1<<31-1, 1<<31-1))
	writeFile(t, filepath.Join(dir, "huge.jpg"), []byte("\xff\xd8\xff\xe0"))
	if err := os.Truncate(filepath.Join(dir, "huge.jpg"), 200<<20); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(filepath.Join(dir, "folder.png"), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(filepath.Join(dir, "pipe.png"), 0o600); err != nil {
		t.Fatal(err)
	}
	files := []struct{ name, why string }{
		{"text.jpg", "text.jpg is no photo that I know (JPEG, PNG, GIF, WebP or HEIC)."},
		{"empty.jpg", "empty.jpg is no photo that I know (JPEG, PNG, GIF, WebP or HEIC)."},
		{"half.png", "half.png is damaged and can't be opened as a photo."},
		{"bomb.png", "bomb.png has 60000 by 60000 points, more than any camera. Send a smaller one."},
		{"bomb.webp", "bomb.webp has 60000 by 60000 points, more than any camera. Send a smaller one."},
		{"endless.png", "endless.png is damaged and can't be opened as a photo."},
		{"huge.jpg", "huge.jpg has 200 MB; a file may have 25 MB. Send a smaller one."},
		{"folder.png", "folder.png is no file."},
		{"pipe.png", "pipe.png is no file."},
		{"missing.png", "The file missing.png can't be read."},
	}
	var input []string
	for _, f := range files {
		input = append(input, fmt.Sprintf(`{"id":"$%s","text":"clear","files":["good.png",%q]}`, f.name, f.name))
	}
	e := demoSays(t, dir, input...)
	got := linesOf(t, e.out)[1:] // behind "ready"
	if e.status != exitDone || len(got) != 2*len(files) {
		t.Fatalf("status %d, %d lines: %s%s", e.status, len(got), e.out, e.errOut)
	}
	for n, f := range files {
		said, done := got[2*n], got[2*n+1]
		if want := f.why + " Nothing was written; send it again with the answer."; said.Text != want || !said.Refused || done.Status != "refused" {
			t.Errorf("%s: %+v, %+v", f.name, said, done)
		}
	}
	if after := entries(t, dir); after != before {
		t.Errorf("%d entries, and %d before", after, before)
	}
}

func TestBadLines(t *testing.T) {
	dir := begun(t)
	before := entries(t, dir)
	bad := []string{
		`{"id":`, `{"id":"$5","id":"$5","text":"clear"}`, `{"ID":"$5","text":"clear"}`, `{"text":5}`, `{"text":null}`,
		`{"text":"clear","files":"photo.jpg"}`, `{"text":"clear","at":"noon"}`, `{"text":"clear"} {}`, `{"text":"clear"`,
		`{"now":"2026-11-13T12:00:00Z"}`, `{"now":"2026-11-15T12:00:00Z","text":"clear"}`, strings.Repeat("a", 1<<20+1),
	}
	e := demoSays(t, dir, append(bad, "due")...)
	got := linesOf(t, e.out)[1:]
	if e.status != exitDone || len(got) != len(bad)+2 {
		t.Fatalf("status %d, %d lines: %s%s", e.status, len(got), e.out, e.errOut)
	}
	for n := range bad {
		if got[n].Error == "" || got[n].Line != n+1 {
			t.Errorf("line %d: %+v", n+1, got[n])
		}
	}
	if last := got[len(bad)+1]; last.Status != "taken" {
		t.Errorf("behind them: %+v", last)
	}
	if after := entries(t, dir); after != before {
		t.Errorf("%d entries, and %d before", after, before)
	}
}

func TestBadTeamFiles(t *testing.T) {
	dir := begun(t)
	before := entries(t, dir)
	const (
		team  = `team: {room: "!here", name: Us, zone: Europe/London}` + "\n"
		item  = team + "items:\n- {mark: K-1, serial: s1, flow: cam-handle-descender, use: people, "
		sheet = team + "sheets:\n- {maker: Auk, model: Tern, flow: cam-handle-descender, "
		no    = "this isn't a team file: "
	)
	for _, test := range []struct{ file, sentence string }{
		{"", "there is nothing in this document"},
		{"hello", no + "it begins with a text where keys are wanted, like item: ..."},
		{"team: {name: Us}", "the team file names no room; give team: {room: ...}"},
		{team + "peeple: []", no + `the key "peeple" isn't known; look at its spelling`},
		{item + "colour: red}", no + `the key "colour" isn't known; look at its spelling`},
		{`{"team":{"room":"!here"},"team":{"room":"!there"}}`, `"team" is given twice; give it once`},
		{team + "items: 5", no + "items can't be a number"},
		{item + "interval_months: often}", no + "items.interval_months can't be a text"},
		{item + "life_use_years: long}", no + `a life can't be long; write a number of years, "no limit", or "?" where nobody knows`},
		{item + "interval_months: -1}", "K-1: an interval or a life is below nothing"},
		{item + "made: 2020-02-30}", no + "2020-02-30 is not a day in the calendar; look at the date again"},
		{item + "made: 2020-02, first_use: 2019-01}", "K-1: its first use, January 2019, is before it was made, February 2020; look at both dates again"},
		{team + "items:\n- {mark: K-1, flow: kite}", `K-1 belongs to the family "kite", and there is no such family here`},
		{team + "items:\n- {mark: K-1, flow: cam-handle-descender, use: sheep}", `K-1: use is people or goods, not "sheep"`},
		{team + "items:\n- {mark: K 1, flow: cam-handle-descender}", `an item has no mark, or one with a space in it: "K 1"`},
		{team + "items:\n- {mark: D-07, serial: other, flow: cam-handle-descender}", "D-07 is in the register already and differs from the file; an import changes no item. Nothing was taken"},
		{`team: {room: "!here", zone: Mars/North}`, `the time zone "Mars/North" isn't known; give one like Europe/London`},
		{team + "people:\n- {name: Nobody}", "somebody in people has no id; give each an id like @ana"},
		{team + "people:\n- {id: \"@fay\", roles: [king]}", `@fay has the role "king"; a role is keeper or member, and whoever may sign has families under competent`},
		{team + "people:\n- {id: \"@fay\", competent: [{flow: kite, until: 2099-01-01}]}", `@fay is listed as competent for "kite", and there is no such family here`},
		{team + "instruments:\n- {mark: C-9, kind: caliper, doubt: -0.1}", "an instrument needs a mark, and a doubt that isn't below nothing"},
		{sheet + "figures: {wings: 2}}", `Auk Tern: its family has no figure "wings"`},
		{sheet + "figures: {pin_min: -1}}", "Auk Tern: pin_min is below nothing"},
		{sheet + "facts: {wear_mark: moon}}", `Auk Tern: wear_mark can't be "moon" for its family`},
		// What stands before the mistake is whole, and isn't taken either.
		{team + "items:\n- {mark: D-14, flow: cam-handle-descender}\n- {mark: D-I4, flow: cam-handle-descender}", `D-I4 is easily taken for D-14; mark one of them otherwise, on the item too. Nothing was taken`},
		{team + "items:\n- {mark: K-1, flow: cam-handle-descender}\n- {mark: K-2, flow: kite}", `K-2 belongs to the family "kite", and there is no such family here`},
	} {
		becket(t, dir, test.file, "import", "-").refusedWith(t, exitFailed, test.sentence)
	}
	// YAML's reader finds these by itself, and says where.
	for file, part := range map[string]string{
		team + team:                           `[2:1] mapping key "team" already defined at [1:1]`,
		team + "items: [":                     "this is neither JSON nor YAML that can be read: [2:",
		"team: &t {room: \"!here\"}\nx: *t\n": "line 1: only plain lists, keys, numbers and texts are taken here",
	} {
		e := becket(t, dir, file, "import", "-")
		if e.status != exitFailed || !strings.Contains(e.errOut, part) || strings.Count(e.errOut, "\n") != 1 {
			t.Errorf("%q: %+v", file, e)
		}
	}
	if after := entries(t, dir); after != before {
		t.Errorf("%d entries, and %d before", after, before)
	}
}

func TestBadJudgeDocuments(t *testing.T) {
	const no = "this isn't an inspection to judge: "
	for document, sentence := range map[string]string{
		"":                               "there is nothing in this document",
		"[1, 2]":                         no + "it begins with a list where keys are wanted, like item: ...",
		`{"item":{}`:                     no + "it is broken off, or no JSON",
		`{"item":{}} {}`:                 "there is more after the document's end; give one document",
		`{"itme":{}}`:                    no + `the key "itme" isn't known; look at its spelling`,
		`{"item":{},"item":{}}`:          `"item" is given twice; give it once`,
		`{"item":{"mark":5}}`:            no + "item.mark can't be a number",
		`{"item":{"use":"sheep"}}`:       `use is people or goods, not "sheep"`,
		`{"item":{"made":"2020-02-30"}}`: no + "2020-02-30 is not a day in the calendar; look at the date again",
		`{"item":{"made":"2020","first_use":"2019"}}`:          "its first use, 2019, is before it was made, 2020; look at both dates again",
		`{"item":{"interval_months":-3}}`:                      "an interval is 1 to 120 months and a life 1 to 200 years; leave them out where there is none",
		`{"facts":{"colour":"red"}}`:                           `cam-handle-descender asks no fact "colour"`,
		`{"facts":{"wear_mark":"moon"}}`:                       `"moon" is no choice of the fact wear_mark`,
		`{"sheet":{"wings":2}}`:                                `cam-handle-descender knows no figure "wings"`,
		`{"sheet":{"pin_min":"much"}}`:                         no + `"much" is not a number; write it in digits, with one point or comma at most`,
		`{"sheet":{"pin_min":-1}}`:                             "a figure is never below nothing: pin_min",
		`{"instrument":{"doubt":-1}}`:                          "a doubt is never below nothing: -1",
		`{"answers":{"look.wings":[]}}`:                        `cam-handle-descender has no step "look.wings"`,
		`{"answers":{"look.cam":["wings"]}}`:                   `look.cam has no finding "wings"`,
		`{"answers":{"look.cam":"fine"}}`:                      `look.cam wants a list of findings, or "unknown"; an empty list is clear`,
		`{"answers":{"look.cam":{}}}`:                          no + `{} is no answer; give a list of findings, a list of numbers, a text, or "unknown"`,
		`{"answers":{"measure.cam_groove":["a lot"]}}`:         `measure.cam_groove: "a lot" is not a number; write it in digits, with one point or comma at most`,
		`{"answers":{"measure.cam_groove":[1e400]}}`:           `measure.cam_groove: "1e400" is not a number; write it in digits, with one point or comma at most`,
		"item: {mark: D-1}\nanswers: {identity.serial: &a 12}": "line 2: only plain lists, keys, numbers and texts are taken here",
	} {
		e := becket(t, t.TempDir(), document, "judge", "--flow", "cam-handle-descender", "--now", noon)
		e.refusedWith(t, exitFailed, sentence)
		if e.out != "" {
			t.Errorf("%s: it prints %s", document, e.out)
		}
	}
}

func TestACopyInAFolderIsNamedByItsTime(t *testing.T) {
	dir := begun(t)
	if err := os.Mkdir(filepath.Join(dir, "copies"), 0o700); err != nil {
		t.Fatal(err)
	}
	const named = "copies/becket-2026-11-14-1200.db"
	if e := becket(t, dir, "", "backup", "--now", noon, "copies"); e.status != exitDone || e.out != "Copied to "+named+", and the copy was checked.\n" {
		t.Errorf("%+v", e)
	}
	becket(t, dir, "", "backup", "--now", noon, "copies").refusedWith(t, exitFailed, named+" is already there. Name another file; nothing was changed.")
}
