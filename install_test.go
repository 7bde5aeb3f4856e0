package main

import (
	"debug/elf"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
)

// served is the program as it is installed, built in the way of .ci/run, so that nothing is built twice.
func served(t *testing.T) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "becket")
	build := exec.Command("go", "build", "-tags", "goolm", "-o", file, ".")
	build.Env = append(os.Environ(), "CGO_ENABLED=0")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("it doesn't build: %v\n%s", err, out)
	}
	return file
}

// TestInstalledProgram builds the program as it is installed: it needs nothing else of a machine, and says all at once
// what its configuration lacks.
func TestInstalledProgram(t *testing.T) {
	t.Parallel()
	program := served(t)
	t.Run("needs no other file", func(t *testing.T) {
		if runtime.GOOS != "linux" {
			t.Skip("only programs for Linux are looked into")
		}
		f, err := elf.Open(program)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
		for _, p := range f.Progs {
			if p.Type == elf.PT_INTERP || p.Type == elf.PT_DYNAMIC {
				t.Errorf("it has a part %s, so it is loaded by something else", p.Type)
			}
		}
		if libraries, err := f.ImportedLibraries(); err != nil || len(libraries) > 0 {
			t.Errorf("it needs %v, %v", libraries, err)
		}
	})
	run := func(env []string, args ...string) (out, errOut string, status int) {
		var stdout, stderr strings.Builder
		cmd := exec.Command(program, args...)
		cmd.Dir, cmd.Env, cmd.Stdout, cmd.Stderr = t.TempDir(), env, &stdout, &stderr
		err := cmd.Run()
		if cmd.ProcessState == nil {
			t.Fatal(err)
		}
		return stdout.String(), stderr.String(), cmd.ProcessState.ExitCode()
	}
	t.Run("the example lacks only what nobody else can know", func(t *testing.T) {
		example, _, status := run(nil, "serve", "--example")
		if status != exitDone {
			t.Fatalf("status %d", status)
		}
		config := filepath.Join(t.TempDir(), "becket.yaml")
		write := func(text string) { writeFile(t, config, []byte(text)) }
		write(strings.NewReplacer("/etc/becket/", "/nowhere/becket/", "/var/lib/becket/", "/nowhere/at/all/").Replace(example))
		_, said, status := run(nil, "serve", config)
		if status != exitFailed || strings.Count(strings.TrimSpace(said), "\n") != 2 || !strings.Contains(said, `"password_file" names`) || !strings.Contains(said, `"database" lies in /nowhere/at/all`) {
			t.Errorf("status %d: %s", status, said)
		}
		write("{}")
		if _, said, status = run(nil, "serve", config); status != exitFailed || strings.Count(strings.TrimSpace(said), "\n") != 4 {
			t.Errorf("an empty one, status %d: %s", status, said)
		}
	})
	t.Run("without any environment", func(t *testing.T) {
		if out, said, status := run([]string{}, "flows", "list"); status != exitDone || !strings.Contains(out, "pulley") {
			t.Errorf("status %d: %s%s", status, out, said)
		}
	})
}

// TestUnits looks whether the units name what is there, and asks systemd's own judge where there is one.
func TestUnits(t *testing.T) {
	t.Parallel()
	units, err := filepath.Glob("install/*.service")
	if err != nil || len(units) != 2 {
		t.Fatalf("the units are %v, %v", units, err)
	}
	for _, unit := range units {
		text, err := os.ReadFile(unit)
		if err != nil {
			t.Fatal(err)
		}
		started := regexp.MustCompile(`(?m)^ExecStart=/usr/local/bin/becket (.*)$`).FindSubmatch(text)
		if started == nil {
			t.Errorf("%s starts no becket", unit)
			continue
		}
		understood(t, unit, string(started[1]))
		for _, line := range []string{"User=becket", "NoNewPrivileges=yes", "ProtectSystem=strict", "ProtectHome=yes", "UMask=0077", "CapabilityBoundingSet="} {
			if !regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(line) + `$`).Match(text) {
				t.Errorf("%s lacks %s", unit, line)
			}
		}
	}
	t.Run("systemd-analyze", func(t *testing.T) {
		judge, err := exec.LookPath("systemd-analyze")
		if err != nil {
			t.Skip("systemd-analyze isn't on this machine, so nothing has judged the units")
		}
		// Its judgement depends on the program and the user being there.
		folder := t.TempDir()
		files, err := filepath.Glob("install/*.*r*") // services and timers
		if err != nil {
			t.Fatal(err)
		}
		args := []string{"verify"}
		for _, file := range files {
			if strings.HasSuffix(file, ".md") || !strings.HasPrefix(filepath.Base(file), "becket") {
				continue
			}
			text, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			self, err := os.Executable()
			if err != nil {
				t.Fatal(err)
			}
			copied := filepath.Join(folder, filepath.Base(file))
			writeFile(t, copied, []byte(strings.ReplaceAll(string(text), "/usr/local/bin/becket", self)))
			args = append(args, copied)
		}
		if len(args) != 4 {
			t.Fatalf("it is to judge %v", args)
		}
		if out, err := exec.Command(judge, args...).CombinedOutput(); err != nil || len(out) > 0 {
			t.Errorf("%v: %s", err, out)
		}
	})
}

