package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"potbank": main})
}

// The scripts are in testdata/script at the top of the module: commands with
// what they must print, and the code they must end with. Each finds the
// scenarios of the module in the folder scenarios.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 filepath.Join("..", "..", "testdata", "script"),
		RequireExplicitExec: true,
		Cmds:                map[string]func(*testscript.TestScript, bool, []string){"exit": exitCode},
		Setup: func(e *testscript.Env) error {
			return os.CopyFS(filepath.Join(e.WorkDir, "scenarios"), os.DirFS(filepath.Join("..", "..", "scenarios")))
		},
	})
}

// exitCode runs a command and fails unless it ends with the code told:
//
//	exit 4 potbank run works.yaml
//
// A command that fails must leave standard output empty, except where figures
// are labelled as partial.
func exitCode(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exit code command...")
	}
	code := "0"
	if err := ts.Exec(args[1], args[2:]...); err != nil {
		code = exitText(err)
	}
	if code != args[0] {
		ts.Fatalf("exit %s, want %s; standard error:\n%s", code, args[0], ts.ReadFile("stderr"))
	}
	if code != "0" && code != "3" && code != "130" && ts.ReadFile("stdout") != "" {
		ts.Fatalf("exit %s, and on standard output:\n%s", code, ts.ReadFile("stdout"))
	}
}
