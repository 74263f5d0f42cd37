package main

import (
	"crypto/sha256"
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "renew testdata/answers.sha256 and the messages of testdata/bad")

// passing matches what may change in an answer while its results do not: the
// program's version, and the hash of the scenario file.
var passing = regexp.MustCompile(`(?m)^ *"(version|hash)": .*$|\([0-9a-f]{12}\)`)

// Results change on purpose or not at all: the list at the top of the module
// says what the commands answered when that was last decided.
func TestAnswersAreThoseOfTheList(t *testing.T) {
	t.Chdir("../..") // answers name the files as they were given
	const path = "testdata/answers.sha256"
	list, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSuffix(string(list), "\n"), "\n")
	cases := 0
	for i, line := range lines {
		want, command, ok := strings.Cut(line, " potbank ")
		if strings.HasPrefix(line, "#") || !ok {
			continue
		}
		cases++
		got := fmt.Sprintf("%x", sha256.Sum256(passing.ReplaceAll(printed(t, command), nil)))
		lines[i] = got + " potbank " + command
		if got != want && !*update {
			t.Errorf("another answer than the list's: potbank %s\nhint: the head of %s says what to do if that is meant", command, path)
		}
	}
	if cases == 0 {
		t.Fatalf("%s lists no command", path)
	}
	if !*update {
		return
	}
	if err := os.WriteFile(path, []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
		t.Fatal(err)
	}
}

// printed runs a command in the test's own process and returns its standard
// output. Any end but a good one would make a worthless sum.
func printed(t *testing.T, command string) []byte {
	t.Helper()
	c := newConsole()
	if code := run(shellWords(command), strings.NewReader(""), &c.out, &c.err, c.environment()); code != 0 {
		t.Fatalf("potbank %s: exit %d\n%s", command, code, c.err.String())
	}
	return []byte(c.out.String())
}

func TestOnlyVersionAndHashPass(t *testing.T) {
	const answer = "{\n  \"version\": \"0.1.0\",\n    \"hash\": \"00\"\n  \"mean\": 1\n}\na.yaml (45d35d5d97e8), 12 (seen)\n"
	const want = "{\n\n\n  \"mean\": 1\n}\na.yaml , 12 (seen)\n"
	if got := passing.ReplaceAllString(answer, ""); got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
