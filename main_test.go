package main

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// update writes what Becket says now into the transcripts: go test -run TestScripts . -update. Read the
// difference before keeping it: a transcript is what people are told.
var update = flag.Bool("update", false, "write the transcripts anew")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"becket": main,
		"talk":   func() { os.Exit(talk(os.Args[1:], os.Stdout, os.Stderr)) },
		"damage": func() { os.Exit(damage(os.Args[1:], os.Stderr)) },
		"long":   func() { os.Exit(long(os.Args[1:], os.Stderr)) },
	})
}

// TestScripts runs every script of testdata/script with the real program, each in a folder of its own with
// photos, made for these tests, beside it.
func TestScripts(t *testing.T) {
	photos, err := filepath.Abs("testdata/photos")
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"model": model, "reword": reword},
		Setup: func(env *testscript.Env) error {
			return os.CopyFS(filepath.Join(env.WorkDir, "photos"), os.DirFS(photos))
		},
	})
}