// TestContainerfile looks whether everything that it copies and starts is there, and that nothing in it runs as root.
func TestContainerfile(t *testing.T) {
	t.Parallel()
	file, err := os.ReadFile("install/Containerfile")
	if err != nil {
		t.Fatal(err)
	}
	text := string(file)
	last := text[strings.LastIndex(text, "\nFROM "):]
	for _, want := range []string{"\nFROM scratch\n", "\nUSER 65532:65532\n", "\nVOLUME /data\n", "\nENTRYPOINT [\"/becket\"]\n", " /out/becket /becket\n"} {
		if !strings.Contains(last, want) {
			t.Errorf("it lacks %q", strings.TrimSpace(want))
		}
	}
	for _, copied := range regexp.MustCompile(`(?m)^COPY ([a-z. ]+) \S+$`).FindAllStringSubmatch(text, -1) {
		for source := range strings.FieldsSeq(copied[1]) {
			if _, err := os.Stat(source); err != nil {
				t.Errorf("it copies %s: %v", source, err)
			}
		}
	}
	if from := regexp.MustCompile(`(?m)^FROM (\S+)`).FindAllStringSubmatch(text, -1); len(from) != 2 || strings.Contains(from[0][1], "/") {
		t.Errorf("it is made from %v", from)
	}
	module, err := os.ReadFile("go.mod")
	if err != nil {
		t.Fatal(err)
	}
	builder := regexp.MustCompile(`FROM golang:([0-9.]+) `).FindStringSubmatch(text)
	if builder == nil || !strings.Contains(string(module), "\ngo "+builder[1]) {
		t.Errorf("it is built with %v, and the module wants another Go", builder)
	}
	// As .ci/run builds it.
	if !strings.Contains(text, "CGO_ENABLED=0 go build -tags goolm ") {
		t.Error("it is built another way")
	}
	cmd := regexp.MustCompile(`(?m)^CMD \[(.*)\]$`).FindStringSubmatch(text)
	if cmd == nil {
		t.Fatal("it starts nothing")
	}
	understood(t, "Containerfile", strings.ReplaceAll(strings.ReplaceAll(cmd[1], `"`, ""), ",", ""))
}

// TestInstallingIsTrue looks whether the commands on the page for installing are understood, and its files are there.
func TestInstallingIsTrue(t *testing.T) {
	t.Parallel()
	page, err := os.ReadFile("install/README.md")
	if err != nil {
		t.Fatal(err)
	}
	typed := regexp.MustCompile(`(?m)^ {4}(?:sudo -u becket |podman exec becket /)?becket ([a-z]+ .*?)(?: > .*)?$`).FindAllStringSubmatch(string(page), -1)
	if len(typed) < 5 {
		t.Errorf("only %d commands are found", len(typed))
	}
	for _, command := range typed {
		understood(t, "install/README.md", command[1])
	}
	for _, file := range regexp.MustCompile(`install/[a-zA-Z.-]+|\]\(([^)]+)\)`).FindAllStringSubmatch(string(page), -1) {
		name := file[0]
		if file[1] != "" {
			name = filepath.Join("install", file[1])
		}
		if _, err := os.Stat(name); err != nil {
			t.Errorf("it speaks of %s: %v", name, err)
		}
	}
}

// understood tests that the program takes such arguments; nothing is run.
func understood(t *testing.T, where, arguments string) {
	t.Helper()
	var cli commandLine
	parser, err := kong.New(&cli, kong.Name("becket"), kong.Writers(io.Discard, io.Discard), kong.Exit(func(int) {}))
	if err != nil {
		t.Fatal(err)
	}
	args := strings.Fields(arguments)
	if _, err := parser.Parse(args); err != nil {
		t.Errorf("%s: becket %s: %v", where, arguments, err)
	}
	if !slices.ContainsFunc(parser.Model.Children, func(n *kong.Node) bool { return n.Name == args[0] }) {
		t.Errorf("%s: there is no becket %s", where, args[0])
	}
}
